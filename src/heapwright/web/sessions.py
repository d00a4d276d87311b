"""The door of a shared garden: who asks, from which garden, and whether they may.

Knows cookies, the form's token and what a route needs. `admit` runs before every route, and
`visit_of` hands the rest of the program the one garden a request may see. Knows no page.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fastapi import Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from heapwright.errors import HeapwrightError, NotAllowed, NotSignedIn
from heapwright.people import sign_ins
from heapwright.people.limits import limit
from heapwright.people.roles import Role
from heapwright.people.sign_ins import SignedIn
from heapwright.people.store import People
from heapwright.people.waits import Waits
from heapwright.web import form_token, roles
from heapwright.web.bounds import LARGEST_BODY_BYTES, SAFE_METHODS
from heapwright.workshop.garden import Garden
from heapwright.workshop.pen import Pen

_VISIT = "heapwright.visit"
_COOKIE = "heapwright"
#: A cookie of this name is only taken by a browser when it came by https from this very address.
_SECURE_COOKIE = "__Host-heapwright"
_SECONDS_PER_DAY = 86_400


@dataclass(frozen=True, slots=True)
class Sharing:
    """What a shared server knows besides its gardens.

    Attributes
    ----------
    people : People
    gardens : mapping of str to Garden
        By the journal's file name.
    waits : Waits

    """

    people: People
    gardens: Mapping[str, Garden]
    waits: Waits = field(default_factory=Waits)


@dataclass(frozen=True, slots=True)
class Visit:
    """One request's way in.

    Attributes
    ----------
    garden : Garden
        The one it may see, written in with the visitor's own pen.
    role : Role
    signed_in : SignedIn or None
        None on a machine that shares with nobody.

    """

    garden: Garden
    role: Role
    signed_in: SignedIn | None


def sharing_of(request: Request) -> Sharing | None:
    """Return what is shared; None when the program serves this machine alone."""
    found: Sharing | None = getattr(request.app.state, "sharing", None)
    return found


def visit_of(request: Request) -> Visit:
    """Return who asks and which garden they may see.

    Raises
    ------
    NotSignedIn
        When nobody is signed in and the garden is shared.

    """
    found = request.scope.get(_VISIT)
    if isinstance(found, Visit):
        return found
    if sharing_of(request) is not None:
        raise not_signed_in()
    return Visit(request.app.state.garden, Role.OWNER, None)


async def admit(request: Request) -> None:
    """Let a request in, or raise why not. Every route depends on it.

    Raises
    ------
    NotSignedIn
        When the route needs somebody and there is nobody.
    NotAllowed
        When the role does not reach, or a form does not carry the sign-in's token.

    """
    sharing = sharing_of(request)
    if sharing is None:
        return
    visit = await run_in_threadpool(_who_asks, request, sharing)
    if visit is not None:
        request.scope[_VISIT] = visit
    need = roles.need_of(request.scope["endpoint"])
    if need.role is None:
        return
    if visit is None or visit.signed_in is None:
        raise not_signed_in()
    if request.method not in SAFE_METHODS:
        await _check_token(request, visit.signed_in)
    if not visit.role.reaches(need.role):
        raise not_for(visit.signed_in, need.role, kept=_kept_by(request))


def _who_asks(request: Request, sharing: Sharing) -> Visit | None:
    token = request.cookies.get(cookie_name(request), "")
    signed_in = sign_ins.look_up(sharing.people, token) if token else None
    if signed_in is None or signed_in.garden not in sharing.gardens:
        return None
    pen = Pen(signed_in.name, signed_in.role)
    garden = sharing.gardens[signed_in.garden].written_by(pen)
    return Visit(garden, signed_in.role, signed_in)


async def _check_token(request: Request, signed_in: SignedIn) -> None:
    sent = request.headers.get(form_token.HEADER, "")
    if not sent and request.headers.get("content-type", "").startswith(form_token.CONTENT_TYPES):
        form = await request.form(max_part_size=LARGEST_BODY_BYTES)
        field = form.get(form_token.FIELD, "")
        sent = field if isinstance(field, str) else ""
    if not sign_ins.is_form_token(signed_in, sent):
        raise NotAllowed(
            "This form does not belong to your present sign-in",
            why="it was opened before you signed in, or came from somewhere else",
            instead="Open the page anew and send it from there",
        )


def let_in(request: Request, person_id: int, garden: str) -> str:
    """Begin a sign-in and return its token; an older one of this phone ends."""
    sharing = sharing_of(request)
    assert sharing is not None
    forget(request)
    return sign_ins.begin(sharing.people, person_id, garden)


def put_cookie(request: Request, response: Response, token: str) -> None:
    """Put a sign-in's token on the phone."""
    response.set_cookie(
        cookie_name(request),
        token,
        max_age=int(limit("absolute_days")) * _SECONDS_PER_DAY,
        path="/",
        secure=_is_secure(request),
        httponly=True,
        # Not "strict": a printed code opened by a scanner would then arrive signed out.
        samesite="lax",
    )


def forget(request: Request) -> None:
    """End the sign-in of this phone, if there is one."""
    sharing = sharing_of(request)
    token = request.cookies.get(cookie_name(request), "")
    if sharing is not None and token:
        sign_ins.end(sharing.people, sign_ins.hash_of(token))


def drop_cookie(request: Request, response: Response) -> None:
    """Take the cookie off this phone."""
    response.delete_cookie(
        cookie_name(request),
        path="/",
        secure=_is_secure(request),
        httponly=True,
        samesite="lax",
    )


def cookie_name(request: Request) -> str:
    """Return the cookie's name, by whether the way here is encrypted."""
    return _SECURE_COOKIE if _is_secure(request) else _COOKIE


def _is_secure(request: Request) -> bool:
    return request.url.scheme == "https"


def not_signed_in() -> NotSignedIn:
    """Return the error for whoever is not, or no longer, signed in."""
    return NotSignedIn(
        "Nobody is signed in on this phone",
        why="this garden is shared, or your sign-in has ended",
        instead="Sign in, then do it again",
    )


def not_for(signed_in: SignedIn, needed: Role, *, kept: str = "") -> HeapwrightError:
    """Return the kind words for a role that does not reach."""
    what = {
        (Role.KEEPER, Role.HELPER): "A keeper does this, and you are here as a helper",
        (Role.OWNER, Role.HELPER): "The garden's owner does this, and you are here as a helper",
        (Role.OWNER, Role.KEEPER): "The garden's owner does this, and you are here as a keeper",
    }
    return NotAllowed(
        what[needed, signed_in.role],
        instead="Ask them to do it, or to give you that part under People. You can look at every "
        "bin and log what you read, see and do",
        kept=kept,
    )


def _kept_by(request: Request) -> str:
    return "" if request.method in SAFE_METHODS else "Nothing was saved."
