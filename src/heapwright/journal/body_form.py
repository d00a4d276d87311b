"""One field of an entry's body: how a person calls it, how it is read, whether it must be there.

Knows how a set of named fields is read. Knows no kind of entry.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from heapwright.errors import NotUnderstood
from heapwright.journal.fields import Reader, shown
from heapwright.wording import worded


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a body: how a person calls it, how it is read, whether it must be there."""

    label: str
    read: Reader
    required: bool = False


def need(label: str, read: Reader) -> Field:
    """Return a field that must be there."""
    return Field(label, read, required=True)


def read_fields(kind_name: str, form: Mapping[str, Field], value: Any) -> dict[str, Any]:
    """Return the clean fields of a mapping; refuse unknown and missing ones by name."""
    if not isinstance(value, Mapping):
        raise NotUnderstood(
            worded(
                "{kind_name} {shown} is not a set of named fields",
                kind_name=kind_name,
                shown=shown(value),
            )
        )
    unknown = [name for name in value if name not in form]
    if unknown:
        raise NotUnderstood(
            worded(
                "{kind_name} has no field {unknown}", kind_name=kind_name, unknown=shown(unknown[0])
            ),
            instead=worded("It has: {form}", form=", ".join(form)),
        )
    missing = [field.label for name, field in form.items() if field.required and name not in value]
    if missing:
        raise NotUnderstood(
            worded(
                "{kind_name} lacks: {missing}",
                kind_name=kind_name,
                missing=", ".join(missing).lower(),
            )
        )
    # In the order of the form, so that equal bodies are equal texts.
    given = [(name, field) for name, field in form.items() if name in value]
    return {name: field.read(field.label, value[name]) for name, field in given}
