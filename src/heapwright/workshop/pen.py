"""Who writes in a shared garden: signs each entry, and holds each kind to the role it needs.

Knows which role may write which kind of entry, that whoever takes one back or corrects it needs
that role too, and that a helper takes back only what is their own. Knows no page. A garden without
a pen (one person's own machine) is written in freely.
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
    "undo": Role.HELPER,  # of their own entries; see `Pen._check`
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
    "spread": Role.HELPER,
    "site": Role.KEEPER,
    "bed": Role.KEEPER,
    "bed_gone": Role.KEEPER,
    "arrival": Role.KEEPER,
    "arrival_gone": Role.KEEPER,
    "away": Role.KEEPER,
    "away_gone": Role.KEEPER,
    "wishes": Role.KEEPER,
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
        spoken_of = _spoken_of(entry, there)
        is_others = any(one.author != self.author for one in spoken_of[:1])
        if is_others and not self.role.reaches(Role.KEEPER):
            raise _anothers()
        for one in spoken_of:
            # The undo of an undo, or of a correction, alters the entry at the far end too.
            if not self.role.reaches(needed_for(one.kind)):
                raise _not_for(needed_for(one.kind))


def _spoken_of(entry: Entry, there: Mapping[str, Entry]) -> list[Entry]:
    """Return the entry that an undo or a correction speaks of, the one that speaks of, and so on.

    One that is not there ends it: the store or the fold tells that there is no such entry.
    """
    found: dict[str, Entry] = {}
    while entry.kind in (EntryKind.UNDO, EntryKind.CORRECT):
        of = str(entry.body["of"])
        if of not in there or of in found:
            break
        entry = found[of] = there[of]
    return list(found.values())


def _anothers() -> NotAllowed:
    return NotAllowed(
        "Somebody else wrote this entry",
        why="a helper takes back what is their own",
        instead="Ask who wrote it, a keeper or the owner to take it back",
    )


def _not_for(needed: Role) -> NotAllowed:
    if needed is Role.KEEPER:
        return NotAllowed(
            "An entry of this kind is for a keeper",
            instead="Ask a keeper of this garden or its owner to write it",
        )
    return NotAllowed(
        "An entry of this kind is for the garden's owner", instead="Ask the owner to write it"
    )
