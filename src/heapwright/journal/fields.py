"""Reads one field of an entry's body and refuses what cannot be with a gardener's sentence.

Knows what a clean value looks like and how to say what is wrong with another. Knows nothing of
which kind of entry has which fields, nor of units other than SI.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from heapwright.errors import HeapwrightError, NotUnderstood, OutOfRange
from heapwright.quantities import celsius_to_fahrenheit
from heapwright.tables import read_rows
from heapwright.wording import worded

#: Reads a value for the label that a person knows it by; raises when it cannot be so.
Reader = Callable[[str, Any], Any]

_LARGEST = 1e300  # beyond, a number written out in digits no longer fits one of the machine's
NAME_LENGTH = 80
TEXT_LENGTH = 4000
_KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}")
_ENTRY_ID = re.compile(r"[0-9a-f]{32}")
_SHA256 = re.compile(r"[0-9a-f]{64}")
# Line ends and tabs are text; every other control sign, and half of a surrogate pair, is not.
_NOT_TEXT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Limit:
    """Beyond `low` and `high` a value is taken for a slip of the pen."""

    quantity: str
    low: float
    high: float
    unit: str


@cache
def limit(name: str) -> Limit:
    """Return a row of the table `data/limits.csv`."""
    return _limits()[name]


@cache
def _limits() -> Mapping[str, Limit]:
    return {
        row["id"]: Limit(row["quantity"], float(row["low"]), float(row["high"]), row["unit"])
        for row in read_rows("heapwright.journal", "data/limits.csv")
    }


def shown(value: Any) -> str:
    """Return a value as it is repeated in a sentence: short, quoted when it is text."""
    if isinstance(value, str):
        return f'"{value[:40]}…"' if len(value) > 40 else f'"{value}"'
    if isinstance(value, float):
        return f"{value:.6g}"
    return str(value)[:40]


def number(limit_id: str, *, above_low: bool = False, whole: bool = False) -> Reader:
    """Return a reader for a number within a row of `limits.csv`."""

    def read(label: str, value: Any) -> float | int:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise NotUnderstood(
                worded("{label} {shown} is not a number", label=label, shown=shown(value)),
                instead="Write a number, such as 3",
            )
        if value != value or abs(value) > _LARGEST:
            raise OutOfRange(
                worded(
                    "{label} {shown} is not a number that can be measured",
                    label=label,
                    shown=shown(value),
                )
            )
        if whole and value != int(value):
            raise OutOfRange(
                worded(
                    "{label} {shown}: only whole numbers are counted here",
                    label=label,
                    shown=shown(value),
                )
            )
        _within(label, value, limit(limit_id), above_low)
        return int(value) if whole else float(value)

    return read


def _within(label: str, value: float, bounds: Limit, above_low: bool) -> None:
    too_low = value <= bounds.low if above_low else value < bounds.low
    if not too_low and value <= bounds.high:
        return
    is_share = bounds.unit.startswith("share")
    unit = f" {bounds.unit}" if bounds.unit and not is_share else ""
    quantity = f"{bounds.quantity}, as {bounds.unit}," if is_share else bounds.quantity
    from_low = worded("more than {low:g}", low=bounds.low) if above_low else f"{bounds.low:g}"
    raise OutOfRange(
        worded(
            "{label} {shown}{unit}{in_fahrenheit}",
            label=label,
            shown=shown(value),
            unit=unit,
            in_fahrenheit=_in_fahrenheit(value, bounds),
        ),
        why=worded(
            "{quantity} lies between {from_low} and {high:g}{unit}",
            quantity=quantity,
            from_low=from_low,
            high=bounds.high,
            unit=unit,
        ),
    )


def _in_fahrenheit(value: float, bounds: Limit) -> str:
    return f" ({celsius_to_fahrenheit(value):.6g} °F)" if bounds.unit == "°C" else ""


def spread(limit_id: str, *, above_low: bool = False) -> Reader:
    """Return a reader for three numbers [low, typical, high] in rising order."""
    one = number(limit_id, above_low=above_low)

    def read(label: str, value: Any) -> list[float]:
        if not isinstance(value, list | tuple) or len(value) != 3:
            raise NotUnderstood(
                worded("{label} {shown} is not a range", label=label, shown=shown(value)),
                instead="Give three numbers: at least, likely, at most",
            )
        low, typical, high = (float(one(label, part)) for part in value)
        if not low <= typical <= high:
            raise OutOfRange(
                worded(
                    "{label} {low:g}, {typical:g}, {high:g}: the numbers must rise",
                    label=label,
                    low=low,
                    typical=typical,
                    high=high,
                ),
                instead="Give them as at least, likely, at most",
            )
        return [low, typical, high]

    return read


def text(length: int = TEXT_LENGTH) -> Reader:
    """Return a reader for free text, trimmed; kept as written even if it looks like a formula."""

    def read(label: str, value: Any) -> str:
        if not isinstance(value, str):
            raise NotUnderstood(
                worded("{label} {shown} is not text", label=label, shown=shown(value))
            )
        clean = value.replace("\r\n", "\n").strip()
        if _NOT_TEXT.search(clean):
            raise NotUnderstood(
                worded("{label} holds a sign that is no letter and cannot be kept", label=label),
                instead="Type the text again by hand",
            )
        if not clean:
            raise NotUnderstood(
                worded("{label} is empty", label=label), instead="Write something or leave it out"
            )
        if len(clean) > length:
            raise OutOfRange(
                worded("{label} is {number} letters long", label=label, number=len(clean)),
                why=worded("there is room for {length}", length=length),
            )
        return clean

    return read


def key(label: str, value: Any) -> str:
    """Read a key: letters, digits, dot, dash and underscore, at most 64."""
    if not isinstance(value, str) or not _KEY.fullmatch(value):
        raise NotUnderstood(
            worded("{label} {shown} is not a key", label=label, shown=shown(value)),
            instead="A key is up to 64 letters, digits, dots, dashes or underscores without spaces",
        )
    return value


def entry_id(label: str, value: Any) -> str:
    """Read an entry's id: 32 lower-case hexadecimal digits."""
    if not isinstance(value, str) or not _ENTRY_ID.fullmatch(value):
        raise NotUnderstood(
            worded("{label} {shown} is not an entry's id", label=label, shown=shown(value)),
            instead="An id is 32 of the signs 0-9 and a-f",
        )
    return value


