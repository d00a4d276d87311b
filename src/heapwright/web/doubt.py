"""Asks again before an improbable reading is kept: a slip of the unit, or a jump of the heap.

Knows the person's degrees and the heap's last reading. Stores nothing, refuses nothing that can
be: the person has the last word.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta

from heapwright.advice.phrases import FIRE
from heapwright.advice.signs import limits
from heapwright.errors import HeapwrightError, OutOfRange
from heapwright.journal import fields
from heapwright.quantities import (
    TemperatureUnit,
    fahrenheit_to_celsius,
    format_temperature,
    parse_number,
    parse_temperature_c,
)
from heapwright.quantities.parsing import split_number
from heapwright.sentences import Sentence
from heapwright.wording import worded

#: A heap is compared with its last reading no older than this (common practice: hot heaps are
#: read daily). Two thirds of the improbable jump is asked about when the other degree would bring
#: the reading within a turn's cooling of the last one: a slip of the unit then (our choice).
COMPARED_WITHIN = timedelta(days=3)
_SUSPECT_SHARE = 2 / 3
NEAR_C = 10.0
_DEGREE = re.compile(r"[°º˚]|degrees?|deg\.?")


@dataclass(frozen=True, slots=True)
class Last:
    """The last reading of a heap."""

    at: datetime
    temperature_c: float


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer to the question: the degree to take the number in, in words."""

    unit: TemperatureUnit
    words: str


@dataclass(frozen=True, slots=True)
class Doubt:
    """What is asked about a reading.

    Attributes
    ----------
    question, why : str
    meant : Choice or None
        What may have been meant instead.
    stays : Choice or None
        To keep what was written; None when it cannot be.
    cautions : tuple of Sentence

    """

    question: str
    why: str
    meant: Choice | None
    stays: Choice | None
    cautions: tuple[Sentence, ...] = ()


def suspect_jump_c() -> float:
    """Return the jump that is asked about when the other degree would be likelier. [°C]"""
    return _SUSPECT_SHARE * fields.limit("jump_c").high


def written_in(text: str, unit: TemperatureUnit) -> str:
    """Return the number of a written temperature with this unit in place of any other."""
    parts = split_number(text)
    return f"{parts[0]} {unit}" if parts else text


def doubt(text: str, unit: TemperatureUnit, last: Last | None, now: datetime) -> Doubt | None:
    """Return what is to be asked about a reading, None when it is plain.

    Parameters
    ----------
    text : str
        As written; a unit in it goes before `unit`.
    unit : TemperatureUnit
    last : Last or None
        Of the same heap.
    now : datetime
        When this one was read.

    Raises
    ------
    HeapwrightError
        When it is no temperature at all, or none in either degree.

    """
    written = _written_unit(text, unit)
    other_c = _as_reading(text, written.other)
    try:
        read_c = parse_temperature_c(text, unit)
        fields.number("temperature_c")("Temperature", read_c)
    except OutOfRange as problem:
        if other_c is None:
            raise
        return _cannot_be(text, written, other_c, problem)
    if read_c >= limits()["stand_back_c"]:
        return _very_hot(written, read_c)
    if last is None or not timedelta(0) <= now - last.at <= COMPARED_WITHIN:
        return None
    return _jump(text, written, read_c, other_c, last)


def _jump(
    text: str, written: TemperatureUnit, read_c: float, other_c: float | None, last: Last
) -> Doubt | None:
    off = abs(read_c - last.temperature_c)
    slip = other_c is not None and abs(other_c - last.temperature_c) <= NEAR_C
    if off <= (suspect_jump_c() if slip else fields.limit("jump_c").high):
        return None
    before = format_temperature(last.temperature_c, written, both=slip)
    return Doubt(
        question=f"{_number(text)} °{written}?",
        why=worded("The last reading of this heap was {before}.", before=before),
        meant=_meant(text, written.other, other_c) if slip else None,
        stays=Choice(
            written, worded("Yes, it reads {text} °{written}", text=_number(text), written=written)
        ),
    )


def _cannot_be(text: str, unit: TemperatureUnit, other_c: float, problem: OutOfRange) -> Doubt:
    return Doubt(
        question=f"{_number(text)} °{unit}?",
        why=f"{problem.why[:1].upper()}{problem.why[1:].rstrip('.')}.",
        meant=_meant(text, unit.other, other_c),
        stays=None,
    )


def _very_hot(unit: TemperatureUnit, read_c: float) -> Doubt:
    shown = format_temperature(read_c, unit)
    return Doubt(
        question=worded("{shown}? That is hot enough to scorch", shown=shown),
        why="A wet heap hardly ever gets so hot. Look for smoke before you do anything else.",
        meant=None,
        stays=Choice(unit, worded("Yes, it reads {shown}", shown=shown)),
        cautions=FIRE,
    )


def _meant(text: str, unit: TemperatureUnit, celsius: float | None) -> Choice | None:
    if celsius is None:
        return None
    also = format_temperature(celsius, unit.other)
    return Choice(unit, f"{_number(text)} °{unit} ({also})")


def _written_unit(text: str, default: TemperatureUnit) -> TemperatureUnit:
    """Return the degree a text names, else the default."""
    parts = split_number(text.lower())
    rest = parts[1] if parts else ""
    letter = _DEGREE.sub("", rest.replace("℃", "c").replace("℉", "f")).strip()[:1]
    return {"c": TemperatureUnit.C, "f": TemperatureUnit.F}.get(letter, default)


def _as_reading(text: str, unit: TemperatureUnit) -> float | None:
    """Return the number read in a degree, None when no heap could be so."""
    parts = split_number(text)
    if parts is None:
        return None
    try:
        value = parse_number(parts[0])
        celsius = value if unit is TemperatureUnit.C else fahrenheit_to_celsius(value)
        fields.number("temperature_c")("Temperature", celsius)
    except HeapwrightError:
        return None
    return celsius


def _number(text: str) -> str:
    parts = split_number(text)
    return parts[0] if parts else text
