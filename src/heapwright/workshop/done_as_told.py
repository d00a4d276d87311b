"""Says what a person has done who did what Today advises: as things to log, still to be confirmed.

Knows which job is which thing at the bin. Stores nothing; the person says what was different.
"""

from __future__ import annotations

from dataclasses import dataclass

from heapwright.advice import phrases
from heapwright.advice.types import Advice, Job
from heapwright.heap.types import Cover
from heapwright.sentences import Measure
from heapwright.workshop.answers import BinToday
from heapwright.workshop.garden import Garden
from heapwright.workshop.whatif import next_bin

_TURNS = (Job.STIR, Job.MOVE, Job.MIX_IN_BROWN, Job.MIX_IN_GREEN)


@dataclass(frozen=True, slots=True)
class DoneAsTold:
    """What following a bin's job comes to.

    Attributes
    ----------
    bin_key : str
    turned : str
        "stir", "move" or "".
    to_bin : str
        Key of the bin it was moved to; "" when it was not.
    water_kg : float or None
    cover : Cover or None
    lines : tuple of (str, int)
        Lots that were mixed in, and containers of each.
    cured : bool
        Left to cure.

    """

    bin_key: str
    turned: str = ""
    to_bin: str = ""
    water_kg: float | None = None
    cover: Cover | None = None
    lines: tuple[tuple[str, int], ...] = ()
    cured: bool = False


def done_as_told(garden: Garden, shown: BinToday) -> DoneAsTold | None:
    """Return what doing a bin's job comes to; None when there is nothing of it to log.

    Reading, looking, testing and building have pages of their own.
    """
    advice = shown.advice
    key = shown.bin.key
    if advice.job in _TURNS:
        return _turned(garden, shown)
    if advice.job is Job.WET:
        return DoneAsTold(key, water_kg=_water_kg(advice), cover=_cover(advice))
    if advice.job is Job.CAP:
        return DoneAsTold(key, cover=Cover.BROWN_CAP)
    if advice.job is Job.CURE and shown.stage == "hot":
        return DoneAsTold(key, cover=_cover(advice), cured=True)
    return None


def _turned(garden: Garden, shown: BinToday) -> DoneAsTold:
    advice = shown.advice
    told = advice.headline.values.get("bin")
    following = next_bin(garden, shown.bin)
    moved = told is not None and following is not None and following.name == told.amount
    return DoneAsTold(
        shown.bin.key,
        turned="move" if moved else "stir",
        to_bin=following.key if moved and following else "",
        water_kg=_water_kg(advice),
        cover=_cover(advice),
        lines=advice.lines,
    )


def _water_kg(advice: Advice) -> float | None:
    """Return the water the advice names as likely. [kg]"""
    for sentence in advice.amounts:
        likely = sentence.values.get("likely")
        if likely is not None and likely.measure is Measure.WATER:
            return float(likely.amount)
    return None


def _cover(advice: Advice) -> Cover | None:
    return Cover.BROWN_CAP if phrases.END_WITH_BROWN in advice.afterwards else None
