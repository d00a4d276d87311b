"""Draws every heap through the weeks: bins as rows, weeks as columns, a band that moves.

Knows places on the paper, in sixteenths of the text's height so that the picture grows with the
text. Knows nothing of how hot a heap was or why.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from urllib.parse import quote

from heapwright.sentences import Reader
from heapwright.web import words
from heapwright.web.chart import LETTERS, letters_of, said_together
from heapwright.web.heat import heat_step
from heapwright.wording import dated
from heapwright.workshop.timeline import WEEK, BatchLine, Mark, Piece, Timeline, monday, next_monday

WEEK_WIDTH, ROW_HEIGHT, HEAD = 64.0, 124.0, 44.0
BAND_TOP, BAND_HEIGHT = 10.0, 52.0
#: Numbers and letters need this much; what is nearer is left to the table, or said together.
_LEAST_FOR_NUMBER, _LEAST_APART = 34.0, 20.0
#: Weeks shown ahead at least, and at most for the sake of a far ready date.
_AHEAD_LEAST, _AHEAD_MOST = 3, 18


@dataclass(frozen=True, slots=True)
class Drawn:
    """One piece of a batch's band."""

    x: float
    y: float
    width: float
    heat: int | None  # step of the heat scale; None where nothing is known
    number: str  # "" when there is no room
    is_read: bool
    is_curing: bool


@dataclass(frozen=True, slots=True)
class Letters:
    """What was done, under the band."""

    x: float
    y: float
    text: str


@dataclass(frozen=True, slots=True)
class ReadyDrawn:
    """The range in which a batch is expected to be ready."""

    x: float
    y: float
    width: float
    likely_x: float | None  # None beyond the picture's end
    goes_on: bool  # beyond the picture's end


@dataclass(frozen=True, slots=True)
class BandDrawn:
    """One batch on the picture."""

    line: BatchLine
    address: str
    pieces: tuple[Drawn, ...]
    moves: tuple[str, ...]  # paths from bin to bin
    letters: tuple[Letters, ...]
    ready: ReadyDrawn | None
    name_x: float
    name_y: float


@dataclass(frozen=True, slots=True)
class TimelinePicture:
    """Everything `timeline.html` puts on the page."""

    width: float
    height: float
    weeks: tuple[tuple[float, str], ...]  # x, the Monday's date
    rows: tuple[tuple[float, str], ...]  # y, the bin's name
    now_x: float
    bands: tuple[BandDrawn, ...]
    letters: tuple[tuple[str, str], ...]  # those that stand on it, with their words

    def rem(self, units: float) -> str:
        """Return a length for an attribute that grows with the text."""
        return f"{units / 16:g}rem"


class _Paper:
    """Where moments and bins lie."""

    def __init__(self, answer: Timeline, zone: tzinfo) -> None:
        self.zone = zone
        self.since = answer.since
        self.end = monday(_farthest(answer) + WEEK, zone)
        self.row = {one.key: number for number, one in enumerate(answer.bins)}

    def x(self, at: datetime) -> float:
        return round((at - self.since) / WEEK * WEEK_WIDTH, 1)

    def y(self, bin_key: str) -> float:
        return HEAD + self.row[bin_key] * ROW_HEIGHT


def _farthest(answer: Timeline) -> datetime:
    """Return what the picture must reach: some weeks ahead, and the likely dates within reason."""
    least, most = answer.now + _AHEAD_LEAST * WEEK, answer.now + _AHEAD_MOST * WEEK
    dates = [one.ready for one in answer.batches if one.ready is not None]
    wanted = [one.high or one.likely or most for one in dates]
    return min(most, max([least, *wanted]))


