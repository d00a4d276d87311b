"""Who writes in a shared garden: signs each entry, and holds each kind to the role it needs.

Knows which role may write which kind of entry, and that a helper takes back only what is their own.
Knows no page. A garden without a pen (one person's own machine) is written in freely.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from heapwright.errors import NotAllowed
from heapwright.journal.entries import Entry, EntryKind
from heapwright.people.roles import Role

#: The least role that may write a kind of entry; a kind that is not listed is the owner's.
NEEDED: Mapping[str, Role] = {
    "reading": Role.HELPER,
    "look": Role.HELPER,
    "turn": Role.HELPER,
    "wet": Role.HELPER,
    "add": Role.HELPER,
    "cover": Role.HELPER,
    "cure": Role.HELPER,
    "use": Role.HELPER,
    "note": Role.HELPER,
    "photo": Role.HELPER,
    "undo": Role.HELPER,  # of their own entries; see `Pen._check_undo`
    "build": Role.KEEPER,
    "lot": Role.KEEPER,
    "lot_gone": Role.KEEPER,
    "container": Role.KEEPER,
    "bin": Role.KEEPER,
    "test": Role.KEEPER,
    "screen": Role.KEEPER,
    "correct": Role.KEEPER,
    "probe": Role.KEEPER,
    "probe_gone": Role.KEEPER,
    "bin_gone": Role.OWNER,
    "garden": Role.OWNER,
}


def needed_for(kind: EntryKind) -> Role:
    """Return the least role that may write a kind of entry."""
    return NEEDED.get(str(kind), Role.OWNER)


@dataclass(frozen=True, slots=True)
class Pen:
    """A person's pen in one garden.

    Attributes
    ----------
    author : str
        What stands as the author of everything written with it.
    role : Role

    """

    author: str
    role: Role

    def sign(self, entries: Sequence[Entry], stored: Iterable[Entry]) -> list[Entry]:
        """Return the entries as this person wrote them.

        One that is stored already keeps its author: a phone may send again what somebody else
        wrote on it, and that is stored once.

        Raises
        ------
        NotAllowed
            When one of them is not for this role.

        """
        there = {entry.id: entry for entry in stored}
        signed = []
        for entry in entries:
            known = there.get(entry.id)
            self._check(entry, there)
            signed.append(replace(entry, author=self.author if known is None else known.author))
        return signed

    def _check(self, entry: Entry, there: Mapping[str, Entry]) -> None:
        needed = needed_for(entry.kind)
        if not self.role.reaches(needed):
            raise _not_for(needed)
        if entry.kind is EntryKind.UNDO:
            self._check_undo(entry, there)

    def _check_undo(self, entry: Entry, there: Mapping[str, Entry]) -> None:
        target = there.get(str(entry.body["of"]))
        if target is None:
            return  # the store or the fold tells that there is no such entry
        is_own = target.author == self.author
        needed = needed_for(target.kind) if is_own else max_of(Role.KEEPER, target.kind)
        if not self.role.reaches(needed):
            # A keeper takes back others' entries too, but not those of an owner's kind.
            raise _not_for(needed, is_own=is_own or self.role is not Role.HELPER)


def max_of(role: Role, kind: EntryKind) -> Role:
    """Return the higher of a role and the one a kind of entry needs."""
    needed = needed_for(kind)
    return needed if needed.reaches(role) else role


def _not_for(needed: Role, *, is_own: bool = True) -> NotAllowed:
    if not is_own:
        return NotAllowed(
            "Somebody else wrote this entry",
            why="a helper takes back what is their own",
            instead="Ask who wrote it, a keeper or the owner to take it back",
        )
    if needed is Role.KEEPER:
        return NotAllowed(
            "An entry of this kind is for a keeper",
            instead="Ask a keeper of this garden or its owner to write it",
        )
    return NotAllowed(
        "An entry of this kind is for the garden's owner", instead="Ask the owner to write it"
    )
