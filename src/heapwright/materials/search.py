"""Finds a material by the words people use, and never takes a refused thing for its look-alike.

Knows names, everyday words, words that mean several things and words that mark something
harmful. Knows nothing of whether a material is allowed (see `hazards`).

The order, so that a mistake errs on the safe side:

1. the words are exactly a name or word of one material;
2. the words are ambiguous by themselves ("hay", "manure"): ask back;
3. a word marks harm ("treated", "dog", "blighted") and is not denied ("no meat"): that thing;
4. a material's words stand inside what was written ("fresh coffee grounds from the café"): the
   longest such word; two materials alike: ask back;
5. a slip of the finger: the nearest word, only when no other material is nearly as near;
6. otherwise say what is nearest.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache

from heapwright.errors import UnknownMaterial
from heapwright.materials.table import PACKAGE, load_materials
from heapwright.materials.types import Material
from heapwright.tables import read_rows

#: How alike (0-1, difflib's ratio) a misspelt word must be to be taken, and to be offered. A third
#: figure is how much less alike every other material must be. Our choices, held by the tests.
TAKEN_RATIO = 0.86
OFFERED_RATIO = 0.55
CLEAR_LEAD = 0.06
SHORTEST_TYPO = 5
MOST_OFFERED = 3

_DENIALS = {"no", "not", "without", "non", "never", "free"}
_FILLER = {"some", "my", "the", "of", "a", "an", "from", "bag", "bags", "with", "and", "in", "bit"}


class SeveralMaterials(UnknownMaterial):
    """The words can mean materials that must not be mixed up; says which to choose from."""

    code = "several-materials"

    def __init__(self, words: str, choices: Iterable[Material]) -> None:
        self.choices = tuple(choices)
        names = "; ".join(material.name for material in self.choices)
        super().__init__(f'"{words}" can mean several materials', instead=f"Say which: {names}")


def find_material(words: str) -> Material:
    """Return the one material these words mean.

    Parameters
    ----------
    words : str
        What the person wrote: "dead leaves", "chicken poo", a key of the table, a slip such as
        "cofee grounds".

    Returns
    -------
    Material
        Maybe refused or conditional: see `hazards.check_allowed`.

    Raises
    ------
    SeveralMaterials
        (An UnknownMaterial.) When the words can mean several; `choices` holds them.
    UnknownMaterial
        When nothing answers; names the nearest.

    """
    found = candidates(words)
    if len(found) == 1:
        return found[0]
    if found:
        raise SeveralMaterials(words.strip(), found)
    raise _unknown(words)


def candidates(words: str) -> list[Material]:
    """Return every material these words can mean, best first: one when clear, none if unknown."""
    tokens = _tokens(words)
    if not tokens:
        return []
    materials = load_materials()
    for keys in (
        _exact(words, tokens),
        _marked_harmful(tokens),
        _inside(tokens),
        _misspelt(tokens),
    ):
        if keys:
            return [materials[key] for key in keys]
    return []


def suggestions(words: str, count: int = MOST_OFFERED) -> list[Material]:
    """Return the nearest materials to words that mean none, nearest first."""
    scores = sorted(_likeness(_tokens(words)).items(), key=lambda item: -item[1])
    materials = load_materials()
    return [materials[key] for key, score in scores[:count] if score >= OFFERED_RATIO]


def _unknown(words: str) -> UnknownMaterial:
    if not words.strip():
        return UnknownMaterial(
            "No material was named", instead='Write what it is, such as "leaves"'
        )
    nearest = ", ".join(material.name for material in suggestions(words))
    return UnknownMaterial(
        f'No material called "{words.strip()}"',
        instead=f"Nearest: {nearest}" if nearest else 'Write it in plain words, such as "leaves"',
    )


def _exact(words: str, tokens: tuple[str, ...]) -> list[str]:
    if words.strip() in load_materials():
        return [words.strip()]
    named = _vocabulary().get(_joined(tokens), ())
    return list(named) or list(_ambiguous().get(_joined(tokens), ()))


def _marked_harmful(tokens: tuple[str, ...]) -> list[str]:
    """Return the harmful material a word marks, unless the whole phrase names it better."""
    marks = {
        _triggers()[token]: None
        for position, token in enumerate(tokens)
        if token in _triggers() and not _denied(tokens, position)
    }
    if not marks:
        return []
    named = [key for key in _inside(tokens) if load_materials()[key].hazard]
    return named or list(marks)


def _denied(tokens: tuple[str, ...], position: int) -> bool:
    before = tokens[max(0, position - 2) : position]
    return bool(_DENIALS & set(before)) or tokens[position + 1 : position + 2] == ("free",)


def _inside(tokens: tuple[str, ...]) -> list[str]:
    """Return the materials whose longest word stands inside what was written."""
    held = set(tokens)
    best: dict[str, int] = {}
    for table in (_vocabulary(), _ambiguous()):
        for phrase, keys in table.items():
            parts = phrase.split()
            if set(parts) <= held:
                weight = sum(len(part) for part in parts) + 100 * len(parts)
                for key in keys:
                    best[key] = max(best.get(key, 0), weight)
    longest = max(best.values(), default=0)
    return [key for key, weight in best.items() if weight == longest]


def _misspelt(tokens: tuple[str, ...]) -> list[str]:
    """Return the material a slip of the finger means, if no other is nearly as near."""
    if len(_joined(tokens)) < SHORTEST_TYPO:
        return []
    scores = sorted(_likeness(tokens).items(), key=lambda item: -item[1])
    if not scores or scores[0][1] < TAKEN_RATIO:
        return []
    near = [key for key, score in scores if score > scores[0][1] - CLEAR_LEAD]
    return near if len(near) <= MOST_OFFERED else []


def _likeness(tokens: tuple[str, ...]) -> dict[str, float]:
    """Return how alike each material's nearest word is to what was written. [0-1]"""
    written = _joined(tokens)
    matcher = difflib.SequenceMatcher(autojunk=False)
    matcher.set_seq2(written)
    best: dict[str, float] = {}
    for table in (_vocabulary(), _ambiguous()):
        for phrase, keys in table.items():
            matcher.set_seq1(phrase)
            if matcher.real_quick_ratio() < OFFERED_RATIO or matcher.quick_ratio() < OFFERED_RATIO:
                continue
            ratio = matcher.ratio()
            for key in keys:
                best[key] = max(best.get(key, 0.0), ratio)
    return best


