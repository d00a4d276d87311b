"""Reads an amount as people say it: "2 pails", "half a wheelbarrow", "1 1/2 leaf bags pressed".

Knows how counts, containers, fullness, packing and units stand together. Knows nothing of the
material: its density turns an amount into mass on the floor above.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.quantities.container_text import (
    EXAMPLE,
    plain_text,
    take_container,
    take_phrase,
)
from heapwright.quantities.containers import (
    Container,
    Packing,
    fullness_said,
    fullness_words,
    packing_words,
)
from heapwright.quantities.numbers import parse_number
from heapwright.quantities.parsing import parse_share, split_number, take_measure
from heapwright.quantities.units import Dimension, UnitSystem
from heapwright.tables import Estimate, Evidence
from heapwright.wording import worded

#: More than this at once is a slip of the finger: a long row of large bins.
LARGEST_VOLUME_M3 = 100.0
LARGEST_MASS_KG = 50_000.0

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
    rest, packing = _take_packing(plain_text(text))
    measured = _measured(rest, packing)
    if measured is not None:
        return _checked(measured, text)
    rest, fullness = _take_fullness(rest)
    rest, container = take_container(rest, own, system, text)
    count = _count(rest, text)
    if 0 < count < 1 and fullness is None:
        count, fullness = 1.0, fullness_said(count)
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
    cannot_be: OutOfRange | None = None
    for length in range(len(words), 0, -1):
        try:
            amount = parse_amount(" ".join(words[:length]), own, system)
        except NotUnderstood:
            continue
        except OutOfRange as problem:
            cannot_be = cannot_be or problem
            continue
        material = re.sub(r"^of\s+", "", " ".join(words[length:]).strip(" ,"))
        return _packed_as_named(amount, material), material
    if cannot_be is not None:  # an amount that was understood but cannot be is the better answer
        raise cannot_be
    return parse_amount(text, own, system), ""


def _packed_as_named(amount: Amount, material: str) -> Amount:
    _, packing = _take_packing(plain_text(material))
    if packing is None or amount.packing is not Packing.LOOSE:
        return amount
    return replace(amount, packing=packing)


def _take_packing(text: str) -> tuple[str, Packing | None]:
    rest, word = take_phrase(text, packing_words())
    return rest, None if word is None else packing_words()[word]


def _take_fullness(text: str) -> tuple[str, Estimate | None]:
    share = re.search(r"(\d[\d.,]*)\s*(%|per cent|percent)\s*full", text)
    if share:
        value = parse_share(f"{share[1]} %", what="Fullness", why="a container holds 0 to 100 %")
        rest = (text[: share.start()] + " " + text[share.end() :]).strip()
        return rest, fullness_said(value)
    rest, word = take_phrase(text, fullness_words())
    return rest, None if word is None else fullness_words()[word]


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
            worded('Amount "{said}"', said=said.strip()),
            why=worded('"{words}" was not understood', words=words),
            instead=EXAMPLE,
        ) from problem


def _checked(amount: Amount, text: str) -> Amount:
    volume = amount.volume_m3
    size = amount.mass_kg if volume is None else volume.typical
    if size is None or size <= 0:
        raise _nothing(text)
    if size > (LARGEST_MASS_KG if volume is None else LARGEST_VOLUME_M3):
        raise OutOfRange(
            worded('Amount "{text}"', text=text.strip()),
            why="No garden heap takes so much at once",
            instead="Check the number and the unit",
        )
    return amount


def _nothing(text: str) -> OutOfRange:
    return OutOfRange(
        worded('Amount "{text}"', text=text.strip()),
        why="It must be more than nothing",
        instead=EXAMPLE,
    )
