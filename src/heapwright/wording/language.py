"""The languages the program speaks: their catalogue, plurals, dates, lists and decimal marks.

Knows gettext catalogues (`locale/`) and, by way of Babel, what CLDR says of each language. Knows
nothing of sentences. English needs neither, so a command in English loads neither.
"""

from __future__ import annotations

import gettext
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cache, cached_property
from pathlib import Path
from typing import Literal

from heapwright.wording.said import Told

LOCALE = Path(__file__).parent.parent / "locale"
DOMAIN = "heapwright"
#: What a person chooses from: the code (BCP 47) and the language's own name for itself.
LANGUAGES: Mapping[str, str] = {
    "en": "English",
    "es": "Español",
    "es-419": "Español (América)",
}
#: How dates are written (Unicode's signs, UTS 35), with Python's for English.
DATE_PATTERNS: Mapping[str, str] = {
    "EEE d MMMM": "%a {0.day} %B",
    "EEE d MMMM y": "%a {0.day} %B %Y",
    "EEEE d MMMM": "%A {0.day} %B",
    "EEE d": "%a {0.day}",
    "EEEE": "%A",
    "EEE": "%a",
    "d MMMM": "{0.day} %B",
    "d MMM": "{0.day} %b",
    "d MMMM y": "{0.day} %B %Y",
    "d MMMM HH:mm": "{0.day} %B %H:%M",
    "d MMMM y HH:mm": "{0.day} %B %Y %H:%M",
    "MMMM": "%B",
}
_DECIMAL_POINT = re.compile(r"(?<=\d)\.(?=\d)")
_PER_CENT = re.compile(r"(?<=\d)%")
_UNIT_WORD = re.compile(r"[^\W\d_]{3,}(?: [^\W\d_]+)*")
_QUALITY = re.compile(r"\s*;\s*q\s*=\s*")


@dataclass(frozen=True)
class Language:
    """A language the program can speak.

    Attributes
    ----------
    code : str
        As in `LANGUAGES`; BCP 47, so it can stand in `<html lang>`.

    """

    code: str

    @property
    def is_english(self) -> bool:
        """Whether the words of the program are this language's already."""
        return self.code == "en"

    def text(self, message: str) -> str:
        """Return a message of the catalogue in this language, itself when it has none."""
        return message if self.is_english or not message else self._catalogue.gettext(message)

    def plural(self, one: str, many: str, number: float) -> str:
        """Return the form of a message for a number; a fraction counts as many."""
        if self.is_english:
            return one if number == 1 else many
        whole = int(number) if number == int(number) else 2
        return self._catalogue.ngettext(one, many, whole)

    def told(self, text: str) -> str:
        """Return a text in this language, whatever it was made of."""
        return text.in_language(self) if isinstance(text, Told) else self.text(text)

    def figure(self, text: str) -> str:
        """Return a number and its unit with this language's decimal mark and words."""
        if self.is_english:
            return str(text)
        marked = _DECIMAL_POINT.sub(self._decimal_mark, _PER_CENT.sub(" %", text))
        return _UNIT_WORD.sub(lambda match: self.text(match.group()), marked)

    def listed(self, words: Sequence[str], last: Literal["and", "or"] = "and") -> str:
        """Return words as a list in running text."""
        if self.is_english or len(words) < 2:
            return f"{', '.join(words[:-1])} {last} {words[-1]}" if words[1:] else "".join(words)
        from babel.lists import format_list

        style: Literal["standard", "or"] = "standard" if last == "and" else "or"
        return format_list(list(words), style=style, locale=self._locale)

    def date(self, moment: datetime | date, pattern: str) -> str:
        """Return a date, its form being this language's for `pattern` (one of `DATE_PATTERNS`)."""
        if self.is_english:
            return moment.strftime(DATE_PATTERNS[pattern]).format(moment)
        from babel.dates import format_datetime

        if not isinstance(moment, datetime):
            moment = datetime.combine(moment, time.min)
        plain = moment.replace(tzinfo=None)  # told by the moment's own clock
        return format_datetime(plain, self.text(pattern), locale=self._locale)

    @property
    def _locale(self) -> str:
        return self.code.replace("-", "_")

    @cached_property
    def _decimal_mark(self) -> str:
        from babel.numbers import get_decimal_symbol

        return get_decimal_symbol(self._locale)

    @cached_property
    def _catalogue(self) -> gettext.NullTranslations:
        return _read_catalogue(self.code.partition("-")[0])


@cache
def _read_catalogue(name: str) -> gettext.NullTranslations:
    return gettext.translation(DOMAIN, LOCALE, languages=[name], fallback=True)


ENGLISH = Language("en")


@cache
def language(code: str) -> Language:
    """Return the language of a code, English for one that is not spoken here."""
    return Language(code) if code in LANGUAGES else ENGLISH


def languages() -> Mapping[str, str]:
    """Return the codes of the languages, each with its own name for itself."""
    return LANGUAGES


def preferred(accepted: str) -> str:
    """Return the code of the language a browser would rather have.

    Parameters
    ----------
    accepted : str
        The header Accept-Language (RFC 9110), such as "es-MX,es;q=0.9,en;q=0.8".

    """
    wishes = [_QUALITY.split(part.strip(), maxsplit=1) for part in accepted.split(",")]
    ranked = sorted(wishes, key=lambda wish: -_weight(wish[1] if wish[1:] else "1"))
    for tag, *quality in ranked:
        if _weight(quality[0] if quality else "1") <= 0:
            continue
        main, _, region = tag.lower().partition("-")
        if main == "es":
            return "es" if region in ("", "es") else "es-419"
        if main == "en":
            return "en"
    return "en"


def _weight(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return 0.0
