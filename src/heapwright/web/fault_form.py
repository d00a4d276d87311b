"""Reads what a person ticks on the page that finds a fault, and lays out what it found.

Knows the form's fields and the page's parts. Knows no cause and no probability's making.
"""

from __future__ import annotations

from dataclasses import dataclass

from heapwright.diagnosis.looks import said, ticks
from heapwright.diagnosis.types import Seen
from heapwright.journal.forms import LOOKS, PESTS, SMELLS, SQUEEZES
from heapwright.web.forms import Filled
from heapwright.workshop.diagnose_answer import CauseShown, Diagnosis, OutcomeShown

#: A bar's length on its drawing.
BAR = 300
#: Causes shown at once; the others stand in the details.
FIRST = 3
#: What is seen where the compost was spread or sown, apart from what is seen at the heap.
IN_THE_BED = ("weeds", "stunted", "cupped leaves")


@dataclass(frozen=True, slots=True)
class CauseRow:
    """One cause with its bar: where the likely share and its range lie on the drawing."""

    cause: CauseShown
    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True)
class Answered:
    """An outcome of the next look as a button: the field and value it sends; none when untellable.

    `field` is "" for what the log tells, such as a reading.
    """

    outcome: OutcomeShown
    field: str
    value: str


@dataclass(frozen=True, slots=True)
class FaultPage:
    """Everything the page shows of an answer."""

    answer: Diagnosis
    first: tuple[CauseRow, ...]
    rest: tuple[CauseRow, ...]
    answers: tuple[Answered, ...]


def told_only(form: Filled) -> Filled:
    """Return the form without its blank fields.

    A choice left open is sent blank beside the button that answers it; the button is what counts.
    """
    return Filled((name, text) for name, text in form.given if text.strip())


def read_seen(form: Filled) -> Seen:
    """Return what the form says was seen; what is wrong is held beside its field.

    What is ticked now outranks an earlier "not found" that the address still carries.
    """
    smell = form.one_of("smell", "Smell", SMELLS)
    squeeze = form.one_of("squeeze", "Squeeze", SQUEEZES)
    there = [*form.several_of("pests", "Pests", PESTS), *form.several_of("looks", "Look", LOOKS)]
    found = said(smell or "", squeeze or "", there, ())
    gone = form.several_of("not", "Not found", ticks())
    return Seen(found.smell, found.squeeze, found.present, frozenset(gone) - found.present)


def fault_page(answer: Diagnosis) -> FaultPage:
    """Return the page's layout."""
    rows = tuple(_row(one) for one in answer.causes)
    outcomes = () if answer.check is None else answer.check.outcomes
    return FaultPage(
        answer=answer,
        first=rows[:FIRST],
        rest=rows[FIRST:],
        answers=tuple(_answered(one) for one in outcomes),
    )


def _row(one: CauseShown) -> CauseRow:
    share = one.probability
    low, likely, high = (round(BAR * part, 1) for part in (share.low, share.likely, share.high))
    return CauseRow(one, low, likely, high)


def _answered(one: OutcomeShown) -> Answered:
    if one.sign in ("smell", "squeeze"):
        return Answered(one, one.sign, one.outcome)
    if one.sign not in ticks():
        return Answered(one, "", "")
    if one.outcome == "no":
        return Answered(one, "not", one.sign)
    return Answered(one, "pests" if one.sign in PESTS else "looks", one.sign)
