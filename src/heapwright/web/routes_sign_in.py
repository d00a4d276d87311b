"""Signing in and out, and what a person sets for themselves: passphrase and garden.

Knows the way from those forms to the people's file. Other people are `routes_people`.
"""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from heapwright.errors import HeapwrightError, NotFound, NotUnderstood, TooOften
from heapwright.people import sign_ins
from heapwright.people.limits import whole
from heapwright.people.sign_ins import SignedIn
from heapwright.people.store import Person, plain_name
from heapwright.web import faults, pages, sessions, signing_in
from heapwright.web.forms import Filled, FormHere
from heapwright.web.roles import for_anybody, for_readers
from heapwright.web.sessions import Sharing
from heapwright.wording import worded

router = APIRouter(include_in_schema=False)
_TODAY = "/"


@router.get("/sign-in")
@for_anybody
def show_sign_in(request: Request, back: str = _TODAY) -> Response:
    """Show the sign-in; whoever is signed in already, or need not be, goes on."""
    if not _is_at_the_door(request):
        return RedirectResponse(signing_in.local(back), status_code=303)
    return signing_in.page(request, back=back)


@router.post("/sign-in")
@for_anybody
def sign_in(request: Request, form: FormHere) -> Response:
    """Sign a person in, or say that name and passphrase do not go together."""
    sharing = sessions.sharing_of(request)
    if sharing is None:
        return RedirectResponse(_TODAY, status_code=303)
    try:
        person = _proved(request, sharing, form)
    except HeapwrightError as problem:
        response = _door_again(request, form, problem)
        if isinstance(problem, TooOften):
            response.headers["Retry-After"] = str(problem.seconds)
        return response
    gardens = sorted(set(person.roles) & set(sharing.gardens))
    if not gardens:
        return _door_again(request, form, _not_together())
    token = sessions.let_in(request, person.id, gardens[0])
    response = _after(request, form, token, has_choice=len(gardens) > 1)
    sessions.put_cookie(request, response, token)
    return response


@router.post("/sign-out")
@for_readers
def sign_out(request: Request) -> Response:
    """End this phone's sign-in."""
    sessions.forget(request)
    return _goodbye(request)


@router.post("/sign-out/everywhere")
@for_readers
def sign_out_everywhere(request: Request) -> Response:
    """End every sign-in of this person, on every phone."""
    sharing, you = _you(request)
    sign_ins.end_all(sharing.people, you.person_id)
    return _goodbye(request)


@router.get("/session.json")
@for_readers
def tell_session(request: Request) -> Response:
    """Tell a page's script who is signed in, and give it a token for what it sends."""
    visit = sessions.visit_of(request)
    you = visit.signed_in
    told: dict[str, Any] = {
        "shared": you is not None,
        "name": "" if you is None else you.name,
        "role": str(visit.role),
        "garden": visit.garden.state().settings.name,
        "token": "" if you is None else sign_ins.form_token(you.form_secret),
    }
    return JSONResponse(told, headers={"Cache-Control": "no-store"})


@router.get("/you")
@for_readers
def show_you(request: Request, done: str = "") -> Response:
    """Show who is signed in, the gardens to choose from, and how to sign out."""
    return _page(request, done=done)


@router.post("/you/passphrase")
@for_readers
def change_passphrase(request: Request, form: FormHere) -> Response:
    """Give this person a new passphrase; their other sign-ins end."""
    sharing, you = _you(request)
    try:
        _prove_again(request, sharing, you, untrimmed(form, "present"))
        same_twice(form)
        secret = untrimmed(form, "passphrase")
        sharing.people.set_passphrase(you.person_id, secret, you.token_hash)
    except HeapwrightError as problem:
        return _page(request, problem=problem)
    return RedirectResponse("/you?done=passphrase", status_code=303)


@router.post("/you/garden")
@for_readers
def choose_garden(request: Request, form: FormHere) -> Response:
    """Look at another of this person's gardens from now on."""
    sharing, you = _you(request)
    garden = form.text("garden")
    if garden not in _gardens(sharing, you):
        raise NotFound("There is no such garden for you here", instead="Choose one of the list")
    sign_ins.change_garden(sharing.people, you, garden)
    return RedirectResponse(_TODAY, status_code=303)


def _proved(request: Request, sharing: Sharing, form: Filled) -> Person:
    name, secret = form.text("name"), untrimmed(form, "passphrase")
    keys = _keys(request, name)
    _wait_if_needed(sharing, keys)
    person = sharing.people.proved(name, secret)
    if person is None:
        raise _not_together()
    sharing.waits.succeeded(keys)
    return person


