"""Finds a material by the words people use, and never takes a refused thing for its look-alike.

Knows names, everyday words, words that mean several things and words that mark something
harmful. Knows nothing of whether a material is allowed (see `hazards`).

The order, so that a mistake errs on the safe side:

1. the words are exactly a name or word of one material, in English or Spanish;
2. the words are ambiguous by themselves ("hay", "manure"): ask back;
3. a word marks harm ("treated", "dog", "blighted") and is not denied ("no meat"): that thing;
4. a material's words stand inside what was written ("fresh coffee grounds from the café"): the
   word of most parts; two materials alike: ask back;
5. a slip of the finger: the nearest word, only when no other material is nearly as near;
6. otherwise say what is nearest.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from collections.abc import Set as AbstractSet

from heapwright.errors import UnknownMaterial
from heapwright.materials.table import load_materials
from heapwright.materials.types import Material
from heapwright.materials.vocabulary import (
    harm_words,
    joined,
    known_tokens,
    spanish_words,
    tokens_of,
    unclear_words,
    vocabulary,
)
from heapwright.wording import worded

#: How alike (0-1, difflib's ratio) a misspelt word must be to be taken, to count as a word of harm,
#: and to be offered; and how much less alike every other material must be. Our choices, held by
#: the tests.
TAKEN_RATIO = 0.86
HARM_RATIO = 0.85
OFFERED_RATIO = 0.55
CLEAR_LEAD = 0.06
SHORTEST_TYPO = 4
MOST_OFFERED = 3

_DENIALS = {"no", "not", "without", "non", "never"}
_JOINING = {"or", "nor"}
_FILLER = {"some", "my", "the", "of", "a", "an", "from", "with", "and", "in", "bit", "bag"}
#: Words that name no kind of thing, and how a material lies, which is told apart from what it is.
_ADJECTIVES = {"dry", "dead", "fallen", "old", "brown", "fresh", "wet", "mixed", "raked", "crisp"}
_PACKING = {"shredded", "chopped", "pressed", "compacted", "loose", "mown", "packed"}


class SeveralMaterials(UnknownMaterial):
    """The words can mean materials that must not be mixed up; says which to choose from."""

    code = "several-materials"

    def __init__(self, words: str, choices: Iterable[Material]) -> None:
        self.choices = tuple(choices)
        names = "; ".join(material.name for material in self.choices)
        super().__init__(
            worded('"{words}" can mean several materials', words=words),
            instead=worded("Say which: {names}", names=names),
        )


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
    tokens = tokens_of(words)
    if not tokens:
        return []
    keys = _exact(words, tokens) or _marked_harmful(tokens) or _inside(tokens) or _misspelt(tokens)
    return [load_materials()[key] for key in keys]


def suggestions(words: str, count: int = MOST_OFFERED) -> list[Material]:
    """Return the nearest materials to words that mean none, nearest first."""
    scores = sorted(_likeness(tokens_of(words)).items(), key=lambda item: -item[1])
    materials = load_materials()
    return [materials[key] for key, score in scores[:count] if score >= OFFERED_RATIO]


def _unknown(words: str) -> UnknownMaterial:
    if not words.strip():
        return UnknownMaterial(
            "No material was named", instead='Write what it is, such as "leaves"'
        )
    nearest = ", ".join(material.name for material in suggestions(words))
    return UnknownMaterial(
        worded('No material called "{words}"', words=words.strip()),
        instead=worded("Nearest: {nearest}", nearest=nearest)
        if nearest
        else 'Write it in plain words, such as "leaves"',
    )


def _exact(words: str, tokens: tuple[str, ...]) -> list[str]:
    """Return what the words are called exactly, with and without their filler."""
    if words.strip() in load_materials():
        return [words.strip()]
    for phrase in (joined(tokens), joined(_without(tokens, _FILLER))):
        found = (
            vocabulary().get(phrase) or unclear_words().get(phrase) or spanish_words().get(phrase)
        )
        if found:
            return list(found)
    return []


def _marked_harmful(tokens: tuple[str, ...]) -> list[str]:
    """Return what a word marks as harmful, or the harmful thing a longer phrase names."""
    marks = {
        _mark(token): None
        for position, token in enumerate(tokens)
        if _mark(token) in harm_words() and not _denied(tokens, position)
    }
    materials = load_materials()
    named = [
        key
        for phrase, key in _phrases_within({_mark(token) for token in tokens})
        if not marks.keys().isdisjoint(phrase.split()) and materials[key].hazard
    ]
    found = list(dict.fromkeys(named or [_beside(mark, set(tokens)) for mark in marks]))
    return [key for key in found if materials[key].hazard] or found


def _mark(token: str) -> str:
    """Return the harmful word a token is, or is misspelt from, else the token itself."""
    if token in harm_words() or token in known_tokens() or len(token) <= SHORTEST_TYPO:
        return token
    near = difflib.get_close_matches(token, harm_words(), n=1, cutoff=HARM_RATIO)
    return near[0] if near else token


def _beside(mark: str, tokens: set[str]) -> str:
    """Return what a harmful word makes of the words it stands beside."""
    for companion, key in harm_words()[mark].items():
        if companion in tokens:
            return key
    return harm_words()[mark][""]


def _denied(tokens: tuple[str, ...], position: int) -> bool:
    """Return whether a word is denied: "no meat or fish", "meat free"."""
    if tokens[position + 1 : position + 2] == ("free",):
        return True
    before = tokens[position - 1] if position else ""
    if before in _JOINING and position > 1:
        return _denied(tokens, position - 2)
    return before in _DENIALS


def _inside(tokens: tuple[str, ...]) -> list[str]:
    """Return the materials whose longest word stands inside what was written.

    A harmful thing named there too, and not as part of that longest word, comes instead.
    """
    denied = {token for position, token in enumerate(tokens) if _denied(tokens, position)}
    held = set(_without(tokens, _PACKING | denied))
    found = _phrases_within(held)
    if not found:
        return []
    best = set(found[0][0].split())
    materials = load_materials()
    harmful = [
        key
        for phrase, key in found
        if phrase not in unclear_words()
        and materials[key].hazard
        and not set(phrase.split()) <= best
    ]
    alike = [(phrase, key) for phrase, key in found if _words_in(phrase) == _words_in(found[0][0])]
    return list(dict.fromkeys(harmful or [key for _, key in alike if not _is_vaguer(key, alike)]))


def _is_vaguer(key: str, alike: list[tuple[str, str]]) -> bool:
    """Return whether one is a vaguer name of the other: "dry leaves" beside "oak leaves"."""
    materials = load_materials()
    own = [set(phrase.split()) - _ADJECTIVES for phrase, other in alike if other == key]
    return any(
        all(words < set(phrase.split()) - _ADJECTIVES for words in own)
        for phrase, other in alike
        if other != key and materials[other].kind == materials[key].kind
    )


def _phrases_within(held: set[str]) -> list[tuple[str, str]]:
    """Return (phrase, key) of every known phrase whose words are all held, longest first."""
    found = [
        (phrase, key)
        for table in (vocabulary(), unclear_words())
        for phrase, keys in table.items()
        if set(phrase.split()) <= held
        for key in keys
    ]
    return sorted(found, key=lambda item: _words_in(item[0]), reverse=True)


def _words_in(phrase: str) -> int:
    return len(phrase.split())


def _misspelt(tokens: tuple[str, ...]) -> list[str]:
    """Return the material a slip of the finger means, if no other is nearly as near."""
    if len(joined(tokens)) < SHORTEST_TYPO:
        return []
    nearest = _nearest_phrases(tokens)
    if not nearest or nearest[0][0] < TAKEN_RATIO:
        return []
    best_keys = nearest[0][1]
    rivals = [keys for score, keys in nearest if score > nearest[0][0] - CLEAR_LEAD]
    keys = list(dict.fromkeys(key for group in rivals for key in group))
    return keys if len(keys) <= max(MOST_OFFERED, len(best_keys)) else []


def _likeness(tokens: tuple[str, ...]) -> dict[str, float]:
    """Return how alike each material's nearest word is to what was written. [0-1]"""
    best: dict[str, float] = {}
    for score, keys in _nearest_phrases(tokens):
        for key in keys:
            best.setdefault(key, score)
    return best


def _nearest_phrases(tokens: tuple[str, ...]) -> list[tuple[float, tuple[str, ...]]]:
    """Return (likeness, keys) of the known phrases that are like what was written, best first."""
    written = joined(_without(tokens, _PACKING | _FILLER))
    matcher = difflib.SequenceMatcher(autojunk=False)
    matcher.set_seq2(written)
    found = []
    for table in (vocabulary(), unclear_words()):
        for phrase, keys in table.items():
            matcher.set_seq1(phrase)
            if (
                matcher.real_quick_ratio() >= OFFERED_RATIO
                and matcher.quick_ratio() >= OFFERED_RATIO
            ):
                found.append((matcher.ratio(), keys))
    return sorted(found, key=lambda item: item[0], reverse=True)


def _without(tokens: tuple[str, ...], unwanted: AbstractSet[str]) -> tuple[str, ...]:
    """Return the tokens without some; all of them where nothing would be left."""
    return tuple(token for token in tokens if token not in unwanted) or tokens
