"""Turns the answer to a scenario into plain JSON values, and tells its form as a JSON Schema.

Knows the types of that answer. Numbers are rounded as their fields say; nothing is computed.
"""

from __future__ import annotations

import types
from collections.abc import Mapping
from dataclasses import is_dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any, Union, get_args, get_origin, get_type_hints

import numpy as np
from numpy.typing import NDArray

from heapwright.sentences import Reader, Sentence
from heapwright.workshop.plain import to_plain
from heapwright.workshop.simulation import Hourly, ProbeCourse, Simulation, Totals, printed, told_of

_ROUNDED = (Simulation, Hourly, ProbeCourse, Totals)


def simulation_plain(answer: Any, reader: Reader) -> Any:
    """Return an answer as JSON values: SI units, sentences in the reader's."""
    if isinstance(answer, tuple):
        return [simulation_plain(one, reader) for one in answer]
    if isinstance(answer, _ROUNDED):
        return {name: simulation_plain(part, reader) for name, part in printed(answer).items()}
    return to_plain(answer, reader)


def simulation_schema() -> dict[str, Any]:
    """Return the JSON Schema of what `heapwright simulate FILE --json` answers."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "How a heap would go, as `heapwright simulate FILE --json` answers",
        **_schema_of(Simulation),
    }


_PLAIN: Mapping[Any, dict[str, Any]] = {
    float: {"type": "number"},
    int: {"type": "integer"},
    bool: {"type": "boolean"},
    str: {"type": "string"},
    Sentence: {"type": "string"},
    datetime: {"type": "string", "format": "date-time"},
    types.NoneType: {"type": "null"},
    NDArray[np.float64]: {"type": "array", "items": {"type": "number"}},
}


def _schema_of(kind: Any) -> dict[str, Any]:
    if kind in _PLAIN:
        return dict(_PLAIN[kind])
    if is_dataclass(kind):
        return _schema_of_fields(kind)
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return {"enum": [str(word) for word in kind]}
    if get_origin(kind) is tuple:
        return {"type": "array", "items": _schema_of(get_args(kind)[0])}
    if get_origin(kind) in (Union, types.UnionType):
        return {"anyOf": [_schema_of(one) for one in get_args(kind)]}
    raise TypeError(f"no schema is known for {kind!r}")


def _schema_of_fields(kind: Any) -> dict[str, Any]:
    hints = get_type_hints(kind)
    properties = {}
    for name, told in told_of(kind).items():
        properties[name] = _schema_of(hints[name])
        if told.says:
            properties[name]["description"] = told.says
    return {
        "type": "object",
        "additionalProperties": False,
        "required": list(properties),
        "properties": properties,
    }