def _prove_again(request: Request, sharing: Sharing, you: SignedIn, secret: str) -> None:
    keys = _keys(request, you.name)
    _wait_if_needed(sharing, keys)
    found = sharing.people.proved(you.name, secret)
    if found is None or found.id != you.person_id:
        raise NotUnderstood(
            "The present passphrase is not right",
            instead="Type it again; an owner can give you a new one under People",
            kept="Nothing was changed.",
        )
    sharing.waits.succeeded(keys)


def _keys(request: Request, name: str) -> list[str]:
    """Return what wrong tries are counted under: the name and where they come from."""
    address = request.client.host if request.client else "nowhere"
    plain = plain_name(name)[: whole("longest_name")]  # a text of any length may come here
    return [f"name {plain}", f"address {address}"]


def _wait_if_needed(sharing: Sharing, keys: list[str]) -> None:
    seconds = sharing.waits.begin(keys)
    if seconds > 0:
        raise _too_often(int(seconds) + 1)


def _too_often(seconds: int) -> TooOften:
    shown = (
        worded("{seconds} seconds", seconds=seconds)
        if seconds < 120
        else worded("{seconds} minutes", seconds=-(-seconds // 60))
    )
    problem = TooOften(
        "There were too many wrong tries",
        instead=worded("Wait {shown}, then try again", shown=shown),
        kept="",
    )
    problem.seconds = seconds
    return problem


def _not_together() -> NotUnderstood:
    # The same words for an unknown name and a wrong passphrase: neither is given away.
    return NotUnderstood(
        "This name and passphrase do not go together",
        instead="Look at the capitals and type them again, or ask an owner of the garden",
        kept="",
    )


def untrimmed(form: Filled, name: str) -> str:
    """Return a field letter for letter: blanks belong to a passphrase."""
    return next((text for field, text in form.given if field == name), "")


def same_twice(form: Filled) -> None:
    """Hold a new passphrase to its repetition.

    Raises
    ------
    NotUnderstood
        If they differ.

    """
    if untrimmed(form, "passphrase") != untrimmed(form, "again"):
        raise NotUnderstood(
            "The two new passphrases differ",
            instead="Type the same one twice",
            kept="Nothing was changed.",
        )


def _door_again(request: Request, form: Filled, problem: HeapwrightError) -> Response:
    return signing_in.page(
        request,
        status=faults.status_of(problem),
        problem=problem,
        name=form.text("name")[: whole("longest_name")],
        back=form.text("back"),
        kept=form.text("kept"),
        kept_for=form.text("kept_for"),
    )


def _after(request: Request, form: Filled, token: str, *, has_choice: bool) -> Response:
    kept = form.text("kept")
    if kept and signing_in.kept_fields(kept):
        form_token = sign_ins.form_token(sign_ins.form_secret_of(token))
        return signing_in.send_again(request, kept, form.text("kept_for"), form_token)
    back = signing_in.local(form.text("back"))
    where = "/you?done=choose" if has_choice and back == _TODAY else back
    return RedirectResponse(where, status_code=303)


def _goodbye(request: Request) -> Response:
    response = pages.render(request, "signed_out.html", you=None, form_token="", at_the_door=True)
    response.headers["Cache-Control"] = "no-store"
    sessions.drop_cookie(request, response)
    return response


def _is_at_the_door(request: Request) -> bool:
    try:
        sessions.visit_of(request)
    except HeapwrightError:
        return True
    return False


def _you(request: Request) -> tuple[Sharing, SignedIn]:
    sharing, you = sessions.sharing_of(request), sessions.visit_of(request).signed_in
    if sharing is None or you is None:
        raise NotFound(
            "Nobody signs in here",
            why="this garden is on this machine alone",
            instead="Share it first; see People on the Garden page",
        )
    return sharing, you


def _gardens(sharing: Sharing, you: SignedIn) -> dict[str, str]:
    """Return the names of this person's gardens by key."""
    roles = sharing.people.person(you.person_id).roles
    return {
        key: garden.state().settings.name
        for key, garden in sorted(sharing.gardens.items())
        if key in roles
    }


def _page(request: Request, *, problem: HeapwrightError | None = None, done: str = "") -> Response:
    sharing, you = _you(request)
    response = pages.render(
        request,
        "you.html",
        status_code=200 if problem is None else faults.status_of(problem),
        gardens=_gardens(sharing, you),
        problem=problem,
        done=done,
        least=whole("shortest_passphrase"),
    )
    response.headers["Cache-Control"] = "no-store"
    return response