def timeline_picture(answer: Timeline, reader: Reader, zone: tzinfo) -> TimelinePicture:
    """Return the picture of every heap through the weeks."""
    paper = _Paper(answer, zone)
    bands = tuple(_band(line, paper, answer.now, reader) for line in answer.batches)
    stand = {letter for band in bands for one in band.letters for letter in one.text}
    return TimelinePicture(
        width=paper.x(paper.end),
        height=HEAD + len(answer.bins) * ROW_HEIGHT,
        weeks=tuple((paper.x(at), dated(at.astimezone(zone), "d MMM")) for at in _mondays(paper)),
        rows=tuple((paper.y(one.key), one.name) for one in answer.bins),
        now_x=paper.x(answer.now),
        bands=bands,
        letters=tuple(told for told in LETTERS.values() if told[0] in stand),
    )


def _mondays(paper: _Paper) -> Iterable[datetime]:
    at = paper.since
    while at < paper.end:
        yield at
        at = next_monday(at, paper.zone)


def _band(line: BatchLine, paper: _Paper, now: datetime, reader: Reader) -> BandDrawn:
    first = line.pieces[0] if line.pieces else None
    return BandDrawn(
        line=line,
        address=_address(line),
        pieces=tuple(_piece(one, paper, reader) for one in line.pieces),
        moves=tuple(_moves(line.pieces, paper)),
        letters=tuple(_letters(line.marks, paper)),
        ready=_ready(line, paper, now),
        name_x=0.0 if first is None else paper.x(first.since),
        name_y=0.0 if first is None else paper.y(first.bin_key) + BAND_TOP,
    )


def _address(line: BatchLine) -> str:
    """Return the page a batch opens: its bin's while it lies there, else its story."""
    if line.bin_key is not None:
        return f"/bins/{quote(line.bin_key, safe='')}"
    return f"/batches/{quote(line.key, safe='')}/story"


def _piece(piece: Piece, paper: _Paper, reader: Reader) -> Drawn:
    x, width = paper.x(piece.since), round(paper.x(piece.until) - paper.x(piece.since), 1)
    step = None if piece.hottest_c is None else heat_step(piece.hottest_c)
    number = ""
    if piece.hottest_c is not None and width >= _LEAST_FOR_NUMBER:
        number = ("" if piece.is_read else "~") + words.degrees(piece.hottest_c, reader)
    return Drawn(
        x=x,
        y=paper.y(piece.bin_key) + BAND_TOP,
        width=max(width, 1.0),
        heat=step,
        number=number,
        is_read=piece.is_read,
        is_curing=piece.is_curing,
    )


def _moves(pieces: Sequence[Piece], paper: _Paper) -> Iterable[str]:
    for before, after in itertools.pairwise(pieces):
        if before.bin_key != after.bin_key:
            top, foot = sorted((paper.y(before.bin_key), paper.y(after.bin_key)))
            x = paper.x(after.since)
            yield f"M{x:g} {top + BAND_TOP + BAND_HEIGHT:g}V{foot + BAND_TOP:g}"


def _letters(marks: Sequence[Mark], paper: _Paper) -> Iterable[Letters]:
    """Yield the letters under the band; those that would touch are said together."""
    for bin_key, there in itertools.groupby(marks, key=lambda mark: mark.bin_key):
        y = paper.y(bin_key) + BAND_TOP + BAND_HEIGHT + 22
        placed = [
            (paper.x(mark.at), letters_of(mark.kind, with_water=mark.with_water)) for mark in there
        ]
        yield from (Letters(x, y, text) for x, text in said_together(placed, _LEAST_APART))


def _ready(line: BatchLine, paper: _Paper, now: datetime) -> ReadyDrawn | None:
    date = line.ready
    if date is None or line.bin_key is None or date.low is None:
        return None
    end = paper.end if date.high is None else min(date.high, paper.end)
    start = min(max(date.low, now), paper.end)
    likely = date.likely is not None and date.likely <= paper.end
    return ReadyDrawn(
        x=paper.x(start),
        y=paper.y(line.bin_key) + BAND_TOP,
        width=max(8.0, round(paper.x(end) - paper.x(start), 1)),
        likely_x=paper.x(max(date.likely, now)) if likely and date.likely is not None else None,
        goes_on=date.high is None or date.high > paper.end,
    )
