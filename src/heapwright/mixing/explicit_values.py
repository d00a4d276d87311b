"""Reads single values out of a document given as JSON, refusing what is not clear.

Knows the kinds a value may have and how to say which value is wrong. Knows nothing of mixtures.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from heapwright.errors import NotUnderstood
from heapwright.json_text import listed
from heapwright.mixing.checks import check_number, check_share
from heapwright.wording import worded


def share_or_none(
    fields: Mapping[str, object], key: str, name: str, *, of: str, slip: str = "hundred"
) -> float | None:
    """Return the share under `key`, checked to lie in 0-1; None when it is not given."""
    value = number_or_none(fields, key, name)
    if value is not None:
        check_share(value, f"{name}: {key}", of=of, slip=slip)
    return value


def number_or_none(fields: Mapping[str, object], key: str, name: str) -> float | None:
    """Return the finite number under `key`; None when it is not given."""
    value = fields.get(key)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise NotUnderstood(
            f"{name}: {key} is {value!r}",
            why="it must be a number without quotes, unit or percent sign",
            instead="Write digits, such as 0.6",
        )
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    check_number(number, f"{name}: {key}")
    return number


def mapping(value: object, place: str, known: Iterable[str]) -> Mapping[str, object]:
    """Return `value` as a mapping that has no names but the known ones."""
    if not isinstance(value, Mapping):
        raise NotUnderstood(
            f"{place} is {value!r}"[:120],
            why="it should be a set of names with values",
            instead="Write it in braces: { }",
        )
    unknown = [str(key) for key in value if key not in known]
    if unknown:
        raise NotUnderstood(
            worded("{place} has the unknown name {unknown}", place=place, unknown=listed(unknown)),
            why="a name that is not understood would be left out unseen",
            instead=worded("Known names are {known}", known=listed(known)),
        )
    return value
