"""The door for thermometers: whose token it is, how much and how often it may send.

Knows tokens and sizes. A thermometer needs neither cookie nor sign-in: its token opens this door
and no other, and names one probe of one garden. Knows nothing of readings.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, FastAPI, Path, Request
from starlette.responses import Response

from heapwright.errors import NotSignedIn, TooOften
from heapwright.journal.probe_tokens import ProbeTokens
from heapwright.probes.settings import most_bytes, probe_limits
from heapwright.web import faults, sessions
from heapwright.web.api_probe_models import MessageTooLarge
from heapwright.web.pace import Pace
from heapwright.wording import worded
from heapwright.workshop.garden import Garden

_SCHEME = "bearer "


class WrongToken(NotSignedIn):
    """No token came, or one that is not this probe's."""

    code = "wrong-token"


class TooManyMessages(TooOften):
    """Messages came more often than a thermometer sends them."""


@dataclass(frozen=True, slots=True)
class ProbeVisit:
    """Which probe of which garden reports."""

    garden: Garden
    probe_key: str


def install(app: FastAPI) -> None:
    """Let the application answer this door's refusals with what a program wants to know."""
    app.state.probe_pace = Pace(int(probe_limits()["messages_a_minute"]))
    app.state.wrong_token_pace = Pace(int(probe_limits()["wrong_tokens_a_minute"]))

    def on_wrong_token(request: Request, error: Exception) -> Response:
        assert isinstance(error, WrongToken)
        answer = faults.answer(request, error, 401)
        answer.headers["WWW-Authenticate"] = 'Bearer realm="heapwright probe"'  # RFC 6750
        return answer

    def on_too_large(request: Request, error: Exception) -> Response:
        assert isinstance(error, MessageTooLarge)
        return faults.answer(request, error, 413)

    def on_too_many(request: Request, error: Exception) -> Response:
        assert isinstance(error, TooManyMessages)
        answer = faults.answer(request, error, 429)
        answer.headers["Retry-After"] = str(error.seconds)
        return answer

    app.add_exception_handler(WrongToken, on_wrong_token)
    app.add_exception_handler(TooManyMessages, on_too_many)
    app.add_exception_handler(MessageTooLarge, on_too_large)


def probe_here(request: Request, key: Annotated[str, Path(max_length=64)]) -> ProbeVisit:
    """Return which probe reports, by its token.

    Raises
    ------
    WrongToken
        When there is no token, or it is not the probe's.
    TooManyMessages
        When it sends too often, or too many wrong tokens came from its address.

    """
    paces = request.app.state
    address = request.client.host if request.client is not None else ""
    _hold_back(paces.wrong_token_pace, address)
    header = request.headers.get("authorization", "")
    token = header[len(_SCHEME) :].strip() if header.lower().startswith(_SCHEME) else ""
    for garden in _gardens(request):
        if token and ProbeTokens(garden.path).is_right(key, token):
            _hold_back(paces.probe_pace, f"{garden.path}:{key}")
            paces.probe_pace.count(f"{garden.path}:{key}")
            return ProbeVisit(garden, key)
    paces.wrong_token_pace.count(address)
    raise WrongToken(
        worded('The token is not the one of a probe called "{key}"', key=key[:40]),
        why="it is missing, was renewed or withdrawn, or belongs to another probe",
        instead="Send the header `Authorization: Bearer` with the token that was shown when the "
        "probe was entered, or make a new one on the page of probes",
    )


#: Write `visit: ProbeHere` in a route's parameters; the route must be marked `for_anybody`.
ProbeHere = Annotated[ProbeVisit, Depends(probe_here)]


def _gardens(request: Request) -> Iterable[Garden]:
    sharing = sessions.sharing_of(request)
    return [request.app.state.garden] if sharing is None else sharing.gardens.values()


def _hold_back(pace: Pace, key: str) -> None:
    wait = pace.wait_s(key)
    if wait > 0:
        error = TooManyMessages(
            "Too many messages came within a minute",
            instead=worded("Wait {wait} seconds, then send them together", wait=math.ceil(wait)),
        )
        error.seconds = math.ceil(wait)
        raise error


async def sent_body(request: Request) -> bytes:
    """Return a message's bytes; one that is too large is not even read to its end."""
    most, parts, size = most_bytes(), [], 0
    async for part in request.stream():
        size += len(part)
        if size > most:
            raise MessageTooLarge
        parts.append(part)
    return b"".join(parts)


#: Write `body: BodyHere` to be handed the bytes that were sent.
BodyHere = Annotated[bytes, Depends(sent_body)]