def sha256(label: str, value: Any) -> str:
    """Read the SHA-256 that names a file: 64 lower-case hexadecimal digits."""
    if not isinstance(value, str) or not _SHA256.fullmatch(value):
        raise NotUnderstood(
            worded(
                "{label} {shown} is not the name of a kept file", label=label, shown=shown(value)
            ),
            instead="Its name is 64 of the signs 0-9 and a-f",
        )
    return value


def flag(label: str, value: Any) -> bool:
    """Read yes or no."""
    if not isinstance(value, bool):
        raise NotUnderstood(
            worded("{label} {shown} is neither yes nor no", label=label, shown=shown(value))
        )
    return value


def choice(words: Iterable[str]) -> Reader:
    """Return a reader for one word out of a list."""
    known = tuple(str(word) for word in words)

    def read(label: str, value: Any) -> str:
        if isinstance(value, str) and value in known:
            return str(value)
        raise NotUnderstood(
            worded("{label} {shown} is not known", label=label, shown=shown(value)),
            instead=worded("Choose one of: {known}", known=", ".join(known)),
        )

    return read


def several(one: Reader) -> Reader:
    """Return a reader for a list of such values, each once, in the order given."""

    def read(label: str, value: Any) -> list[Any]:
        if not isinstance(value, list | tuple) or not value:
            raise NotUnderstood(
                worded("{label} {shown} is not a list", label=label, shown=shown(value))
            )
        return list(dict.fromkeys(one(label, part) for part in value))

    return read


def or_nothing(one: Reader) -> Reader:
    """Return a reader that also takes null, which clears the value."""
    return lambda label, value: None if value is None else one(label, value)


def zone(label: str, value: Any) -> str:
    """Read a time zone's name, such as America/Phoenix."""
    try:
        return ZoneInfo(value).key
    except (ValueError, TypeError, OSError, KeyError) as problem:
        raise NotUnderstood(
            worded("{label} {shown} is not known", label=label, shown=shown(value)),
            instead="Write it like America/Phoenix or UTC",
        ) from problem


def moment(label: str, value: Any) -> str:
    """Read a time with its offset from UTC; return it in UTC."""
    try:
        when = datetime.fromisoformat(value)
        if when.tzinfo is None:
            raise NotUnderstood(
                worded("{label} {shown} has no time zone", label=label, shown=shown(value)),
                instead="Write it like 2026-05-03T14:20:00+00:00",
            )
        return when.astimezone(UTC).isoformat()
    except HeapwrightError:
        raise
    except (TypeError, ValueError, OverflowError) as problem:
        raise NotUnderstood(
            worded("{label} {shown} is not a time", label=label, shown=shown(value)),
            instead="Write it like 2026-05-03T14:20:00+00:00",
        ) from problem
