"""What a journal entry is: one thing a gardener did or saw, with an id made where it was written.

Knows the kinds of entries and what each holds. Knows nothing of how they are stored.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Any

from heapwright.journal.entries_year import YearState


class EntryKind(StrEnum):
    """What an entry tells. The body's fields are listed in `bodies.py`, SI units throughout."""

    GARDEN = "garden"  # settings: name, climate, units, time zone, hose flow, probe depth
    CONTAINER = "container"  # an own named container
    BIN = "bin"  # a bin made or altered
    BIN_GONE = "bin_gone"  # an empty bin put out of use; saved again, it is in use again
    PROBE = "probe"  # a thermometer that reports by itself, put into a bin or moved
    PROBE_GONE = "probe_gone"  # such a thermometer withdrawn; put in again, it is in use again
    LOT = "lot"  # a lot of material on hand, new or restated
    LOT_GONE = "lot_gone"  # containers of a lot thrown away or given away
    BUILD = "build"  # a batch built in a bin
    READING = "reading"  # a temperature
    LOOK = "look"  # squeeze, smell, pests, look, level
    TURN = "turn"  # stirred where it stands, or moved to the next bin
    WET = "wet"
    ADD = "add"  # material added to a live heap
    COVER = "cover"  # capped with brown, tarp on or off
    CURE = "cure"  # left to cure
    TEST = "test"  # the result of a test of finished compost
    SCREEN = "screen"  # sieved: what was too coarse becomes a lot
    USE = "use"  # compost taken out
    SPREAD = "spread"  # put on a bed what did not come straight out of a bin
    SITE = "site"  # household, garden and place, as far as they were said
    BED = "bed"  # a place that compost is wanted for, new or said anew
    BED_GONE = "bed_gone"
    ARRIVAL = "arrival"  # a material that comes in its season, new or said anew
    ARRIVAL_GONE = "arrival_gone"
    AWAY = "away"  # days on which nobody works at the heaps
    AWAY_GONE = "away_gone"
    WISHES = "wishes"  # how a person wants to work through the year
    NOTE = "note"
    PHOTO = "photo"  # a picture of the heap, kept beside the entries under its SHA-256
    UNDO = "undo"  # takes another entry back
    CORRECT = "correct"  # gives another entry a new body or time


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the journal; never changed once stored.

    Attributes
    ----------
    id : str
        32 lower-case hexadecimal digits, made by whoever wrote the entry (phone, command, import).
    kind : EntryKind
    at : datetime
        When it happened, timezone-aware, UTC.
    body : mapping
        Plain JSON values; fields by kind.
    written_at : datetime
        When it was written down, timezone-aware, UTC.
    author : str
        Who says so; "" for the one person of a home garden.
    origin : str
        Where it was written: "page", "command", "import", "demo", "probe".

    """

    id: str
    kind: EntryKind
    at: datetime
    body: Mapping[str, Any]
    written_at: datetime
    author: str = ""
    origin: str = field(kw_only=True)


def new_entry_id() -> str:
    """Return a fresh entry id: 16 random bytes as hexadecimal."""
    return secrets.token_hex(16)


@dataclass(frozen=True, slots=True)
class BinState:
    """A bin as it stands now, after the fold."""

    key: str
    name: str
    width_m: float
    depth_m: float
    height_m: float
    wall: str
    cover: str
    shade: float
    order: int
    batch_key: str | None  # what is in it now
    in_use: bool = True
    ground: str = "coarse base"


@dataclass(frozen=True, slots=True)
class ProbeState:
    """A thermometer that reports by itself, as it stands now.

    Attributes
    ----------
    key, name : str
    bin_key : str
        Where it is; it stays there when the heap goes on to the next bin.
    depth_m : float
        Of its tip below the top of the heap. [m]
    where : str
        Place in the heap, "" or "core" for its middle.
    places : tuple of (datetime, str, float, str)
        Since when it was in which bin, how deep, and where in the heap; oldest first. The first
        place also holds for the time before.
    in_use : bool

    """

    key: str
    name: str
    bin_key: str
    depth_m: float
    where: str
    places: tuple[tuple[datetime, str, float, str], ...]
    in_use: bool = True

    def place_at(self, at: datetime) -> tuple[str, float, str]:
        """Return the bin, the depth and the place in the heap at a moment."""
        found = next((one for one in reversed(self.places) if one[0] <= at), self.places[0])
        return found[1:]

    @property
    def placed_at(self) -> datetime:
        """When it came into the bin it is in."""
        since = self.places[-1][0]
        for when, bin_key, _, _ in reversed(self.places):
            if bin_key != self.bin_key:
                break
            since = when
        return since


@dataclass(frozen=True, slots=True)
class LotState:
    """A lot as it stands now: `left` of `count` containers remain."""

    key: str
    material_key: str
    container_name: str
    container_volume_m3: float
    count: int
    left: float
    fullness: tuple[float, float, float]
    packing: str
    got_at: datetime
    keep_back: int
    measured: Mapping[str, tuple[float, float, float]]


@dataclass(frozen=True, slots=True)
class BatchState:
    """One heap's life: its entries in order of time, and the bins it has been in.

    Attributes
    ----------
    key, name : str
    bin_key : str or None
        Where it lies now; None when used up.
    stage : str
        "hot", "curing" or "used" (as the entries say, not as the model thinks).
    built_at : datetime
    entries : tuple of Entry
        Build, readings, looks, turns, wettings, additions, covers, cure, tests, screenings, use:
        corrections applied, undone ones left out, sorted by `at` (ties by written_at, then id).

    """

    key: str
    name: str
    bin_key: str | None
    stage: str
    built_at: datetime
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class GardenSettings:
    """The garden's settings; every field has a default that works."""

    name: str = "Garden"
    is_demo: bool = False
    climate: str = ""  # key of a shipped climate, "" until chosen
    units: str = "us"
    language: str = ""  # code, "" for the one that each browser asks for
    time_zone: str = "UTC"
    hose_kg_s: float | None = None
    probe_depth_m: float = 0.45
    online_weather: bool = False
    latitude: float | None = None
    longitude: float | None = None


@dataclass(frozen=True, slots=True)
class GardenState:
    """Everything the journal says, folded: the one input of the workshop."""

    settings: GardenSettings
    containers: Mapping[str, tuple[str, float]] = field(default_factory=dict)  # key: name, m3
    bins: Mapping[str, BinState] = field(default_factory=dict)  # those out of use too
    lots: Mapping[str, LotState] = field(default_factory=dict)
    batches: Mapping[str, BatchState] = field(default_factory=dict)
    notes: tuple[Entry, ...] = ()
    problems: tuple[str, ...] = ()  # entries that no longer make sense, in words
    probes: Mapping[str, ProbeState] = field(default_factory=dict)  # withdrawn ones too
    year: YearState = field(default_factory=YearState)

    @property
    def bins_in_use(self) -> Mapping[str, BinState]:
        """The bins in their row, without those put out of use: what a person chooses from."""
        return {key: one for key, one in self.bins.items() if one.in_use}
