"""Folds what the journal says of the year: site, beds, arrivals, days away, wishes, spreadings.

Knows what these entries do. Knows nothing of bins and heaps but that compost came out of them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

from heapwright.journal.entries import Entry
from heapwright.journal.entries_year import (
    ArrivalState,
    AwayState,
    BedState,
    SpreadState,
    WishesState,
    YearState,
)
from heapwright.wording import worded

Tell = Callable[[Entry, str], None]
OWN = "own compost"


class Year:
    """The year while the garden is being folded."""

    def __init__(self, tell: Tell) -> None:
        self._tell = tell
        self._site: dict[str, Any] = {}
        self._beds: dict[str, BedState] = {}
        self._arrivals: dict[str, ArrivalState] = {}
        self._aways: dict[str, AwayState] = {}
        self._wishes = WishesState()
        self._has_wishes = False
        self._spreads: list[SpreadState] = []
        self._store_m3 = 0.0

    def describe(self, entry: Entry) -> None:
        """Take in what is said of the site; what is not said stays, null clears it."""
        said = {**self._site, **entry.body}
        self._site = {name: value for name, value in said.items() if value is not None}

    def wish(self, entry: Entry) -> None:
        """Take in wishes; what is not said stays."""
        body = dict(entry.body)
        if "work_days" in body:
            body["work_days"] = tuple(body["work_days"])
        self._wishes = replace(self._wishes, **body)
        self._has_wishes = True

    def bed(self, entry: Entry) -> None:
        """Take in a bed, new or said anew."""
        body = dict(entry.body)
        body["due"] = date.fromisoformat(body["due"])
        self._beds[body["key"]] = BedState(**body)

    def bed_gone(self, entry: Entry) -> None:
        """Take in that a bed wants nothing any more."""
        bed = self._beds.get(entry.body["bed"])
        if bed is None:
            self._tell(entry, worded("no bed {bed} is known", bed=entry.body["bed"]))
        else:
            self._beds[bed.key] = replace(bed, in_use=False)

    def arrival(self, entry: Entry) -> None:
        """Take in what arrives, new or said anew."""
        body = dict(entry.body)
        for name in ("volume_m3_week", "keeps_days"):
            if name in body:
                body[name] = tuple(body[name])
        self._arrivals[body["key"]] = ArrivalState(**body)

    def arrival_gone(self, entry: Entry) -> None:
        """Take in that something no longer arrives."""
        there = self._arrivals.get(entry.body["arrival"])
        if there is None:
            said = worded("no arrival {arrival} is known", arrival=entry.body["arrival"])
            self._tell(entry, said)
        else:
            self._arrivals[there.key] = replace(there, in_use=False)

    def away(self, entry: Entry) -> None:
        """Take in days away, new or said anew."""
        body = entry.body
        self._aways[body["key"]] = AwayState(
            body["key"],
            date.fromisoformat(body["from_date"]),
            date.fromisoformat(body["to_date"]),
            body.get("why", ""),
        )

    def away_gone(self, entry: Entry) -> None:
        """Take in that somebody is there after all."""
        there = self._aways.get(entry.body["away"])
        if there is None:
            self._tell(entry, worded("no days away {away} are known", away=entry.body["away"]))
        else:
            self._aways[there.key] = replace(there, in_use=False)

    def spread(self, entry: Entry) -> None:
        """Take in what was put on a bed; own compost comes out of the store."""
        body = entry.body
        if body["bed"] not in self._beds:
            self._tell(entry, worded("no bed {bed} is known", bed=body["bed"]))
            return
        self._spreads.append(
            SpreadState(entry.id, body["bed"], entry.at, body["volume_m3"], body["what"])
        )
        if body["what"] == OWN:
            self._store_m3 = max(0.0, self._store_m3 - body["volume_m3"])

    def used(self, entry: Entry, batch_key: str) -> None:
        """Take in compost that came out of a bin: onto a bed, or put by."""
        body = entry.body
        volume_m3 = body.get("volume_m3")
        if body.get("store"):
            self._store_m3 += volume_m3 or 0.0
        bed = body.get("bed")
        if bed is None:
            return
        if bed not in self._beds:
            self._tell(entry, worded("no bed {bed} is known", bed=bed))
            return
        self._spreads.append(SpreadState(entry.id, bed, entry.at, volume_m3, OWN, batch_key))

    def state(self) -> YearState:
        """Return the year as it stands."""
        return YearState(
            site=self._site,
            beds=self._beds,
            arrivals=self._arrivals,
            aways=self._aways,
            wishes=self._wishes,
            has_wishes=self._has_wishes,
            spreads=tuple(self._spreads),
            store_m3=self._store_m3,
        )
