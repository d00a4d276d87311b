"""Reads an amount as people say it: "2 pails", "half a wheelbarrow", "1 1/2 leaf bags pressed".

Knows how counts, containers, fullness, packing and units stand together. Knows nothing of the
material: its density turns an amount into mass on the floor above.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.quantities.containers import (
    Container,
    Packing,
    container_words,
    fullness_words,
    own_container,
    packing_words,
    unclear_containers,
)
from heapwright.quantities.numbers import parse_number
from heapwright.quantities.parsing import parse_share, split_number, take_measure
from heapwright.quantities.units import Dimension, UnitSystem
from heapwright.tables import Estimate, Evidence

#: More than this at once is a slip of the finger: a long row of large bins.
LARGEST_VOLUME_M3 = 100.0
LARGEST_MASS_KG = 50_000.0

_EXAMPLE = "Write it such as 2 pails, half a wheelbarrow, 20 L or 3 kg"
_SAID_SHARE_SPREAD = 0.1  # a person's "80 % full" is good to about a tenth: common practice
_SIZED = re.compile(
    r"(?P<size>\d[\d.,/]*\s*[a-z][a-z0-9 ]*?)\s+(?P<vessel>bucket|pail|tub|trug|bag|sack|bin|pot|"
    r"barrel|drum|box|crate|can|caddy|cart|wheelbarrow|barrow|basket|container)(?:s|es)?\b"
)
_FULL = Estimate.exactly(1.0, "as said", Evidence.MEASURED)


@dataclass(frozen=True, slots=True)
class Amount:
    """How much of something, as a person said it.

    Attributes
    ----------
    count : float
        Containers; 1 when mass or volume was given.
    container : Container or None
        None when mass or volume was given.
    fullness : Estimate
        How full each container is. [share of nominal volume]
    fullness_said : bool
        False when it is only the usual fullness of such a container: ask.
    packing : Packing
    mass_kg, given_volume_m3 : float or None
        What was given instead of containers.

    """

    count: float
    container: Container | None
    fullness: Estimate
    fullness_said: bool
    packing: Packing
    mass_kg: float | None = None
    given_volume_m3: float | None = None

    @property
    def volume_m3(self) -> Estimate | None:
        """Volume as it lies, with its range; None when a mass was given. [m³]"""
        if self.mass_kg is not None:
            return None
        if self.container is None:
            return _FULL.scaled(self.given_volume_m3 or 0.0)
        return self.fullness.scaled(self.count * self.container.volume_m3)


def parse_amount(
    text: str, containers: Iterable[Container] = (), system: UnitSystem | None = None
) -> Amount:
    """Return the amount a person wrote.

    Parameters
    ----------
    text : str
        "2 pails", "1 1/2 leaf bags pressed", "half a wheelbarrow", "3 kg", "20 L", "0.5 yd3",
        "three-quarters full pail", "2 bags, 80 % full".
    containers : iterable of Container
        The person's own, which come before the shipped ones.
    system : UnitSystem or None
        Settles words that mean different sizes ("bucket"); None: they are asked back.

    Returns
    -------
    Amount
        "Half a pail" is one pail, half full; "1 1/2 pails" is a count of 1.5.

    Raises
    ------
    NotUnderstood
        When the container is not known or unclear, or no amount is said.
    OutOfRange
        When nothing, less than nothing, or more than a garden holds.

    """
    own = tuple(containers)
    rest, packing = _take_packing(_plain(text))
    measured = _measured(rest, packing)
    if measured is not None:
        return _checked(measured, text)
    rest, fullness = _take_fullness(rest)
    rest, container = _take_container(rest, own, system, text)
    count = _count(rest, text)
    if 0 < count < 1 and fullness is None:
        count, fullness = 1.0, _as_said(count)
    if count <= 0:
        raise _nothing(text)
    amount = Amount(
        count=count,
        container=container,
        fullness=fullness or container.usual_fullness,
        fullness_said=fullness is not None,
        packing=packing or Packing.LOOSE,
    )
    return _checked(amount, text)


def parse_amount_of(
    text: str, containers: Iterable[Container] = (), system: UnitSystem | None = None
) -> tuple[Amount, str]:
    """Return the amount a text begins with and the words for the material that follow it.

    "2 pails of coffee grounds", "3 kg straw", "1 1/2 leaf bags shredded leaves". The longest
    beginning that is an amount is taken as the amount; a packing word among the material's words
    counts too.

    Raises
    ------
    NotUnderstood, OutOfRange
        As `parse_amount`, when no beginning is an amount.

    """
    own = tuple(containers)
    words = text.split()
    for length in range(len(words), 0, -1):
        try:
            amount = parse_amount(" ".join(words[:length]), own, system)
        except (NotUnderstood, OutOfRange):
            continue
        material = re.sub(r"^of\s+", "", " ".join(words[length:]).strip(" ,"))
        return _packed_as_named(amount, material), material
    return parse_amount(text, own, system), ""


def parse_container(
    words: str, containers: Iterable[Container] = (), system: UnitSystem | None = None
) -> Container:
    """Return the one container these words name: "leaf bag", "buckets", "25 L tub".

    Raises
    ------
    NotUnderstood
        When no container is called so, or the word can mean several sizes.

    """
    rest, container = _take_container(_plain(words), tuple(containers), system, words)
    if rest not in ("", "a", "an", "the", "one"):
        raise NotUnderstood(
            f'No container is called "{words.strip()}"', instead=f"Did you mean {container.name}?"
        )
    return container


def _packed_as_named(amount: Amount, material: str) -> Amount:
    _, packing = _take_packing(_plain(material))
    if packing is None or amount.packing is not Packing.LOOSE:
        return amount
    return replace(amount, packing=packing)


def _plain(text: str) -> str:
    plain = text.lower().replace("’", "'").replace("(", " ").replace(")", " ")
    plain = plain.replace("³", "3").replace("^3", "3")
    plain = re.sub(r"(?<=[a-z0-9])-(?=[a-z])", " ", plain)  # "5-gallon", "three-quarters"
    plain = re.sub(r"(?<!\d),|,(?!\d)", " ", plain)
    plain = re.sub(r"(?<=\d)\s*[x×*]\s+(?=\d)", " ", plain)  # "2 x 33 gal bags"
    return re.sub(r"\s+", " ", plain).strip()


def _take_phrase(text: str, phrases: Iterable[str]) -> tuple[str, str | None]:
    """Take the longest of the phrases out of a text; words only, never parts of words."""
    for phrase in sorted(phrases, key=len, reverse=True):
        pattern = rf"(?<![\w/.]){re.escape(phrase)}(?![\w/])"
        if re.search(pattern, text):
            return re.sub(r"\s+", " ", re.sub(pattern, " ", text, count=1)).strip(), phrase
    return text, None


def _take_packing(text: str) -> tuple[str, Packing | None]:
    rest, word = _take_phrase(text, packing_words())
    return rest, None if word is None else packing_words()[word]


def _take_fullness(text: str) -> tuple[str, Estimate | None]:
    share = re.search(r"(\d[\d.,]*)\s*(%|per cent|percent)\s*full", text)
    if share:
        value = parse_share(f"{share[1]} %", what="Fullness", why="a container holds 0 to 100 %")
        rest = (text[: share.start()] + " " + text[share.end() :]).strip()
        return rest, _as_said(value)
    rest, word = _take_phrase(text, fullness_words())
    return rest, None if word is None else fullness_words()[word]


def _as_said(share: float) -> Estimate:
    low, high = share * (1 - _SAID_SHARE_SPREAD), share * (1 + _SAID_SHARE_SPREAD)
    return Estimate(low, share, high, "as said", Evidence.MEASURED)


def _take_container(
    text: str, own: tuple[Container, ...], system: UnitSystem | None, said: str
) -> tuple[str, Container]:
    words = {_plain(word): container for word, container in container_words(own).items()}
    sized = _SIZED.search(text)
    if sized and sized.group() not in words:
        found = _sized_container(text, sized)
        if found is not None:
            return found
    rest, word = _take_phrase(text, words)
    if word is None:
        rest, word = _take_phrase(text, unclear_containers())
        if word is not None:
            return rest, _meant(word, system, said)
        known = "pail, bucket, leaf bag, wheelbarrow, sack, drum, yard"
        raise NotUnderstood(
            f'Amount "{said.strip()}"',
            why=f"No container or unit was found in it; known are {known} and your own",
            instead=_EXAMPLE,
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
        f'Amount "{said.strip()}"',
        why=f'"{word}" can mean several sizes',
        instead=f"Say which: {choices}; or name your own container with its volume",
    )


def _measured(text: str, packing: Packing | None) -> Amount | None:
    """Return an amount given as mass or volume ("3 kg", "20 L"), or None."""
    for dimension in (Dimension.MASS, Dimension.VOLUME):
        taken = take_measure(text, dimension)
        if taken is not None and taken[1] == "":
            value = taken[0]
            return Amount(
                count=1.0,
                container=None,
                fullness=_FULL,
                fullness_said=True,
                packing=packing or Packing.LOOSE,
                mass_kg=value if dimension is Dimension.MASS else None,
                given_volume_m3=value if dimension is Dimension.VOLUME else None,
            )
    return None


def _count(rest: str, said: str) -> float:
    """Return the count; without one ("pail", "full pail") it is 1."""
    words = re.sub(r"(\s+(of|the|a|an|full|and))+$|^(of|the|full|and)$", "", rest).strip()
    if words == "":
        return 1.0
    parts = split_number(words)
    number = parts[0] if parts and re.fullmatch(r"(of|a|an)?", parts[1]) else words
    try:
        return parse_number(number)
    except NotUnderstood as problem:
        raise NotUnderstood(
            f'Amount "{said.strip()}"',
            why=f'"{words}" was not understood',
            instead=_EXAMPLE,
        ) from problem


def _checked(amount: Amount, text: str) -> Amount:
    volume = amount.volume_m3
    size = amount.mass_kg if volume is None else volume.typical
    if size is None or size <= 0:
        raise _nothing(text)
    if size > (LARGEST_MASS_KG if volume is None else LARGEST_VOLUME_M3):
        raise OutOfRange(
            f'Amount "{text.strip()}"',
            why="No garden heap takes so much at once",
            instead="Check the number and the unit",
        )
    return amount


def _nothing(text: str) -> OutOfRange:
    return OutOfRange(
        f'Amount "{text.strip()}"', why="It must be more than nothing", instead=_EXAMPLE
    )
