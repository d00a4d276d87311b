"""What every part of a scenario's form shares: names that must fit, kinds of values, the schema.

Knows pydantic and JSON Schema. Knows no heap.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Annotated, Any, ClassVar

from pydantic import BaseModel, ConfigDict, Discriminator, Field, model_validator
from pydantic_core import PydanticCustomError

Metres = Annotated[float, Field(gt=0.0)]
Words = Annotated[str, Field(min_length=1, max_length=200)]
Share = Annotated[float, Field(ge=0.0, le=1.0)]
AboveNothing = Annotated[float, Field(gt=0.0)]
NotNegative = Annotated[float, Field(ge=0.0)]


class Form(BaseModel):
    """A set of names that takes no others.

    `either` lists names of which exactly one must be given, `at_most` those of which one may be.
    """

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False, frozen=True)
    either: ClassVar[tuple[tuple[str, ...], ...]] = ()
    at_most: ClassVar[tuple[tuple[str, ...], ...]] = ()

    @model_validator(mode="before")
    @classmethod
    def _known_names(cls, value: Any) -> Any:
        if not isinstance(value, Mapping):
            return value
        known = tuple(cls.model_fields)
        strange = next((name for name in value if name not in known), None)
        if strange is not None:
            raise PydanticCustomError("name", "unknown name", {"name": strange, "known": known})
        empty = next((name for name in value if value[name] is None), None)
        if empty is not None:
            raise PydanticCustomError("null", "null", {"name": empty})
        for names in cls.either:
            if len(_given(value, names)) != 1:
                raise PydanticCustomError("one_of", "one of", {"names": names})
        for names in cls.at_most:
            if len(_given(value, names)) > 1:
                raise PydanticCustomError("one_of", "one of", {"names": names})
        return value

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: Any, handler: Any) -> dict[str, Any]:
        """Say in the schema which names stand for one another."""
        schema = handler(core_schema)
        told = handler.resolve_ref_schema(schema)
        rules: list[dict[str, Any]] = [
            {"oneOf": [{"required": [name]} for name in names]} for names in cls.either
        ]
        rules += [
            {"not": {"required": list(pair)}} for names in cls.at_most for pair in _two(names)
        ]
        if rules:
            told["allOf"] = rules
        return dict(schema)


def _given(value: Mapping[str, Any], names: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(name for name in names if name in value)


def _two(names: tuple[str, ...]) -> list[tuple[str, str]]:
    return [(a, b) for place, a in enumerate(names) for b in names[place + 1 :]]


def unsaid(says: str) -> Any:
    """Return a field that may be left out, with what it says."""
    return Field(default=None, description=says)


def by_word(kind_of: Callable[[Any], str | None], name: str, known: tuple[str, ...]) -> Any:
    """Return what tells forms apart by the word under a name.

    The error's message lists the name and its words; a context would make the type unhashable.
    """
    message = ",".join((name, *known))
    return Discriminator(kind_of, custom_error_type="word", custom_error_message=message)


def without_noise(schema: Any) -> Any:
    """Return a schema without titles that only repeat a name, and without null.

    A name that is left out is None inside; written down as null it is refused.
    """
    if isinstance(schema, list):
        return [without_noise(part) for part in schema]
    if not isinstance(schema, dict):
        return schema
    kept = {name: part for name, part in schema.items() if not _is_noise(name, part)}
    if kept.get("anyOf", [])[1:] == [{"type": "null"}]:
        kept |= kept.pop("anyOf")[0]
    return {name: without_noise(part) for name, part in kept.items()}


def _is_noise(name: str, part: Any) -> bool:
    return (name == "title" and isinstance(part, str)) or (name == "default" and part is None)
