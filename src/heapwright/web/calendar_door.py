"""The door through which a phone's calendar comes for the year's jobs: by a secret in the address.

A calendar cannot sign in, so the address itself is the proof; it shows the jobs and nothing else.
Knows the secret's place beside those of the probes, and how wrong tries are held back.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

from fastapi import Depends, Path, Request

from heapwright.errors import NotFound
from heapwright.journal.probe_tokens import ProbeTokens
from heapwright.web import sessions
from heapwright.web.pace import Pace
from heapwright.workshop.garden import Garden

#: No probe's key holds a slash, so no probe can be called so.
_KEY = "/calendar"
_WRONG_A_MINUTE = 20
_pace = Pace(_WRONG_A_MINUTE)


def renew(garden: Garden) -> str:
    """Make a new secret for a garden's calendar and return it; the older one ends."""
    return ProbeTokens(garden.path).renew(_KEY)


def calendar_garden(request: Request, token: Annotated[str, Path(max_length=100)]) -> Garden:
    """Return the garden whose calendar has this secret.

    Raises
    ------
    NotFound
        When none has, or too many wrong ones came from there within a minute.

    """
    address = request.client.host if request.client is not None else ""
    if _pace.wait_s(address) <= 0:
        for garden in _gardens(request):
            if ProbeTokens(garden.path).is_right(_KEY, token):
                return garden
        _pace.count(address)
    raise NotFound(
        "No calendar is at this address",
        instead="Make a new address on the page of the calendar and subscribe to that",
    )


#: Write `garden: CalendarHere` in a route's parameters; the route must be marked `for_anybody`.
CalendarHere = Annotated[Garden, Depends(calendar_garden)]


def _gardens(request: Request) -> Iterable[Garden]:
    sharing = sessions.sharing_of(request)
    return [request.app.state.garden] if sharing is None else sharing.gardens.values()
