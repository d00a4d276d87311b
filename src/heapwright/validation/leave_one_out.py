"""How each measured case does when it had no say in the fit, as the calibration wrote it.

Knows the kept scores and the mark of the numbers they belong to, so that scores of an older fit are
never told as today's. Written by `tools/calibrate_heap.py --leave-one-out`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from heapwright.heap.parameters import PARAMETER_IDS, Parameters, load_parameters
from heapwright.tables import read_rows

_PACKAGE, _TABLE = "heapwright.validation", "leave_one_out.csv"


@dataclass(frozen=True, slots=True)
class LeftOut:
    """One case's result with the numbers fitted to all other cases.

    `met_in_doubt` is the share of draws of the case's assumptions with which the shared fit
    meets it. [0-1]
    """

    case: str
    passed: bool
    heated_wrongly: bool
    met_in_doubt: float


def numbers_mark(numbers: Parameters) -> str:
    """Return a short mark that changes with any number of the heap model."""
    text = ";".join(f"{name}={getattr(numbers, name):.6g}" for name in PARAMETER_IDS)
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def leave_one_out_scores() -> tuple[LeftOut, ...]:
    """Return the kept scores; empty when they belong to other numbers than the model's."""
    rows = list(read_rows(_PACKAGE, _TABLE))
    mark = numbers_mark(load_parameters())
    if any(row["numbers"] != mark for row in rows):
        return ()
    return tuple(
        LeftOut(
            row["case"],
            row["passed"] == "true",
            row["heated_wrongly"] == "true",
            float(row["met_in_doubt"]),
        )
        for row in rows
    )


def leave_one_out_sentence(scores: Sequence[LeftOut]) -> str:
    """Return the scores in a sentence."""
    missed = [score.case for score in scores if not score.passed]
    hot = [score.case for score in scores if score.heated_wrongly]
    doubt = sum(score.met_in_doubt for score in scores)
    return (
        f"Fitted anew without each case in turn, {len(scores) - len(missed)} of {len(scores)} "
        f"tested cases pass (missed: {', '.join(missed) or 'none'}); must stay cool and heats: "
        f"{', '.join(hot) or 'none'}. With what had to be assumed of each heap drawn anew around "
        f"the guess, {doubt:.1f} of {len(scores)} are met on average."
    )
