"""Shares compost out among beds when it is short, by a rule that can be told in one breath.

The thin layer of every bed comes before the usual layer of any. Within that, the more important
bed comes first, then the one that is due earlier. Nothing is promised before it is there.

Knows volumes and dates. Knows nothing of depths or of where compost comes from.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from heapwright.errors import OutOfRange
from heapwright.sentences import Sentence, say
from heapwright.wording import worded

RULE: Sentence = say(
    "Every bed gets its thin layer before any gets its usual one; the more important bed comes "
    "first, then the one that is due earlier; nothing is promised before it is there."
)


@dataclass(frozen=True, slots=True)
class Want:
    """What a bed still wants.

    Attributes
    ----------
    key : str
    due : date
        Only what is there by then can serve it.
    thin_m3, usual_m3 : float
        0 <= thin <= usual. [m³]
    weight : int
        Higher comes first.

    """

    key: str
    due: date
    thin_m3: float
    usual_m3: float
    weight: int = 2

    def __post_init__(self) -> None:
        if not 0.0 <= self.thin_m3 <= self.usual_m3:
            raise OutOfRange(
                worded(
                    "{key} wants {thin:g} to {usual:g} m³",
                    key=self.key,
                    thin=self.thin_m3,
                    usual=self.usual_m3,
                ),
                why="the thin layer lies between nothing and the usual one",
            )


@dataclass(frozen=True, slots=True)
class Supply:
    """Compost that is there from a day on. [m³]"""

    on: date
    volume_m3: float


def shared_out(wants: Sequence[Want], supplies: Sequence[Supply]) -> Mapping[str, float]:
    """Return how much each bed gets. [m³]

    With S(t) what is there by t and G(t) what is given to beds due by t, a bed due on d may get
    at most min over t >= d of S(t) - G(t). As these limits nest, taking the beds one after the
    other leaves nothing over that a bed could still have had.

    Parameters
    ----------
    wants : sequence of Want
        Each key once.
    supplies : sequence of Supply
        At least 0 each.

    Returns
    -------
    mapping of key to float
        Never more than is wanted, nor together more than is there by any day.

    """
    given = dict.fromkeys((one.key for one in wants), 0.0)
    due = {one.key: one.due for one in wants}
    ordered = sorted(wants, key=lambda one: (-one.weight, one.due, one.key))
    days = sorted({one.due for one in wants} | {one.on for one in supplies})
    for is_thin in (True, False):
        for one in ordered:
            aim = one.thin_m3 if is_thin else one.usual_m3
            free = _free_m3(one.due, days, given, due, supplies)
            given[one.key] += max(0.0, min(aim - given[one.key], free))
    return given


def _free_m3(
    from_day: date,
    days: Sequence[date],
    given: Mapping[str, float],
    due: Mapping[str, date],
    supplies: Sequence[Supply],
) -> float:
    """Return what is not given away yet, from a day on. [m³]"""
    return min(
        sum(one.volume_m3 for one in supplies if one.on <= day)
        - sum(volume for key, volume in given.items() if due[key] <= day)
        for day in days
        if day >= from_day
    )
