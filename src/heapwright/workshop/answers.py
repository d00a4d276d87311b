"""The typed answers the workshop gives to every face (pages, commands, Python).

Knows what an answer holds, in SI units and `Sentence`s. Knows nothing of HTML or terminals.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from heapwright.advice.types import Advice, Interval
from heapwright.journal.entries import BinState, Entry, LotState
from heapwright.mixing.types import BuildSheet, Recipe, Wishes
from heapwright.sentences import Sentence

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ReadingShown:
    """A thermometer reading in a batch's story."""

    entry_id: str
    at: datetime
    temperature_c: float
    depth_m: float | None
    where: str


@dataclass(frozen=True, slots=True)
class EventShown:
    """Something done or seen, for the chart and the story of a batch."""

    entry_id: str
    at: datetime
    kind: str  # the EntryKind value
    words: Sentence
    water_kg: float = 0.0  # given with it


@dataclass(frozen=True, slots=True)
class Forecast:
    """The modelled temperature at the thermometer's place, past and next days, with its band.

    Attributes
    ----------
    start : datetime
        UTC; value `i` stands for `start + i hours`.
    now_index : int
        Index of the present hour; later ones are forecast.
    low_c, likely_c, high_c : array, shape (hours,)
        The 10th, 50th and 90th percentile of the weighted ensemble. [°C]
    air_c, rain_mm : array, shape (hours,)
    depth_m : float
        Depth of the thermometer's tip from the top. [m]
    basis : Sentence
        What the band rests on ("12 readings and the weather of ...").
    notes : tuple of Sentence
        What weakens it: no readings, typical weather only, readings the model cannot follow.

    """

    start: datetime
    now_index: int
    low_c: FloatArray
    likely_c: FloatArray
    high_c: FloatArray
    air_c: FloatArray
    rain_mm: FloatArray
    depth_m: float
    basis: Sentence
    notes: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class CrossSection:
    """The heap cut through its middle: the likeliest member of the ensemble.

    Attributes
    ----------
    temperature_c, moisture : array, shape (radii, heights)
        Index 0 is the axis and the bottom.
    radius_edges_m : array, shape (radii+1,)
    height_edges_m : array, shape (heights+1,)

    """

    temperature_c: FloatArray
    moisture: FloatArray
    radius_edges_m: FloatArray
    height_edges_m: FloatArray

    def cell_at(self, across: float, up: float) -> tuple[int, int]:
        """Return the cell at shares of the radius (0 the axis) and of the height (0 the foot)."""
        rings = self.radius_edges_m[1:-1] / self.radius_edges_m[-1]
        levels = self.height_edges_m[1:-1] / self.height_edges_m[-1]
        return int(np.searchsorted(rings, across)), int(np.searchsorted(levels, up))


class Phase(StrEnum):
    """Whether a picture of the heap lies behind, is the present one, or lies ahead."""

    PAST = "past"
    NOW = "now"
    AHEAD = "ahead"


@dataclass(frozen=True, slots=True)
class CourseFrame:
    """The heap cut open at one moment.

    Attributes
    ----------
    at : datetime
        UTC.
    hours : int
        Since the hour it was built in.
    phase : Phase
    section : CrossSection
    tip_c : float
        Temperature where the thermometer's tip sits, in this one run. [°C]
    bin : BinState
        The bin it stood in then.
    done : tuple of EventShown
        What was done and seen since the picture before, as far as this one shows it.

    """

    at: datetime
    hours: int
    phase: Phase
    section: CrossSection
    tip_c: float
    bin: BinState
    done: tuple[EventShown, ...]


@dataclass(frozen=True, slots=True)
class HeapCourse:
    """The heap cut open at moments from its building to the end of the forecast.

    One heap only, the ensemble's member that agrees best with what was read: a picture with no
    band of its own, and no measurement.

    Attributes
    ----------
    frames : tuple of CourseFrame
        In order of time.
    now_index : int
        Which of them is the present.
    tip_depth_m : float
        Depth of the thermometer's tip below the top. [m]
    readings : int
        How many readings chose this member.

    """

    frames: tuple[CourseFrame, ...]
    now_index: int
    tip_depth_m: float
    readings: int

    @property
    def now(self) -> CourseFrame:
        """The present."""
        return self.frames[self.now_index]


@dataclass(frozen=True, slots=True)
class HeatShare:
    """How much of the heap got hot, by the model; never proof of hygiene.

    `share` is the part that has spent at least `hours` at `temperature_c` or more, carried
    through turns. The thermometer itself saw one place only: `seen_hours` of readings there
    were that hot (a day without a reading is not counted).
    """

    temperature_c: float
    hours: float
    share: Interval
    seen_readings: int
    caution: Sentence


@dataclass(frozen=True, slots=True)
class BinToday:
    """One bin's card on the Today page."""

    bin: BinState
    batch_key: str | None
    batch_name: str
    age_days: float | None
    stage: str  # "empty", "hot", "curing"
    advice: Advice
    last_reading: ReadingShown | None
    forecast: Forecast | None
    problems: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class WeatherToday:
    """The weather a person plans the visit by."""

    air_c: float
    low_next_day_c: float
    high_next_day_c: float
    rain_next_day_mm: float
    source: str
    is_typical: bool  # a typical year, not this day's weather


@dataclass(frozen=True, slots=True)
class TodayAnswer:
    """The Today page: every bin, what to do, and the weather."""

    garden_name: str
    is_demo: bool
    at: datetime  # in the garden's own time zone
    bins: tuple[BinToday, ...]
    weather: WeatherToday | None
    stock: tuple[LotState, ...]
    notes: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class BinAnswer:
    """One bin's page: chart, cross-section, what was done, what the heap is now."""

    today: BinToday
    cross_section: CrossSection | None
    heat_share: HeatShare | None
    moisture: Interval | None
    degradable_left: Interval | None
    volume_m3: float | None
    readings: tuple[ReadingShown, ...]
    events: tuple[EventShown, ...]


@dataclass(frozen=True, slots=True)
class BuildAnswer:
    """The Build page: the recipe and the layers for one bin from what is on hand."""

    bin: BinState
    wishes: Wishes  # what the recipe was asked to meet
    recipe: Recipe
    sheet: BuildSheet
    left_out: tuple[tuple[LotState, Sentence], ...]  # refused or conditional lots, and why
    notes: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class LogAnswer:
    """What became of entries that were sent."""

    stored: tuple[str, ...]
    already_there: tuple[str, ...]
    warnings: tuple[Sentence, ...]  # stored, but look again ("158 °F more than yesterday")
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class StockLine:
    """A lot on the Stock list with what the table knows of it."""

    lot: LotState
    material_name: str
    role: str
    spoils_in_days: float | None  # negative when it is past its time
    cautions: tuple[str, ...]
    refused: str  # why it must not be used, "" when it may
    properties: Mapping[str, tuple[float, float, float]]