@cache
def _vocabulary() -> Mapping[str, tuple[str, ...]]:
    """Return the materials by every normalised name and word."""
    table: dict[str, tuple[str, ...]] = {}
    for material in load_materials().values():
        for word in (material.name, material.key.replace("_", " "), *material.words):
            phrase = _joined(_tokens(word))
            if material.key not in table.get(phrase, ()):
                table[phrase] = (*table.get(phrase, ()), material.key)
    return table


@cache
def _ambiguous() -> Mapping[str, tuple[str, ...]]:
    return {
        _joined(_tokens(row["word"])): tuple(row["choices"].split("|"))
        for row in read_rows(PACKAGE, "data/ambiguous.csv")
    }


@cache
def _triggers() -> Mapping[str, str]:
    return {
        _singular(row["word"]): row["material"] for row in read_rows(PACKAGE, "data/triggers.csv")
    }


@cache
def _tokens(words: str) -> tuple[str, ...]:
    """Return the words in lower case, without accents, signs, filler or plural endings."""
    plain = unicodedata.normalize("NFKD", words.lower()).encode("ascii", "ignore").decode()
    parts = re.findall(r"[a-z0-9]+", plain.replace("'s", "s").replace("'", ""))
    return tuple(_singular(part) for part in parts if part not in _FILLER) or tuple(parts)


def _joined(tokens: tuple[str, ...]) -> str:
    return " ".join(tokens)


def _singular(word: str) -> str:
    """Return the singular of an English plural, near enough to compare words with."""
    if word in ("leaves", "leafs"):
        return "leaf"
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("shes", "ches", "xes", "oes", "sses")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word
