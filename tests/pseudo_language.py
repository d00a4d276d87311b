"""A language for tests in which every text of the catalogue stands in marks, ⟦like this⟧.

What is shown outside the marks was not translated. Places for values stay outside, so that a
value must bring its own marks. Knows the catalogue; knows nothing of single pages.
"""

from __future__ import annotations

import gettext
import re
from html.parser import HTMLParser

from heapwright.wording.language import DATE_PATTERNS
from tools.words import catalogue

_PLACES = re.compile(r"(%\(\w+\)[sd]|%%|\{[^{}]*\})")
_MARKED = re.compile(r"⟦[^⟦⟧]*⟧")
_WORD = re.compile(r"[^\W\d_](?:[^\W\d_]|['’]){2,}")
#: What a screen reader or a script speaks of an element.
_SPOKEN = ("aria-label", "aria-valuetext", "alt", "title", "placeholder")


def marked(message: str) -> str:
    """Return a message with marks round its words."""
    if message in DATE_PATTERNS:
        return message
    parts = _PLACES.split(message)
    return "".join(
        part if _PLACES.fullmatch(part) or not part.strip() else f"⟦{part}⟧" for part in parts
    )


class PseudoCatalogue(gettext.NullTranslations):
    """The catalogue of the pseudo-language; a text that is not in it comes back as it is."""

    def __init__(self) -> None:
        super().__init__()
        self._known = {
            form
            for entry in catalogue()
            for form in ([entry.id] if isinstance(entry.id, str) else entry.id)
        }

    def gettext(self, message: str) -> str:
        """Return the message in marks."""
        return marked(message) if message in self._known else message

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """Return the form for a number in marks."""
        return self.gettext(msgid1 if n == 1 else msgid2)


class _Texts(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self._hidden = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        # A source's title in a span of its own language is right as it is.
        if tag in ("script", "style") or (tag == "span" and (told.get("lang") or self._hidden)):
            self._hidden += 1
        spoken = [value for name, value in attrs if name in _SPOKEN]
        spoken += [v for name, v in attrs if name.startswith("data-") and " " in (v or "")]
        if tag == "input" and told.get("type") == "submit":
            spoken.append(told.get("value"))
        self.found += [value for value in spoken if value]

    def handle_endtag(self, tag: str) -> None:
        if tag in ("script", "style") or (tag == "span" and self._hidden):
            self._hidden -= 1

    def handle_data(self, data: str) -> None:
        if not self._hidden:
            self.found.append(data)


def texts_of(page: str) -> list[str]:
    """Return what a page shows and speaks, scripts left out."""
    reader = _Texts()
    reader.feed(page)
    return reader.found


def english_left(text: str, allowed: frozenset[str]) -> list[str]:
    """Return the words of a text that stand outside the marks and are not allowed there.

    Parameters
    ----------
    text : str
    allowed : frozenset of str
        Names, units and signs, in lower case.

    """
    while _MARKED.search(text):
        text = _MARKED.sub(" ", text)
    return [word for word in _WORD.findall(text) if word.lower() not in allowed]
