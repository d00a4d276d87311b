"""What a person may do in a garden: three roles, each of which holds all of those before it.

Knows the order of the roles. Knows no person and no page.
"""

from __future__ import annotations

from enum import StrEnum

from heapwright.errors import NotUnderstood
from heapwright.wording import worded


class Role(StrEnum):
    """What a person is in one garden."""

    HELPER = "helper"  # logs: readings, looks, what was done; takes back what is their own
    KEEPER = "keeper"  # plans: builds, stock, tests, corrections, imports
    OWNER = "owner"  # administers: people, settings, sharing, the whole journal

    def reaches(self, needed: Role) -> bool:
        """Whether this role may do what `needed` may."""
        return _ORDER.index(self) >= _ORDER.index(needed)


_ORDER = tuple(Role)


def read_role(said: str) -> Role:
    """Return the role a person names.

    Raises
    ------
    NotUnderstood
        If there is no such role.

    """
    try:
        return Role(said.strip().lower())
    except ValueError as problem:
        raise NotUnderstood(
            worded('There is no role "{said}"', said=said[:40]),
            instead="Say helper, keeper or owner",
        ) from problem
