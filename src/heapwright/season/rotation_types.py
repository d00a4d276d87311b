"""What a year's rotation is planned from: bins, heaps that stand, stuff, work, beds, lengths.

Knows what is passed to the planner, the simulator and the chances, and refuses what cannot be.
Plans nothing. Weeks are counted from 0, the running week; every job of a week is done at its
beginning, from the last bin of the row to the first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import IntEnum

from heapwright.errors import OutOfRange
from heapwright.wording import worded


class Stage(IntEnum):
    """What a heap is in."""

    FIRST = 0  # from its building until its first heat is spent
    MIDDLE = 1  # moved inside-out, heats again
    CURE = 2  # rests until it is harvested


ALL_STAGES = frozenset(Stage)
STAGES = len(Stage)


@dataclass(frozen=True, slots=True)
class Yield:
    """Finished compost, as a range; plans count on `sure`."""

    sure: float
    likely: float
    high: float

    def times(self, factor: float) -> Yield:
        """Return the range of so many times as much."""
        return Yield(self.sure * factor, self.likely * factor, self.high * factor)


@dataclass(frozen=True, slots=True)
class RotationBin:
    """A bin of the row; the row is walked from the first to the last.

    Attributes
    ----------
    volume_m3 : float
        What is built in when it is filled. [m³]
    stages : frozenset of Stage
        Which stages may begin in it (a bin without air holes may be kept for curing).

    """

    key: str
    name: str
    volume_m3: float
    stages: frozenset[Stage] = ALL_STAGES


@dataclass(frozen=True, slots=True)
class StandingHeap:
    """A heap that stands in a bin when the plan begins.

    Attributes
    ----------
    bin_key : str
    stage : Stage
        The stage it is in.
    weeks_left : int
        Of that stage, at the sureness the plan is made with; 0 when it is over.
    later_weeks : tuple of int
        Weeks of each later stage, in order: two for FIRST, one for MIDDLE, none for CURE.
    volume_m3 : float
        Now. It is counted with this volume until it is harvested, as heaps never grow. [m³]
    yield_m3 : Yield
        Finished compost it will give. [m³]

    """

    key: str
    name: str
    bin_key: str
    stage: Stage
    weeks_left: int
    later_weeks: tuple[int, ...]
    volume_m3: float
    yield_m3: Yield


@dataclass(frozen=True, slots=True)
class StuffOnHand:
    """Some of a class of material that is there in week 0.

    Attributes
    ----------
    volume_m3 : float
        [m³]
    weeks_left : int
        Last week in which it can still be built in; 0 is this week only.

    """

    volume_m3: float
    weeks_left: int


@dataclass(frozen=True, slots=True)
class StuffClass:
    """A class of material that heaps are built from: greens, browns, water.

    Attributes
    ----------
    on_hand : tuple of StuffOnHand
    arriving_m3 : tuple of float, one a week
        What is counted on to arrive in each week, there for that week's building. [m³]
    keeps_weeks : int
        For how many weeks after its arrival it can be built in; 0 is the week of arrival only.
    need_m3_per_m3 : tuple of float, one a week
        What a heap built in that week takes for each m³ of its bin. [m³/m³]

    """

    key: str
    name: str
    on_hand: tuple[StuffOnHand, ...]
    arriving_m3: tuple[float, ...]
    keeps_weeks: int
    need_m3_per_m3: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class WorkRates:
    """What jobs cost, in barrow loads of `barrow_m3`.

    Attributes
    ----------
    barrow_m3 : float
        [m³]
    build, move, stir, harvest : float
        Loads of work for each barrowful of the heap as it is when the job is done. `stir` is
        stirring in place where a heap would be moved otherwise.
    stirs_a_week : tuple of float, one for each stage
        Regular stirrings between those jobs, spread over the weeks that the heap stands in the
        stage; weeks without any time for work are left out.

    """

    barrow_m3: float
    build: float
    move: float
    stir: float
    harvest: float
    stirs_a_week: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class BedWish:
    """Compost a bed waits for.

    Attributes
    ----------
    compost_m3 : float
        [m³]
    due_week : int
        It must be there by this week.
    weight : float
        How much a litre for this bed is worth against one for another; 1 is usual.

    """

    key: str
    name: str
    compost_m3: float
    due_week: int
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class HeapForm:
    """How a heap changes, the same for all that are built.

    Attributes
    ----------
    volume_share : tuple of float, one for each stage
        Volume at the beginning of a stage as share of the bin it was built in. [0-1]
    yield_share : Yield
        Finished compost as share of that bin. [0-1]
    least_build_m3 : float
        Smaller bins are not built in: the heap would not heat. [m³]
    stay_extra_weeks : tuple of int, one for each stage
        By how much a stage is longer that began by stirring in place instead of moving.

    """

    volume_share: tuple[float, float, float]
    yield_share: Yield
    least_build_m3: float = 0.0
    stay_extra_weeks: tuple[int, int, int] = (0, 0, 0)


@dataclass(frozen=True, slots=True)
class RotationProblem:
    """A year to be planned.

    Attributes
    ----------
    first_day : date
        First day of week 0.
    bins : tuple of RotationBin
        In their row.
    stage_weeks : tuple (one for each stage) of tuple (one for each week of building) of int
        How long a stage takes at least, at the sureness the plan is made with; its second length
        is the horizon.
    work_loads : tuple of float, one a week
        Barrow loads a person can do; 0 when away.
    compost_on_hand_m3 : float
        Finished, in store. [m³]
    most_builds : int
        More heaps are not built in the year.

    """

    first_day: date
    bins: tuple[RotationBin, ...]
    stage_weeks: tuple[tuple[int, ...], ...]
    stuff: tuple[StuffClass, ...]
    work_loads: tuple[float, ...]
    work: WorkRates
    form: HeapForm
    beds: tuple[BedWish, ...] = ()
    standing: tuple[StandingHeap, ...] = ()
    compost_on_hand_m3: float = 0.0
    most_builds: int = 12
    bin_numbers: dict[str, int] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        numbers = {one.key: number for number, one in enumerate(self.bins)}
        object.__setattr__(self, "bin_numbers", numbers)
        _check_lengths(self)
        _check_standing(self)

    @property
    def weeks(self) -> int:
        """The horizon: weeks 0 to weeks - 1 are planned."""
        return len(self.work_loads)

    def day_of(self, week: int) -> date:
        """Return the first day of a week."""
        return self.first_day + timedelta(days=7 * week)

    def bin_of(self, key: str) -> RotationBin:
        """Return a bin by its key."""
        return self.bins[self.bin_numbers[key]]


def _check_lengths(problem: RotationProblem) -> None:
    weeks = problem.weeks
    if len(problem.bin_numbers) != len(problem.bins):
        raise OutOfRange(worded("Two bins of the plan have the same key"))
    series: list[Sequence[float]] = [*problem.stage_weeks]
    for stuff in problem.stuff:
        series += [stuff.arriving_m3, stuff.need_m3_per_m3]
    for one in series:
        if len(one) != weeks:
            raise OutOfRange(
                worded("A series of {there} weeks", there=len(one)),
                why=worded("the plan is made for {weeks} weeks", weeks=weeks),
            )
    if len(problem.stage_weeks) != STAGES or any(n < 1 for row in problem.stage_weeks for n in row):
        raise OutOfRange(
            worded("The lengths of the stages"),
            why=worded("each of the three stages takes at least one week"),
        )
    amounts = [one.volume_m3 for one in problem.bins]
    amounts += [m3 for stuff in problem.stuff for m3 in (*stuff.arriving_m3, *stuff.need_m3_per_m3)]
    amounts += [lot.volume_m3 for stuff in problem.stuff for lot in stuff.on_hand]
    amounts += [*problem.work_loads, problem.compost_on_hand_m3]
    amounts += [m3 for bed in problem.beds for m3 in (bed.compost_m3, bed.weight)]
    if any(not 0.0 <= amount < float("inf") for amount in amounts):
        raise OutOfRange(worded("An amount below nothing, or without end, in the plan"))


def _check_standing(problem: RotationProblem) -> None:
    taken: set[str] = set()
    for heap in problem.standing:
        if heap.bin_key not in problem.bin_numbers:
            raise OutOfRange(
                worded("{heap} stands in a bin that is not in the row", heap=heap.name)
            )
        if heap.bin_key in taken:
            raise OutOfRange(
                worded("Two heaps stand in {bin}", bin=problem.bin_of(heap.bin_key).name),
                why=worded("a bin holds one heap at a time"),
            )
        taken.add(heap.bin_key)
        is_short = heap.weeks_left < 0 or any(weeks < 1 for weeks in heap.later_weeks)
        if len(heap.later_weeks) != STAGES - 1 - heap.stage or is_short:
            raise OutOfRange(
                worded("The weeks of {heap}", heap=heap.name),
                why=worded("each stage after the present one takes at least a week"),
            )
