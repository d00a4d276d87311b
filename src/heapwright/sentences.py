"""Sentences that carry their numbers in SI until a face renders them in the reader's units.

Knows how a template and its typed values become text for a reader. Knows nothing of why a
sentence is said. Templates are whole English sentences, so that a catalogue can translate them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from heapwright import quantities
from heapwright.quantities import UnitSystem
from heapwright.wording import ENGLISH, Figure, Language, counted, worded


class Measure(StrEnum):
    """What a value in a sentence measures; decides how it is rendered."""

    TEMPERATURE = "temperature"  # °C
    TEMPERATURE_STEP = "temperature step"  # a difference, K
    WATER = "water"  # kg, 1 kg is 1 litre
    MASS = "mass"  # kg
    VOLUME = "volume"  # m3
    LENGTH = "length"  # m
    AREA = "area"  # m2
    DENSITY = "density"  # kg/m3
    SHARE = "share"  # 0-1
    DAYS = "days"
    HOURS = "hours"
    SECONDS = "seconds"
    COUNT = "count"
    RATIO = "ratio"
    WORD = "word"


@dataclass(frozen=True, slots=True)
class Value:
    """A number in SI (or a word, or a sentence), or a range of numbers, with what it measures."""

    amount: float | str
    measure: Measure
    to: float | None = None  # the other end, when it is a range
    sentence: Sentence | None = None  # in place of the amount
    like: float | None = None  # a volume told in the unit that suits this one


@dataclass(frozen=True, slots=True)
class Sentence:
    """A template with named values, such as "Below {limit} it wants air and water."."""

    template: str
    values: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Reader:
    """Who a sentence is rendered for."""

    units: UnitSystem = UnitSystem.US
    language: Language = ENGLISH

    def told(self, text: str) -> str:
        """Return a text in the reader's language, whatever it was made of."""
        return self.language.told(text)


def say(template: str, **values: Value) -> Sentence:
    """Return a sentence; the short form used by the floors that speak."""
    return Sentence(template, values)


def temperature(celsius: float) -> Value:
    """Return a temperature value. [°C]"""
    return Value(celsius, Measure.TEMPERATURE)


def temperature_step(kelvin: float) -> Value:
    """Return a difference of temperatures. [K]"""
    return Value(kelvin, Measure.TEMPERATURE_STEP)


def water(kilograms: float) -> Value:
    """Return an amount of water. [kg]"""
    return Value(kilograms, Measure.WATER)


def volume(cubic_metres: float, *, like: float | None = None) -> Value:
    """Return a volume, told in the unit that suits another where `like` is given. [m³]"""
    return Value(cubic_metres, Measure.VOLUME, like=like)


def mass(kilograms: float) -> Value:
    """Return a mass. [kg]"""
    return Value(kilograms, Measure.MASS)


def length(metres: float) -> Value:
    """Return a length. [m]"""
    return Value(metres, Measure.LENGTH)


def area(square_metres: float) -> Value:
    """Return an area. [m²]"""
    return Value(square_metres, Measure.AREA)


def share(fraction: float) -> Value:
    """Return a share, shown in per cent. [0-1]"""
    return Value(fraction, Measure.SHARE)


def days(number: float) -> Value:
    """Return a number of days."""
    return Value(number, Measure.DAYS)


def hours(number: float) -> Value:
    """Return a number of hours."""
    return Value(number, Measure.HOURS)


def span(low: float, high: float, measure: Measure) -> Value:
    """Return a range, its unit said once where both ends have the same: "30 to 60 days"."""
    return Value(low, measure, high)


def word(text: str) -> Value:
    """Return a name or word that is shown as it is."""
    return Value(text, Measure.WORD)


def inside(sentence: Sentence) -> Value:
    """Return a sentence that stands inside another."""
    return Value("", Measure.WORD, sentence=sentence)


def render(sentence: Sentence, reader: Reader) -> str:
    """Return the sentence as text in the reader's language and units."""
    shown = {name: render_value(value, reader) for name, value in sentence.values.items()}
    return reader.language.text(sentence.template).format_map(shown)


def render_value(value: Value, reader: Reader) -> str:
    """Return one value as text, rounded as a person would say it."""
    if value.sentence is not None:
        return render(value.sentence, reader)
    return reader.told(shown_value(value, reader.units))


def shown_value(value: Value, units: UnitSystem) -> str:
    """Return one value in English; a `Told` text, so that it can be told in other languages."""
    if value.sentence is not None:
        return render(value.sentence, Reader(units))
    if isinstance(value.amount, str):
        return value.amount
    if value.to is not None and value.measure is Measure.VOLUME:
        return quantities.format_volume_range(float(value.amount), value.to, units)
    if value.like is not None:
        return quantities.format_volume(float(value.amount), units, like=value.like)
    show = _RENDERERS[value.measure]
    low = show(float(value.amount), units)
    return low if value.to is None else _range(low, show(value.to, units))


def _range(low: str, high: str) -> str:
    if low == high:
        return low
    number, _, unit = low.partition(" ")
    shared = unit and unit == high.partition(" ")[2]
    return worded("{low} to {high}", low=Figure(number) if shared else low, high=high)


def _count(number: float, one: str, many: str) -> str:
    return counted(one, many, round(number) if number >= 3 else round(number, 1))


_RENDERERS: Mapping[Measure, Callable[[float, UnitSystem], str]] = {
    Measure.TEMPERATURE: quantities.format_temperature,
    Measure.TEMPERATURE_STEP: quantities.format_temperature_step,
    Measure.WATER: quantities.format_water,
    Measure.MASS: quantities.format_mass,
    Measure.VOLUME: quantities.format_volume,
    Measure.LENGTH: quantities.format_length,
    Measure.AREA: quantities.format_area,
    Measure.DENSITY: quantities.format_density,
    Measure.SHARE: lambda x, _: quantities.format_share(x),
    Measure.DAYS: lambda x, _: _count(x, "{n} day", "{n} days"),
    Measure.HOURS: lambda x, _: _count(x, "{n} hour", "{n} hours"),
    Measure.SECONDS: lambda x, _: _count(x, "{n} second", "{n} seconds"),
    Measure.COUNT: lambda x, _: Figure(f"{x:g}"),
    Measure.RATIO: lambda x, _: Figure(f"{x:.0f}"),
    Measure.WORD: lambda x, _: Figure(f"{x:g}"),
}
