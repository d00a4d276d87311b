"""English text that remembers the template and the values it was made of.

Knows how such a text is told again in another language. Each is an ordinary `str` that reads as
English, so whoever does not care (a log, a test, a command in English) need not know of it: the
functions here say `str` where they make a `Told`. Knows nothing of who reads: the language is an
argument.
"""

from __future__ import annotations

import re
import string
from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime
from numbers import Real
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from heapwright.wording.language import Language


class Told(str):
    """An English text that can be told in another language; see its kinds below."""

    _tell: Callable[[Language], str]

    @classmethod
    def _made(cls, english: str, tell: Callable[[Language], str]) -> Told:
        made = cls(english)
        made._tell = tell
        return made

    def in_language(self, language: Language) -> str:
        """Return the text in a language."""
        return self._tell(language)

    def __reduce__(self) -> tuple[type[str], tuple[str]]:
        """Copy or pickle as the English text alone: how to tell it cannot travel."""
        return (str, (str(self),))

    def __deepcopy__(self, memo: dict[int, Any]) -> Told:
        """Return the text itself, which nothing can alter."""
        return self


class Figure(Told):
    """A number with its unit, "2.5 ft³": the decimal mark and a unit that is a word change."""

    def in_language(self, language: Language) -> str:
        """Return the figure with the language's decimal mark and words."""
        return language.figure(self)


class Said(Told):
    """A template with its values put in.

    Attributes
    ----------
    template : str
        English with named places, "No bin is called {bin}"; the key of the catalogue.
    values : mapping of str to object
        Words among them are looked up in the catalogue too, numbers get the decimal mark.

    """

    template: str
    values: Mapping[str, object]

    def in_language(self, language: Language) -> str:
        """Return the template of that language with the values put in."""
        if not self.values:
            return language.text(self.template)
        return put_in(language.text(self.template), self.values, language)


def worded(template: str, /, **values: object) -> str:
    """Return an English text that can be told in other languages.

    Parameters
    ----------
    template : str
        With named places as `str.format` has them, format of a number included: "{share:.0%}".
    **values
        Texts, numbers or `Told` texts.

    Returns
    -------
    Said
        Typed as the English text it is, for whoever puts it among plain ones.

    Examples
    --------
    >>> worded("No bin is called {bin}", bin="left")
    'No bin is called left'

    """
    text = Said(template.format_map(values) if values else template)
    text.template, text.values = template, values
    return text


def counted(one: str, many: str, number: float, /, **values: object) -> str:
    """Return "1 bin", "3 bins"; `{n}` in the templates is the number.

    Parameters
    ----------
    one, many : str
        The templates for one and for any other number.
    number : float
    **values
        Further values of the templates.

    """
    shown = {"n": Figure(f"{number:g}"), **values}
    english = one if number == 1 else many
    return Told._made(
        english.format_map(shown),
        lambda language: put_in(language.plural(one, many, number), shown, language),
    )


def plural_word(one: str, many: str, number: float) -> str:
    """Return the word alone that stands behind a number; braces in it mean nothing."""
    return Told._made(
        one if number == 1 else many, lambda language: language.plural(one, many, number)
    )


def joined(parts: Iterable[str], separator: str = " ") -> str:
    """Return texts one behind the other, each told by itself."""
    kept = tuple(parts)
    return Told._made(
        separator.join(kept),
        lambda language: separator.join(language.told(part) for part in kept),
    )


def listed(words: Iterable[str], last: Literal["and", "or"] = "and") -> str:
    """Return words as a list in running text: "straw, leaves and bark"."""
    kept = tuple(words)
    english = f"{', '.join(kept[:-1])} {last} {kept[-1]}" if len(kept) > 1 else "".join(kept)
    return Told._made(
        english,
        lambda language: language.listed([language.told(word) for word in kept], last),
    )


def running(parts: Iterable[str]) -> str:
    """Return parts as sentences of running text; each gets a capital and an end."""
    kept = tuple(part for part in parts if part)
    return Told._made(
        " ".join(_as_sentence(part) for part in kept),
        lambda language: " ".join(_as_sentence(language.told(part)) for part in kept),
    )


def lower_first(name: str) -> str:
    """Return a name for the middle of a sentence."""
    return _changed(name, lambda text: text[:1].lower() + text[1:])


def upper_first(text: str) -> str:
    """Return a text for the beginning of a sentence."""
    return _changed(text, lambda text: text[:1].upper() + text[1:])


def dated(moment: datetime | date, pattern: str) -> str:
    """Return a moment as `pattern` has it, in the moment's own time zone.

    Parameters
    ----------
    moment : datetime or date
    pattern : str
        One of `language.DATE_PATTERNS`, "EEE d MMMM"; each language may have its own form of it.

    """
    from heapwright.wording.language import ENGLISH

    return Told._made(
        ENGLISH.date(moment, pattern), lambda language: language.date(moment, pattern)
    )


def apart(text: str) -> str:
    """Return a text whose per cent signs stand apart from their numbers: "45 %"."""
    return _changed(text, lambda told: re.sub(r"(?<=\d)%", " %", told))


def put_in(template: str, values: Mapping[str, object], language: Language) -> str:
    """Return a template with the values put in, each told in the language."""
    return _Placing(language).vformat(template, (), dict(values))


class _Placing(string.Formatter):
    """`str.format` that tells words and numbers in a language."""

    def __init__(self, language: Language) -> None:
        self._language = language

    def format_field(self, value: Any, format_spec: str) -> str:
        if isinstance(value, str) and not format_spec:
            return self._language.told(value)
        text = format(value, format_spec)
        return self._language.figure(text) if isinstance(value, Real) else text


def _changed(text: str, change: Callable[[str], str]) -> str:
    return Told._made(change(text), lambda language: change(language.told(text)))


def _as_sentence(text: str) -> str:
    text = text.strip()
    text = text[:1].upper() + text[1:]
    return text if text[-1:] in ".?!" else text + "."
