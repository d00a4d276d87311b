"""Says beside each route who may ask it: a mark on the function, read by the one check at the door.

    @router.get("/log")
    @for_readers
    def show_log(...)

Knows the marks. A route without one is the owner's, and a test fails until it has one. What may be
*written* is checked once more for each kind of entry, by `workshop.pen`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from heapwright.people.roles import Role

F = TypeVar("F", bound=Callable[..., Any])
_MARK = "heapwright_needs"


@dataclass(frozen=True, slots=True)
class Need:
    """What a route asks of whoever calls.

    Attributes
    ----------
    role : Role or None
        The least role; None when nobody has to be signed in.

    """

    role: Role | None


def _marking(need: Need) -> Callable[[F], F]:
    def mark(endpoint: F) -> F:
        setattr(endpoint, _MARK, need)
        return endpoint

    return mark


#: Asked without a sign-in: signing in, trusting, what a phone needs to install itself; and routes
#: that check a proof of their own (a probe's token). They show nothing of a garden.
for_anybody = _marking(Need(None))
#: Whoever is signed in to the garden, to look.
for_readers = _marking(Need(Role.HELPER))
#: Logging what was read, seen and done.
for_helpers = _marking(Need(Role.HELPER))
#: Planning: builds, stock, tests, corrections, imports.
for_keepers = _marking(Need(Role.KEEPER))
#: Administering: people, settings, sharing, the whole journal.
for_owners = _marking(Need(Role.OWNER))


def declared(endpoint: Callable[..., Any]) -> Need | None:
    """Return what a route declares, None when it declares nothing."""
    found = getattr(endpoint, _MARK, None)
    return found if isinstance(found, Need) else None


def need_of(endpoint: Callable[..., Any]) -> Need:
    """Return what a route needs; one that declares nothing needs an owner."""
    return declared(endpoint) or Need(Role.OWNER)


@dataclass(frozen=True, slots=True)
class May:
    """What a page may offer whoever looks at it; templates ask `may.keep` and the like."""

    role: Role

    @property
    def keep(self) -> bool:
        """Whether a keeper's tasks may be offered."""
        return self.role.reaches(Role.KEEPER)

    @property
    def own(self) -> bool:
        """Whether an owner's tasks may be offered."""
        return self.role.reaches(Role.OWNER)
