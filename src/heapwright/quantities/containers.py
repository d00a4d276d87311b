"""Containers people use, how full they are and how the stuff in them lies.

Knows the shipped tables of containers, fullness and packing words, and a person's own named
containers. Knows nothing of what is inside or of reading a whole amount (see `amounts`).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from heapwright.errors import AlreadyThere, OutOfRange
from heapwright.quantities.units import UnitSystem, to_si
from heapwright.tables import Estimate, Evidence, estimate_from_row, read_rows
from heapwright.wording import worded

PACKAGE = "heapwright.quantities"

#: A container smaller than a thimble or larger than a lorry is a slip of the finger.
SMALLEST_CONTAINER_M3 = 1e-5
LARGEST_CONTAINER_M3 = 50.0


class Packing(StrEnum):
    """How a material lies in its container."""

    LOOSE = "loose"
    PRESSED = "pressed"
    SHREDDED = "shredded"


@dataclass(frozen=True, slots=True)
class Container:
    """Something people fill, with its nominal volume.

    Attributes
    ----------
    name, plural : str
        As shown: "leaf bag", "leaf bags".
    volume_m3 : float
        Nominal volume. [m³]
    usual_fullness : Estimate
        How full it is when nothing is said. [0-1 and a little above]
    words : tuple of str
        Other words for it, lower case.
    source : str
        Where the volume comes from.

    """

    name: str
    plural: str
    volume_m3: float
    usual_fullness: Estimate
    words: tuple[str, ...] = ()
    source: str = ""

    @property
    def is_rarely_full(self) -> bool:
        """Whether the faces should ask how full it is (a tied bag)."""
        return self.usual_fullness == fullness_levels()["tied"]

    def called(self, count: float) -> str:
        """Return the name that fits a count: "leaf bag", "leaf bags"."""
        return self.name if count == 1 else self.plural


@cache
def standard_containers() -> Mapping[str, Container]:
    """Return the shipped containers by name, smallest words first as in the table."""
    levels = fullness_levels()
    return {
        row["name"]: Container(
            name=row["name"],
            plural=row["plural"],
            volume_m3=to_si(float(row["amount"]), row["unit"]),
            usual_fullness=levels[row["fullness"]],
            words=tuple(row["words"].split("|")),
            source=row["source"],
        )
        for row in read_rows(PACKAGE, "data/containers.csv")
    }


@cache
def fullness_levels() -> Mapping[str, Estimate]:
    """Return how full each word of the table means. [share of nominal volume]"""
    return {row["id"]: estimate_from_row(row) for row in read_rows(PACKAGE, "data/fullness.csv")}


@cache
def fullness_words() -> Mapping[str, Estimate]:
    """Return fullness by every word people use for it."""
    levels = fullness_levels()
    return {
        word: levels[row["id"]]
        for row in read_rows(PACKAGE, "data/fullness.csv")
        for word in row["words"].split("|")
    }


def fullness_said(share: float) -> Estimate:
    """Return how full a container is that a person says is so full.

    Parameters
    ----------
    share : float
        Of the nominal volume: 0.8 for "80 % full".

    Returns
    -------
    Estimate
        A share is told no better than a word: "50 % full" has the range of "half full", and of
        what is nearly empty as much is surely there as by those words.

    Raises
    ------
    OutOfRange
        When there would be nothing in it.

    """
    if share <= 0:
        raise OutOfRange(
            worded("Fullness {share:g} %", share=share * 100), why="An empty container is no amount"
        )
    half, little = fullness_levels()["half"], fullness_levels()["nearly empty"]
    spread = (half.high - half.low) / 2
    low = max(share - spread, share * little.low / little.typical)
    return Estimate(low, share, share + spread, "as said", Evidence.MEASURED)


@cache
def packing_words() -> Mapping[str, Packing]:
    """Return packing by every word people use for it."""
    return {
        word: Packing(row["packing"])
        for row in read_rows(PACKAGE, "data/packing_words.csv")
        for word in row["words"].split("|")
    }


def own_container(name: str, volume_m3: float, *, existing: Iterable[Container] = ()) -> Container:
    """Return a person's own named container.

    Parameters
    ----------
    name : str
        Singular, as the person calls it ("green tub").
    volume_m3 : float
        Nominal volume. [m³]
    existing : iterable of Container
        The person's other containers, whose names are taken.

    Raises
    ------
    OutOfRange
        When the volume is not that of a container, or there is no name.
    AlreadyThere
        When another container has this name.

    """
    tidy = re.sub(r"\s+", " ", name).strip()
    if not tidy:
        raise OutOfRange("The container has no name", instead='Give it one, such as "green tub"')
    if not SMALLEST_CONTAINER_M3 <= volume_m3 <= LARGEST_CONTAINER_M3:
        raise OutOfRange(
            worded('"{tidy}" with {volume_m3:g} L', tidy=tidy, volume_m3=volume_m3 * 1000),
            why="That is not the size of a container",
            instead="Fill it with water from a bucket you know, and count",
        )
    if tidy.lower() in {container.name.lower() for container in existing}:
        raise AlreadyThere(
            worded('There is already a container called "{tidy}"', tidy=tidy),
            instead="Choose another name",
        )
    return Container(
        tidy, plural_of(tidy), volume_m3, fullness_levels()["nearly full"], source="measured"
    )


def plural_of(name: str) -> str:
    """Return the plural of a container's name by the usual rules of English."""
    if re.search(r"(s|x|z|ch|sh)$", name):
        return name + "es"
    if re.search(r"[^aeiou]y$", name):
        return name[:-1] + "ies"
    return name + "s"


@dataclass(frozen=True, slots=True)
class UnclearContainer:
    """A word that means different sizes to different people."""

    meant: Mapping[UnitSystem, Container]
    choices: tuple[Container, ...]


@cache
def unclear_containers() -> Mapping[str, UnclearContainer]:
    """Return the unclear words, singular and plural, with what each may mean."""
    standard = standard_containers()
    table = {}
    for row in read_rows(PACKAGE, "data/unclear_containers.csv"):
        unclear = UnclearContainer(
            meant={system: standard[row[system]] for system in UnitSystem if row[system]},
            choices=tuple(standard[name] for name in row["choices"].split("|")),
        )
        table[row["word"]] = table[plural_of(row["word"])] = unclear
    return table


def container_words(own: Iterable[Container] = ()) -> dict[str, Container]:
    """Return every container by each of its names and words, lower case; a person's own win."""
    table: dict[str, Container] = {}
    for container in (*standard_containers().values(), *own):
        for word in (container.name, container.plural, *container.words):
            table[word.lower()] = container
            table[plural_of(word.lower())] = container
    return table
