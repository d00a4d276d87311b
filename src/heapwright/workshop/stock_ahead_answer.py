"""The typed answer to how the stock goes through the year, and what to save in autumn.

Knows what the answer holds. Knows nothing of how it comes about or how it is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from heapwright.sentences import Sentence

Three = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class ClassAhead:
    """Greens or browns through the weeks.

    Attributes
    ----------
    key : str
        "greens" or "browns".
    there_low_m3, there_m3, there_high_m3 : tuple of float, one a week
        What there is to build with in the week, before anything is built: when little, likely and
        much comes. [m³]
    wanted_m3 : tuple of float, one a week
        What the heaps take that are begun in the week. [m³]
    came_m3, spoiled_m3 : (low, likely, high)
        In the whole time; on hand at the beginning counts as come. [m³]
    runs_out, runs_out_soonest : date or None
        Monday of the first week by which something wanted is not there: likely, and when little
        comes.
    most_m3 : float
        The most that is likely there for one heap, over the weeks of its filling. [m³]
    gather_weeks : int
        For how many weeks after it is begun a heap is filled with it; 0 takes it at once.
    told : tuple of Sentence

    """

    key: str
    there_low_m3: tuple[float, ...]
    there_m3: tuple[float, ...]
    there_high_m3: tuple[float, ...]
    wanted_m3: tuple[float, ...]
    came_m3: Three
    spoiled_m3: Three
    runs_out: date | None
    runs_out_soonest: date | None
    most_m3: float
    gather_weeks: int
    told: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class BuildAhead:
    """A heap that is to be built, with what it takes.

    Attributes
    ----------
    day : date
        Monday of its week.
    volume_m3 : float
    greens_m3, browns_m3, water_kg : (low, likely, high)
    told : Sentence

    """

    day: date
    volume_m3: float
    greens_m3: Three
    browns_m3: Three
    water_kg: Three
    told: Sentence


@dataclass(frozen=True, slots=True)
class SavingAhead:
    """What to save when the leaves fall.

    Attributes
    ----------
    from_day, to_day : date
        When the leaves fall next.
    needed_m3, save_m3, short_before_m3 : (low, likely, high)
        By all heaps until leaves fall again; what of it is to be saved; what is lacking before
        the leaves fall. [m³]
    falls_m3 : (low, likely, high) or None
        What falls by what was written down; None when no leaves are. [m³]
    container_name : str
    container_m3 : float
        As full as they are. [m³]
    bags, shredded_bags : (low, likely, high)
        Containers of loose leaves, and of the same mown over.
    told : tuple of Sentence

    """

    from_day: date
    to_day: date
    needed_m3: Three
    save_m3: Three
    short_before_m3: Three
    falls_m3: Three | None
    container_name: str
    container_m3: float
    bags: tuple[int, int, int]
    shredded_bags: tuple[int, int, int]
    told: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class StockAhead:
    """How the stock goes through 52 weeks.

    Attributes
    ----------
    first_day : date
        Monday of the running week.
    mondays : tuple of date
    classes : tuple of ClassAhead
        Greens, then browns.
    builds : tuple of BuildAhead
    builds_from : Sentence
        Where the heaps that are counted come from.
    saving : SavingAhead or None
        None when no heap is counted.
    one_heap : BuildAhead
        What a heap that fills the first bin takes, built this week (a m³ without any bin).
    notes : tuple of Sentence

    """

    first_day: date
    mondays: tuple[date, ...]
    classes: tuple[ClassAhead, ...]
    builds: tuple[BuildAhead, ...]
    builds_from: Sentence
    saving: SavingAhead | None
    one_heap: BuildAhead
    notes: tuple[Sentence, ...]
