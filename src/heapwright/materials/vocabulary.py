"""The words materials are known by: names, everyday words, unclear words and words of harm.

Knows how words are compared (lower case, singular, without accents). Knows nothing of choosing
among materials (see `search`).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from functools import cache

from heapwright.materials.table import PACKAGE, load_materials
from heapwright.tables import read_rows

Phrases = Mapping[str, tuple[str, ...]]


@cache
def vocabulary() -> Phrases:
    """Return the materials by every normalised name and word."""
    table: dict[str, tuple[str, ...]] = {}
    for material in load_materials().values():
        for word in (material.name, *material.words):
            phrase = joined(tokens_of(word))
            if material.key not in table.get(phrase, ()):
                table[phrase] = (*table.get(phrase, ()), material.key)
    return table


@cache
def unclear_words() -> Phrases:
    """Return the materials each unclear word can mean, by its normalised form."""
    return {
        joined(tokens_of(row["word"])): tuple(row["choices"].split("|"))
        for row in read_rows(PACKAGE, "data/ambiguous.csv")
    }


@cache
def spanish_words() -> Phrases:
    """Return the materials that whole Spanish phrases mean, by their normalised form."""
    return {
        joined(tokens_of(row["word"])): tuple(row["choices"].split("|"))
        for row in read_rows(PACKAGE, "data/spanish_words.csv")
    }


@cache
def harm_words() -> Mapping[str, Mapping[str, str]]:
    """Return {harmful word: {companion or "": material}}."""
    table: dict[str, dict[str, str]] = {}
    for row in read_rows(PACKAGE, "data/triggers.csv"):
        marked = table.setdefault(singular(row["word"]), {})
        for companion in row["beside"].split("|"):
            marked[singular(companion)] = row["material"]
    return table


@cache
def known_tokens() -> frozenset[str]:
    """Return every single word that stands in a known phrase."""
    return frozenset(
        token
        for table in (vocabulary(), unclear_words())
        for phrase in table
        for token in phrase.split()
    )


@cache
def tokens_of(words: str) -> tuple[str, ...]:
    """Return the words in lower case, without accents, signs or plural endings."""
    plain = unicodedata.normalize("NFKD", words.lower()).encode("ascii", "ignore").decode()
    return tuple(singular(part) for part in re.findall(r"[a-z0-9]+", plain.replace("'", "")))


def joined(tokens: tuple[str, ...]) -> str:
    """Return the words as one phrase."""
    return " ".join(tokens)


def singular(word: str) -> str:
    """Return the singular of an English plural, near enough to compare words with."""
    if word in ("leaves", "leafs", "leavs"):
        return "leaf"
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("shes", "ches", "xes", "oes", "sses")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word
