"""Turns any answer into plain JSON values, for `--json` and for the program's own interface.

Knows the forms of the types on the way (dataclass, array, time, sentence). Knows no single answer.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import fields, is_dataclass
from datetime import UTC, datetime
from enum import Enum
from typing import Any

import numpy as np

from heapwright.sentences import Reader, Sentence, render
from heapwright.wording import Told


def to_plain(answer: Any, reader: Reader | None = None) -> Any:
    """Return the answer as JSON values.

    Parameters
    ----------
    answer : dataclass, mapping, sequence, array, datetime, Enum, Sentence or plain value
    reader : Reader, optional
        Renders sentences in this reader's units; without one they are rendered in metric units,
        which is what a program expects beside SI numbers.

    Returns
    -------
    JSON value
        Not-a-number and infinite numbers become null, times ISO 8601 in UTC.

    """
    reader = reader or metric_reader()
    if isinstance(answer, Sentence):
        return render(answer, reader)
    if is_dataclass(answer) and not isinstance(answer, type):
        return {f.name: to_plain(getattr(answer, f.name), reader) for f in fields(answer)}
    if isinstance(answer, Enum):
        return answer.value
    if isinstance(answer, np.ndarray):
        return [to_plain(item, reader) for item in answer.tolist()]
    if isinstance(answer, datetime):
        return answer.astimezone(UTC).isoformat().replace("+00:00", "Z")
    return _plain_value(answer, reader)


def _plain_value(value: Any, reader: Reader) -> Any:
    if isinstance(value, Told):
        return reader.told(value)
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, Mapping):
        return {str(to_plain(key, reader)): to_plain(item, reader) for key, item in value.items()}
    if isinstance(value, AbstractSet):
        return sorted(to_plain(item, reader) for item in value)
    if isinstance(value, Sequence):
        return [to_plain(item, reader) for item in value]
    return str(value)


def metric_reader() -> Reader:
    """Return who is told in metric units."""
    from heapwright.quantities import UnitSystem

    return Reader(units=UnitSystem.METRIC)
