"""Reads a number the way people write it: 58.5, 58,5, 1/2, 1 1/2, ½, half, two and a half.

Knows the writing of numbers. Knows nothing of units, limits or meaning.
"""

from __future__ import annotations

import math
import re
import unicodedata

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.wording import worded

#: Largest size of a number anybody means at a compost bin; far above any real amount.
LARGEST_NUMBER = 1e9

_WORDS = {
    "a": 1.0,
    "an": 1.0,
    "one": 1.0,
    "two": 2.0,
    "three": 3.0,
    "four": 4.0,
    "five": 5.0,
    "six": 6.0,
    "seven": 7.0,
    "eight": 8.0,
    "nine": 9.0,
    "ten": 10.0,
    "eleven": 11.0,
    "twelve": 12.0,
    "dozen": 12.0,
    "couple": 2.0,
    "no": 0.0,
    "zero": 0.0,
}
_PART_WORDS = {
    "half": 1 / 2,
    "third": 1 / 3,
    "thirds": 1 / 3,
    "quarter": 1 / 4,
    "quarters": 1 / 4,
}
_SIGNED = r"[+-]?"
_FRACTION = re.compile(
    rf"(?P<sign>{_SIGNED})(?:(?P<whole>\d+)(?:\s+|\s*-\s*))?(?P<top>\d+)\s*/\s*(?P<bottom>\d+)"
)
_PLAIN = re.compile(rf"{_SIGNED}(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?")
_COMMA = re.compile(rf"(?P<sign>{_SIGNED})(?P<before>\d*),(?P<after>\d+)")
_THOUSANDS_COMMA = re.compile(
    rf"{_SIGNED}\d{{1,3}}(?:,\d{{3}})+\.\d+|{_SIGNED}\d{{1,3}}(?:,\d{{3}}){{2,}}"
)
_THOUSANDS_POINT = re.compile(rf"{_SIGNED}\d{{1,3}}(?:\.\d{{3}})+,\d+")
_LONE_THOUSANDS = re.compile(r"[1-9]\d{0,2},\d{3}")


def parse_number(text: str, *, what: str = "Amount") -> float:
    """Return the number written in `text`.

    Reads a decimal point or comma, fractions ("1/2", "1 1/2", "1½") and the common number words
    ("half", "two and a half"). "1,500" is refused: it can be read two ways.

    Parameters
    ----------
    text : str
        What the person wrote, without a unit.
    what : str
        What the number is, for the message.

    Returns
    -------
    float
        Finite, no larger than `LARGEST_NUMBER`.

    Raises
    ------
    NotUnderstood
        When it is not a number, or can be read two ways.
    OutOfRange
        When it is infinite or absurdly large.

    """
    plain = _plain_text(text)
    value = _read(plain, what)
    if value is None:
        raise NotUnderstood(
            worded('{what}: "{text}" is not a number', what=what, text=text.strip())
            if plain
            else worded("{what}: nothing was written", what=what),
            instead="Write a number, such as 3, 2.5 or 1 1/2",
        )
    return _checked(value, text, what)


def _plain_text(text: str) -> str:
    """Spell out ½ and its like, turn every sort of blank and minus into the plain one."""
    spelled = "".join(_spell(character) for character in text)
    return re.sub(r"\s+", " ", spelled).strip().lower()


def _spell(character: str) -> str:
    if unicodedata.category(character) == "No" and "⁄" in unicodedata.normalize("NFKC", character):
        return " " + unicodedata.normalize("NFKC", character).replace("⁄", "/")
    return {"−": "-", "–": "-", "⁄": "/"}.get(character, character)


def _read(plain: str, what: str) -> float | None:
    if _PLAIN.fullmatch(plain):
        return float(plain)
    if match := _FRACTION.fullmatch(plain):
        return _fraction(match, what)
    if _LONE_THOUSANDS.fullmatch(plain):
        raise _two_ways(plain, what)
    if match := _COMMA.fullmatch(plain):
        return float(f"{match['sign']}{match['before'] or '0'}.{match['after']}")
    if _THOUSANDS_COMMA.fullmatch(plain):
        return float(plain.replace(",", ""))
    if _THOUSANDS_POINT.fullmatch(plain):
        return float(plain.replace(".", "").replace(",", "."))
    return _read_words(plain)


def _fraction(match: re.Match[str], what: str) -> float:
    if int(match["bottom"]) == 0:
        raise NotUnderstood(
            worded('{what} "{group}"', what=what, group=match.group()),
            why="Nothing can be divided by 0",
            instead="Write a fraction such as 1/2",
        )
    size = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    return -size if match["sign"] == "-" else size


def _two_ways(plain: str, what: str) -> NotUnderstood:
    whole = plain.replace(",", "")
    decimal = float(plain.replace(",", "."))
    return NotUnderstood(
        worded('{what} "{plain}"', what=what, plain=plain),
        why=worded("It can be read as {whole} or as {decimal:g}", whole=whole, decimal=decimal),
        instead=worded("Write {whole} or {decimal:g}", whole=whole, decimal=decimal),
    )


def _read_words(plain: str) -> float | None:
    """Read "half", "a quarter", "three quarters", "two and a half", "a couple of"."""
    whole_text, joined, part_text = plain.partition(" and ")
    if joined:
        whole, part = _read_words(whole_text), _read_words(part_text)
        return whole + part if whole is not None and part is not None and part < 1 else None
    words = [word for word in re.split(r"[\s-]+", plain) if word not in ("of", "the")]
    factors = [_WORDS.get(word, _PART_WORDS.get(word)) for word in words]
    if not words or None in factors or len(words) > 3:
        return None
    return math.prod(factor for factor in factors if factor is not None)


def _checked(value: float, text: str, what: str) -> float:
    if not math.isfinite(value) or abs(value) > LARGEST_NUMBER:
        raise OutOfRange(
            worded('{what} "{text}"', what=what, text=text.strip()),
            why="No heap holds that much",
            instead="Write the number as you would say it, such as 3 or 2.5",
        )
    return value
