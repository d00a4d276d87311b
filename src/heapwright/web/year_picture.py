"""Draws the year's plan: weeks run down the page, bins stand side by side, beds wait at the right.

So a phone held upright shows a whole season without scrolling sideways, and a wall sheet holds the
year. Knows places on the paper; knows nothing of why a heap goes where it goes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from heapwright.season.rotation_plan import JobKind, PlannedBatch
from heapwright.season.rotation_types import Stage
from heapwright.wording import dated
from heapwright.workshop.year_answer import YearAnswer

WIDTH, HEAD, WEEK_HEIGHT = 320.0, 34.0, 22.0
_LEFT, _RIGHT, _BETWEEN = 52.0, 66.0, 6.0
#: Words in a band need this much height.
_LEAST_FOR_WORDS = 20.0
#: Plans count in whole litres: what is nearer to a bed's wish is all of it. [m³]
WHOLE_LITRE_M3 = 0.001
LETTERS = {
    JobKind.BUILD: "B",
    JobKind.MOVE: "M",
    JobKind.STIR: "T",
    JobKind.HARVEST: "H",
}


@dataclass(frozen=True, slots=True)
class PieceDrawn:
    """A heap in a bin during one stage."""

    x: float
    y: float
    width: float
    height: float
    waiting_y: float | None  # from where it only waits for the next bin
    stage: str  # "first", "middle", "cure"
    number: str  # "" when there is no room
    goes_on: bool  # beyond the horizon
    began_before: bool


@dataclass(frozen=True, slots=True)
class MoveDrawn:
    """A heap going over into another bin."""

    x: float
    y: float
    to_x: float


@dataclass(frozen=True, slots=True)
class BedDrawn:
    """A bed's date at the right edge."""

    y: float
    name: str
    is_served: bool
    share: float  # of what it wishes that is surely there


@dataclass(frozen=True, slots=True)
class YearPicture:
    """Everything `year_picture.html` puts on the page."""

    width: float
    height: float
    columns: tuple[tuple[float, float, str], ...]  # x, width, the bin's name
    months: tuple[tuple[float, str], ...]
    weeks: tuple[tuple[float, str], ...]  # y, day of the Monday
    away: tuple[float, ...]
    pieces: tuple[PieceDrawn, ...]
    moves: tuple[MoveDrawn, ...]
    beds: tuple[BedDrawn, ...]
    week_height: float = WEEK_HEIGHT
    head: float = HEAD

    def rem(self, units: float) -> str:
        """Return a length for an attribute that grows with the text."""
        return f"{units / 16:g}rem"


class _Paper:
    def __init__(self, answer: YearAnswer) -> None:
        self.problem = answer.problem
        bins = len(self.problem.bins)
        room = WIDTH - _LEFT - _RIGHT
        self.column = room / max(1, bins)

    def x(self, bin_key: str) -> float:
        return _LEFT + self.problem.bin_numbers[bin_key] * self.column

    def y(self, week: float) -> float:
        return HEAD + week * WEEK_HEIGHT

    @property
    def band(self) -> float:
        return self.column - _BETWEEN


def year_picture(answer: YearAnswer) -> YearPicture:
    """Return the picture of a year's plan."""
    paper = _Paper(answer)
    weeks = answer.problem.weeks
    return YearPicture(
        width=WIDTH,
        height=HEAD + weeks * WEEK_HEIGHT + 4,
        columns=tuple((paper.x(one.key), paper.band, one.name) for one in answer.problem.bins),
        months=tuple(_months(answer, paper)),
        weeks=tuple((paper.y(week), str(answer.problem.day_of(week).day)) for week in range(weeks)),
        away=tuple(paper.y(week) for week, gone in enumerate(answer.away) if gone),
        pieces=tuple(_pieces(answer, paper)),
        moves=tuple(_moves(answer.plan.batches, paper)),
        beds=tuple(_beds(answer, paper)),
    )


def _months(answer: YearAnswer, paper: _Paper) -> Iterable[tuple[float, str]]:
    """Yield where each month begins, to the day."""
    first = answer.first_day
    end = first + timedelta(weeks=answer.problem.weeks)
    yield paper.y(0), dated(first, "d MMM")
    month = date(first.year + (first.month == 12), first.month % 12 + 1, 1)
    while month < end:
        if (month - first).days >= 10:  # else it would touch the first
            yield paper.y((month - first).days / 7), dated(month, "d MMM")
        month = date(month.year + (month.month == 12), month.month % 12 + 1, 1)


def _pieces(answer: YearAnswer, paper: _Paper) -> Iterable[PieceDrawn]:
    numbers = {one.key: one.number for one in answer.batches}
    for batch in answer.plan.batches:
        for stay, least in zip(batch.stays, _least_weeks(answer, batch), strict=True):
            end = answer.problem.weeks if stay.end_week is None else stay.end_week
            y, foot = paper.y(stay.start_week), paper.y(end)
            sure_foot = paper.y(min(end, stay.start_week + least))
            if foot <= y:
                continue
            yield PieceDrawn(
                x=paper.x(stay.bin_key),
                y=y,
                width=paper.band,
                height=foot - y,
                waiting_y=sure_foot if sure_foot < foot else None,
                stage=Stage(stay.stage).name.lower(),
                number=str(numbers[batch.key]) if foot - y >= _LEAST_FOR_WORDS else "",
                goes_on=stay.end_week is None,
                began_before=batch.is_standing and stay is batch.stays[0],
            )


def _least_weeks(answer: YearAnswer, batch: PlannedBatch) -> Sequence[int]:
    """Return how long each stay must last; what is longer is waiting."""
    problem = answer.problem
    if batch.is_standing:
        heap = next(one for one in problem.standing if one.key == batch.key)
        return (heap.weeks_left, *heap.later_weeks)[: len(batch.stays)]
    built = batch.stays[0].start_week
    return [problem.stage_weeks[stay.stage][built] for stay in batch.stays]


def _moves(batches: Sequence[PlannedBatch], paper: _Paper) -> Iterable[MoveDrawn]:
    for batch in batches:
        for before, after in zip(batch.stays, batch.stays[1:], strict=False):
            if before.bin_key != after.bin_key:
                x = paper.x(before.bin_key) + paper.band
                yield MoveDrawn(x, paper.y(after.start_week), paper.x(after.bin_key))


def _beds(answer: YearAnswer, paper: _Paper) -> Iterable[BedDrawn]:
    first, last = answer.first_day, answer.problem.weeks
    free = HEAD
    for bed in sorted(answer.beds, key=lambda one: one.due):
        week = (bed.due - first).days / 7
        if not 0 <= week <= last:
            continue
        y = max(paper.y(week), free)
        free = y + 22  # the next one's words go below
        share = bed.served_m3 / bed.wished_m3 if bed.wished_m3 > 0 else 1.0
        yield BedDrawn(y, bed.name, bed.short_m3 <= WHOLE_LITRE_M3, min(1.0, share))
