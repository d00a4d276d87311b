"""Folds what entries say of the lots on hand: stated, counted again, taken from.

Knows how many containers of each lot are left. Knows nothing of bins and heaps.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from heapwright.journal.entries import Entry, LotState
from heapwright.journal.stating import new_lot, restated_lot
from heapwright.wording import worded

#: The material of what a sieve keeps back (row of the materials table).
SCREENINGS = "compost_oversize"
#: Tells what was wrong with an entry and, if it was not simply left out, what became of it.
Tell = Callable[..., None]


class Lots:
    """The lots while the garden is being folded.

    Attributes
    ----------
    now : dict of lot key to LotState

    """

    def __init__(self, problem: Tell) -> None:
        self.now: dict[str, LotState] = {}
        self._from: dict[str, str] = {}  # lot key: id of the entry that first stated it
        self._problem = problem

    def first_state(self, entry: Entry) -> None:
        """Take in a lot as it is first stated; it is there from the beginning."""
        key = entry.body["key"]
        if key not in self.now:
            self.now[key] = new_lot(entry)
            self._from[key] = entry.id

    def screened_out(self, entry: Entry) -> None:
        """Take in what a sieve kept back, as a lot of its own."""
        said = entry.body
        key = said["lot"]
        if key in self.now:
            self._problem(
                entry,
                worded("lot {key} was there already", key=key),
                "Its leftovers were not made a lot.",
            )
            return
        kept = ("container_name", "container_volume_m3", "count")
        body = {"key": key, "material_key": SCREENINGS, **{name: said[name] for name in kept}}
        self.first_state(replace(entry, body=body))

    def restate(self, entry: Entry) -> None:
        """Take in that a lot was counted again."""
        key = entry.body["key"]
        if self._from[key] == entry.id:
            return
        fresh = restated_lot(entry, self.now[key])
        if fresh is None:
            said = worded("lot {key} cannot become another material or container", key=key)
            self._problem(entry, said, "The entry was left out. Make a new lot for it.")
        else:
            self.now[key] = fresh

    def throw_away(self, entry: Entry) -> None:
        """Take in that containers of a lot are gone."""
        key = entry.body["lot"]
        if key in self.now:
            self._take(entry, key, entry.body["count"])
        else:
            self._problem(entry, worded("no lot {key} is known", key=key))

    def taken_for(self, entry: Entry) -> Entry | None:
        """Take the entry's lines from their lots; drop lines of lots that are not known."""
        if "lines" not in entry.body:
            return entry
        known = [line for line in entry.body["lines"] if line["lot"] in self.now]
        for line in entry.body["lines"]:
            if line["lot"] in self.now:
                self._take(entry, line["lot"], line["count"])
            else:
                self._problem(
                    entry,
                    worded("no lot {lot} is known", lot=line["lot"]),
                    "That line was left out.",
                )
        if not known:
            return None
        if len(known) == len(entry.body["lines"]):
            return entry
        return replace(entry, body={**entry.body, "lines": known})

    def _take(self, entry: Entry, key: str, count: float) -> None:
        """Take containers from a lot; a lot never holds less than nothing."""
        lot = self.now[key]
        if count > lot.left:
            said = worded(
                "{count:g} containers of lot {key} were taken but {left:g} were left",
                count=count,
                key=key,
                left=lot.left,
            )
            self._problem(entry, said, "The heap is counted as entered. Count the lot again.")
        self.now[key] = replace(lot, left=max(0.0, lot.left - count))
