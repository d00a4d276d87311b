"""What a thermometer sends and is answered, field by field; the same over HTTP and MQTT.

Knows the wire form and turns it into reports. Knows nothing of what becomes of them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from pydantic_core import from_json

from heapwright.errors import HeapwrightError, NotUnderstood, OutOfRange
from heapwright.probes.clock import moment_of
from heapwright.probes.settings import most_bytes, most_readings
from heapwright.probes.types import Report
from heapwright.quantities import TemperatureUnit, fahrenheit_to_celsius, parse_temperature_c
from heapwright.web import faults
from heapwright.web.api_models import Problem
from heapwright.wording import worded
from heapwright.workshop.probe_receive import Became, Received

_STRICT = ConfigDict(strict=True, allow_inf_nan=False)
_OWN_ID = 64
_LONGEST_LINE = 40


class MessageTooLarge(OutOfRange):
    """A message is larger than is taken at once."""

    def __init__(self) -> None:
        super().__init__(
            worded("The message is larger than {most} bytes", most=most_bytes()),
            instead="Send its readings in parts",
        )


class ProbeReadingIn(BaseModel):
    """One reading. Fields that are not listed (a battery's voltage) are passed over."""

    model_config = _STRICT

    temperature_c: float | None = Field(default=None, description="°C; this or temperature_f")
    temperature_f: float | None = Field(default=None, description="°F")
    at: str | float | None = Field(
        default=None,
        description="When, by the board's clock: RFC 3339 with offset, or seconds since 1970",
    )
    ago_s: Annotated[float, Field(ge=0)] | None = Field(
        default=None, description="Seconds between taking and sending it; instead of at"
    )
    depth_m: float | None = Field(default=None, description="Of the tip, if not the probe's own")
    id: str = Field(
        default="",
        max_length=_OWN_ID,
        description="The board's own name for it, never used twice; known again by it",
    )


class ProbeMessageIn(BaseModel):
    """A message: readings in any order; those sent before are known again."""

    model_config = _STRICT

    sent_at: str | float | None = Field(
        default=None,
        description="What the board's own clock shows while it sends; sets its readings right",
    )
    readings: list[ProbeReadingIn] = Field(min_length=1, max_length=most_readings())


class ProbeReadingOut(BaseModel):
    """What became of one reading, in the order in which they were sent."""

    outcome: Became
    id: str = Field(description="Of the journal's entry; empty when refused")
    at: datetime | None = Field(description="When it was taken, by the house's clock")
    problem: Problem | None


class ProbeAnswerOut(BaseModel):
    """What became of a message. What is stored or was there need not be sent again."""

    stored: int
    already_there: int
    refused: int
    clock_shifted_s: float = Field(
        description="By how much each at was shifted, because the board's clock is wrong; else 0"
    )
    readings: list[ProbeReadingOut]


class ProbeModel(BaseModel):
    """A thermometer that reports by itself."""

    key: str
    name: str
    bin_key: str
    depth_m: float
    where: str
    last_c: float | None
    last_at: datetime | None
    heard_at: datetime | None
    usual_minutes: float | None
    readings: int
    has_token: bool
    ills: list[str] = Field(description="What is wrong with it and what to do, in words")


@dataclass(frozen=True, slots=True)
class Message:
    """A message as it was read.

    Attributes
    ----------
    reports : tuple of Report or HeapwrightError
        In the order sent; an error stands for one that could not be read.
    sent_at : datetime or None
    said : mapping
        The whole document, for what a face wants of it besides (a token, whether to answer).

    """

    reports: tuple[Report | HeapwrightError, ...]
    sent_at: datetime | None
    said: Mapping[str, Any]


def read_message(body: bytes) -> Message:
    """Return what a JSON message says.

    A document with `readings` is a message; one without is itself the only reading.

    Raises
    ------
    NotUnderstood, OutOfRange
        When it is too large or no such document at all. A single wrong reading does not spoil the
        others.

    """
    if len(body) > most_bytes():
        raise MessageTooLarge
    try:
        document = from_json(body, allow_inf_nan=False)
    except ValueError as problem:
        raise NotUnderstood("The message is not JSON", why=str(problem)[:80]) from problem
    if not isinstance(document, dict):
        raise NotUnderstood("The message is no JSON object", instead=_SUCH_AS)
    readings = document.get("readings", [document])
    if not isinstance(readings, list) or not readings:
        raise NotUnderstood("The message holds no list of readings", instead=_SUCH_AS)
    if len(readings) > most_readings():
        raise OutOfRange(
            worded("The message holds {n} readings", n=len(readings)),
            why=worded("at most {most} are taken at once", most=most_readings()),
            instead="Send them in parts",
        )
    sent_at = document.get("sent_at")
    if isinstance(sent_at, bool) or not isinstance(sent_at, str | int | float | None):
        raise NotUnderstood("The message's sent_at is no time", instead=_SUCH_AS)
    return Message(
        tuple(_report(one) for one in readings),
        None if sent_at is None else moment_of(sent_at),
        document,
    )


def read_line(body: bytes) -> Message:
    """Return what a message of one line says: one temperature, now; °C when no unit is written.

    Raises
    ------
    HeapwrightError
        When it is none.

    """
    line = body.decode("utf-8", "replace").strip()
    if len(line) > _LONGEST_LINE or "\n" in line:
        raise NotUnderstood("The message is more than one number", instead=_SUCH_AS)
    try:
        celsius = float(line)
    except ValueError:
        celsius = parse_temperature_c(line, TemperatureUnit.C)
    if not math.isfinite(celsius):
        raise NotUnderstood("The message is no temperature", instead=_SUCH_AS)
    return Message((Report(celsius),), None, {})


_SUCH_AS = 'Send such as {"readings": [{"at": "2026-05-03T14:20:00Z", "temperature_c": 57.5}]}'


def _report(said: Any) -> Report | HeapwrightError:
    try:
        read = ProbeReadingIn.model_validate(said)
        return Report(
            temperature_c=_celsius(read),
            at=_at(read),
            ago_s=read.ago_s,
            depth_m=read.depth_m,
            own_id=read.id,
        )
    except ValidationError as problem:
        return _in_words(problem)
    except HeapwrightError as problem:
        return problem


def _celsius(read: ProbeReadingIn) -> float:
    if (read.temperature_c is None) == (read.temperature_f is None):
        raise NotUnderstood(
            "A reading needs either temperature_c or temperature_f", instead=_SUCH_AS
        )
    if read.temperature_c is not None:
        return read.temperature_c
    return fahrenheit_to_celsius(read.temperature_f or 0.0)


def _at(read: ProbeReadingIn) -> datetime | None:
    if read.at is not None and read.ago_s is not None:
        raise NotUnderstood("A reading has either at or ago_s, not both")
    return None if read.at is None else moment_of(read.at)


def _in_words(problem: ValidationError) -> NotUnderstood:
    first = problem.errors()[0]
    place = str(first["loc"][0]) if first["loc"] else "A reading"
    return NotUnderstood(
        worded("{place} cannot be read", place=place), why=first["msg"], instead=_SUCH_AS
    )


def answer_of(received: Received) -> ProbeAnswerOut:
    """Return the document that tells what became of a message."""
    return ProbeAnswerOut(
        stored=received.count(Became.STORED),
        already_there=received.count(Became.ALREADY_THERE),
        refused=received.count(Became.REFUSED),
        clock_shifted_s=round(received.clock_behind.total_seconds(), 1),
        readings=[
            ProbeReadingOut(
                outcome=one.became,
                id=one.entry_id,
                at=None if one.at is None else one.at.astimezone(UTC),
                problem=None
                if one.problem is None
                else Problem(**faults.problem(one.problem, faults.status_of(one.problem))),
            )
            for one in received.outcomes
        ],
    )
