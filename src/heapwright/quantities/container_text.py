"""Finds the container a person names in a text: "leaf bag", "2 buckets", "25 L tub".

Knows how containers' names stand in running words. Knows nothing of counts, fullness or packing
(see `amounts`).
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from heapwright.errors import NotUnderstood
from heapwright.quantities.containers import (
    Container,
    container_words,
    own_container,
    unclear_containers,
)
from heapwright.quantities.parsing import take_measure
from heapwright.quantities.units import Dimension, UnitSystem
from heapwright.wording import worded

EXAMPLE = "Write it such as 2 pails, half a wheelbarrow, 20 L or 3 kg"
_SIZED = re.compile(
    r"(?P<size>\d[\d.,/]*\s*[a-z][a-z0-9 ]*?)\s+(?P<vessel>bucket|pail|tub|trug|bag|sack|bin|pot|"
    r"barrel|drum|box|crate|can|caddy|cart|wheelbarrow|barrow|basket|container)(?:s|es)?\b"
)


def parse_container(
    words: str, containers: Iterable[Container] = (), system: UnitSystem | None = None
) -> Container:
    """Return the one container these words name: "leaf bag", "buckets", "25 L tub".

    Raises
    ------
    NotUnderstood
        When no container is called so, or the word can mean several sizes.

    """
    rest, container = take_container(plain_text(words), tuple(containers), system, words)
    if rest not in ("", "a", "an", "the", "one"):
        raise NotUnderstood(
            worded('No container is called "{words}"', words=words.strip()),
            instead=worded("Did you mean {name}?", name=container.name),
        )
    return container


def plain_text(text: str) -> str:
    """Return a text in lower case with its signs spelled one way."""
    plain = text.lower().replace("’", "'").replace("(", " ").replace(")", " ")
    plain = plain.replace("³", "3").replace("^3", "3")
    plain = re.sub(r"(?<=[a-z0-9])-(?=[a-z])", " ", plain)  # "5-gallon", "three-quarters"
    plain = re.sub(r"(?<!\d),|,(?!\d)", " ", plain)
    plain = re.sub(r"(?<=\d)\s*[x×*]\s+(?=\d)", " ", plain)  # "2 x 33 gal bags"
    return re.sub(r"\s+", " ", plain).strip()


def take_phrase(text: str, phrases: Iterable[str]) -> tuple[str, str | None]:
    """Take the longest of the phrases out of a text; words only, never parts of words."""
    for phrase in sorted(phrases, key=len, reverse=True):
        pattern = rf"(?<![\w/.]){re.escape(phrase)}(?![\w/])"
        if re.search(pattern, text):
            return re.sub(r"\s+", " ", re.sub(pattern, " ", text, count=1)).strip(), phrase
    return text, None


def take_container(
    text: str, own: tuple[Container, ...], system: UnitSystem | None, said: str
) -> tuple[str, Container]:
    """Take the container a text names out of it; return what is left and the container."""
    words = {plain_text(word): container for word, container in container_words(own).items()}
    sized = _SIZED.search(text)
    if sized and sized.group() not in words:
        found = _sized_container(text, sized)
        if found is not None:
            return found
    rest, word = take_phrase(text, words)
    if word is None:
        rest, word = take_phrase(text, unclear_containers())
        if word is not None:
            return rest, _meant(word, system, said)
        known = "pail, bucket, leaf bag, wheelbarrow, sack, drum, yard"
        raise NotUnderstood(
            worded('Amount "{said}"', said=said.strip()),
            why=worded(
                "No container or unit was found in it; known are {known} and your own", known=known
            ),
            instead=EXAMPLE,
        )
    return rest, words[word]


def _sized_container(text: str, match: re.Match[str]) -> tuple[str, Container] | None:
    """Take a vessel that says its own size out of a text: "2 25 L tubs", "a 7 gal pot"."""
    taken = take_measure(match["size"], Dimension.VOLUME)
    if taken is None or taken[1] != "":
        return None
    vessel = own_container(f"{match['size']} {match['vessel']}", taken[0])
    return (text[: match.start()] + " " + text[match.end() :]).strip(), vessel


def _meant(word: str, system: UnitSystem | None, said: str) -> Container:
    unclear = unclear_containers()[word]
    if system is not None and system in unclear.meant:
        return unclear.meant[system]
    choices = ", ".join(container.name for container in unclear.choices)
    raise NotUnderstood(
        worded('Amount "{said}"', said=said.strip()),
        why=worded('"{word}" can mean several sizes', word=word),
        instead=worded(
            "Say which: {choices}; or name your own container with its volume", choices=choices
        ),
    )
