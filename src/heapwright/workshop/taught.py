"""Answers what earlier heaps of this garden have taught about the one in a bin, in words.

Knows which numbers of the model say something to a gardener, and from what shift on. Knows nothing
of how they were learnt.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from heapwright.errors import NotFound
from heapwright.sentences import Measure, Sentence, Value, say, share, word
from heapwright.wording import listed, worded
from heapwright.workshop.garden import Garden
from heapwright.workshop.lessons import Taught, taught_before

if TYPE_CHECKING:
    from heapwright.fitting.followed import Followed

#: What a number says when it lies above and below the usual: in the gardener's words.
_WORDS = {
    "wind_shelter": (
        say("The bins stand in more wind than is usual: they cool and dry faster."),
        say("The bins stand sheltered: they cool and dry more slowly than is usual."),
    ),
    "floor_openness": (
        say("More air comes in from below than is usual."),
        say("Less air comes in from below than is usual: a coarse base of twigs helps."),
    ),
    "permeability_m2": (
        say("Air passes these heaps more easily than is usual: they are loose."),
        say("Air passes these heaps less easily than is usual: they lie dense."),
    ),
    "wind_suction": (
        say("Wind draws more air through these heaps than is usual."),
        say("Wind draws less air through these heaps than is usual."),
    ),
    "ground_resistance_m2_k_w": (
        say("The ground takes less heat than is usual."),
        say("The ground takes more heat than is usual: a coarse base keeps it in."),
    ),
    "settled_share": (
        say("These heaps sink less than is usual."),
        say("These heaps sink more than is usual."),
    ),
    "medium_rate_per_day": (
        say("What rots fairly fast does so faster here than is usual."),
        say("What rots fairly fast does so more slowly here than is usual."),
    ),
    "build_up_start": (
        say("These heaps heat sooner after building than is usual."),
        say("These heaps take longer to heat after building than is usual."),
    ),
}
_FILLS = (
    (
        say("What went in held about {more} more that rots fast than was told."),
        say("What went in held about {more} less that rots fast than was told."),
    ),
    (
        say("What went in held about {more} more that rots within weeks than was told."),
        say("What went in held about {more} less that rots within weeks than was told."),
    ),
    (
        say("What went in held about {more} more water than was told."),
        say("What went in held about {more} less water than was told."),
    ),
)


@dataclass(frozen=True, slots=True)
class TaughtAnswer:
    """What earlier heaps taught, as it was used for this one.

    Attributes
    ----------
    basis : Sentence
        Which heaps and how many readings it rests on.
    lessons : tuple of Sentence
        The plainest first; empty when all was as is usual.
    limits : Sentence
        How far it is to be trusted.

    """

    basis: Sentence
    lessons: tuple[Sentence, ...]
    limits: Sentence


def taught(garden: Garden, bin_key: str) -> TaughtAnswer | None:
    """Return what earlier heaps taught about the heap in a bin; None when none came before.

    Raises
    ------
    NotFound
        If the bin is unknown or empty.

    """
    batch = garden.batch_in(bin_key)
    if batch is None:
        raise NotFound(
            worded("{name} is empty", name=garden.bin(bin_key).name),
            why="there is no heap that an earlier one could teach about",
            instead="Build one first",
        )
    found = taught_before(garden, batch)
    return None if found is None else _answer(found)


def learnt_from(name: str, followed: Followed, readings: int) -> tuple[Sentence, ...]:
    """Return what a heap that has been followed teaches the next, in words; the plainest first.

    Parameters
    ----------
    name : str
        Of the heap.
    followed : Followed
    readings : int
        Of its core; too few teach nothing.

    """
    from heapwright.fitting.lesson import carried_shares, lesson_of

    if readings < carried_shares()["least_readings"]:
        return ()
    return _answer(Taught(lesson_of(followed), (name,), readings)).lessons


def _answer(found: Taught) -> TaughtAnswer:
    from heapwright.fitting.lesson import carried_shares

    table = carried_shares()
    shifts = [
        *_numbers(found, table["told_deviation"]),
        *_fills(found, table["told_fill"]),
    ]
    shifts.sort(key=lambda one: -one[0])
    return TaughtAnswer(
        basis=say(
            "From {readings} readings of {batches}, taken before this heap was built.",
            readings=Value(found.readings, Measure.COUNT),
            batches=word(listed(found.batches)),
        ),
        lessons=tuple(words for _, words in shifts),
        limits=say(
            "The model starts from this and from the tables; what is read of this heap goes "
            "before it. Other causes than the one named can look the same to a thermometer."
        ),
    )


def _numbers(found: Taught, least: float) -> Iterator[tuple[float, Sentence]]:
    from heapwright.heap.parameters import PARAMETER_IDS

    for name, (more, less) in _WORDS.items():
        shift = float(found.lesson.mean[PARAMETER_IDS.index(name)])
        if abs(shift) >= least:
            yield abs(shift), more if shift > 0 else less


def _fills(found: Taught, least: float) -> Iterator[tuple[float, Sentence]]:
    for log, (more, less) in zip(found.lesson.fill_log, _FILLS, strict=True):
        change = float(np.exp(log)) - 1.0
        if abs(change) >= least:
            words = more if change > 0 else less
            told = say(words.template, more=share(abs(change)))
            yield abs(change) / least, told
