"""The People page: who uses this garden and as what, and how to share it at home.

Knows the way from the forms to the people's file, for the one garden the request may see. On a
machine that shares with nobody it also makes the first owner.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from typing import Annotated

from fastapi import APIRouter, Path, Request
from starlette.responses import RedirectResponse, Response

from heapwright.errors import HeapwrightError, NotAllowed
from heapwright.people import file
from heapwright.people.limits import whole
from heapwright.people.roles import Role, read_role
from heapwright.people.store import People, Person
from heapwright.web import faults, pages, sessions
from heapwright.web.forms import Filled, FormHere
from heapwright.web.roles import for_owners
from heapwright.web.routes_sign_in import same_twice, untrimmed
from heapwright.web.sessions import Visit
from heapwright.wording import worded

router = APIRouter(include_in_schema=False)
_PersonId = Annotated[int, Path(ge=1, le=2**31)]
_NEW = "new"


@router.get("/people")
@for_owners
def show_people(request: Request, done: str = "") -> Response:
    """Show the garden's people, and how to share it."""
    return _page(request, done=done)


@router.post("/people")
@for_owners
def add_person(request: Request, form: FormHere) -> Response:
    """Add a person; the first one of a garden is its owner."""
    visit = sessions.visit_of(request)
    key = visit.garden.path.name

    def add(store: People) -> None:
        role = read_role(form.text("role")) if store.has_owner(key) else Role.OWNER
        same_twice(form)
        store.add(form.text("name"), untrimmed(form, "passphrase"), key, role)

    return _done(request, form, _NEW, "added", add)


@router.post("/people/{person}/role")
@for_owners
def give_role(request: Request, person: _PersonId, form: FormHere) -> Response:
    """Give a person of this garden another role in it."""
    visit = sessions.visit_of(request)

    def give(store: People) -> None:
        found = store.in_garden(person, visit.garden.path.name)
        store.give_role(found.id, visit.garden.path.name, read_role(form.text("role")))

    return _done(request, form, f"role-{person}", "role", give)


@router.post("/people/{person}/passphrase")
@for_owners
def give_passphrase(request: Request, person: _PersonId, form: FormHere) -> Response:
    """Give a person of this garden a new passphrase; all their sign-ins end."""
    visit = sessions.visit_of(request)

    def give(store: People) -> None:
        found = store.in_garden(person, visit.garden.path.name)
        _refuse_of_other_gardens(store, visit, found)
        same_twice(form)
        store.set_passphrase(person, untrimmed(form, "passphrase"), _own_token(visit, person))

    return _done(request, form, f"passphrase-{person}", "passphrase", give)


@router.post("/people/{person}/out")
@for_owners
def take_out(request: Request, person: _PersonId, form: FormHere) -> Response:
    """Take a person out of this garden; what they logged stays."""
    visit = sessions.visit_of(request)

    def take(store: People) -> None:
        store.take_out(person, visit.garden.path.name)

    return _done(request, form, f"out-{person}", "out", take)


def _done(
    request: Request, form: Filled, which: str, done: str, change: Callable[[People], None]
) -> Response:
    try:
        with _people(request) as store:
            change(store)
    except HeapwrightError as problem:
        return _page(request, form=form, which=which, problem=problem)
    return RedirectResponse(f"/people?done={done}", status_code=303)


@contextmanager
def _people(request: Request) -> Iterator[People]:
    """The people's file: the shared one, or that beside the garden while nothing is shared."""
    sharing = sessions.sharing_of(request)
    if sharing is not None:
        yield sharing.people
        return
    place = file.place_beside(sessions.visit_of(request).garden.path)
    with closing(People.open(place)) as store:
        yield store


def _refuse_of_other_gardens(store: People, visit: Visit, person: Person) -> None:
    """Refuse to open another garden's door by a passphrase of somebody who goes there too."""
    if visit.signed_in is None or visit.signed_in.person_id == person.id:
        return
    yours = store.person(visit.signed_in.person_id).roles
    foreign = [key for key in person.roles if yours.get(key) is not Role.OWNER]
    if foreign:
        raise NotAllowed(
            worded(
                "{name} is in another garden too, and you do not own that one", name=person.name
            ),
            instead=worded(
                "Let {name} change the passphrase, or do it at the machine with `heapwright "
                "people passphrase`",
                name=person.name,
            ),
            kept="Nothing was changed.",
        )


def _own_token(visit: Visit, person_id: int) -> str:
    you = visit.signed_in
    return you.token_hash if you is not None and you.person_id == person_id else ""


def _page(
    request: Request,
    *,
    form: Filled | None = None,
    which: str = "",
    problem: HeapwrightError | None = None,
    done: str = "",
) -> Response:
    visit = sessions.visit_of(request)
    key = visit.garden.path.name
    response = pages.render(
        request,
        "people.html",
        status_code=200 if problem is None else faults.status_of(problem),
        people=[(one, one.roles[key]) for one in _listed(request, key)],
        roles=[str(role) for role in Role],
        typed=form if form is not None and which == _NEW else Filled(),
        which=which,
        problem=problem,
        done=done,
        least=whole("shortest_passphrase"),
        journal=visit.garden.path,
        is_shared=visit.signed_in is not None,
    )
    response.headers["Cache-Control"] = "no-store"
    return response


def _listed(request: Request, key: str) -> tuple[Person, ...]:
    if sessions.sharing_of(request) is None:
        place = file.place_beside(sessions.visit_of(request).garden.path)
        if not place.exists():
            return ()  # looking at the page makes no file
    with _people(request) as store:
        return store.of_garden(key)
