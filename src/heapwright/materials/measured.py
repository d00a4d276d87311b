"""Turns what a person weighs, dries, squeezes or has analysed into values for one lot.

Knows the arithmetic of the bucket, the oven and the laboratory's two bases, and what a squeezed
handful tells. Knows nothing of lots: the caller puts the value into `Lot.measured`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.materials.table import PACKAGE
from heapwright.tables import Estimate, Evidence, estimate_from_row, parameter_table, read_rows
from heapwright.wording import worded

_BY_HAND = "measured by hand"


def bulk_density_from_pail(full_kg: float, empty_kg: float, volume_m3: float) -> Estimate:
    """Bulk density from weighing one filled container.

    (full - empty) / volume [1]_. How hard the pail was tapped or dropped differs between
    protocols, so the range of the table `measuring`, row `pail_density`, is put around it.

    Parameters
    ----------
    full_kg, empty_kg : float
        Weight of the container with and without its filling. [kg]
    volume_m3 : float
        Its volume to the brim. [m³]

    Returns
    -------
    Estimate
        Wet mass per volume as it lies. [kg m⁻³]

    Raises
    ------
    OutOfRange
        When the full one is not heavier than the empty one, or the stuff would be lighter than
        feathers or heavier than wet gravel.

    Examples
    --------
    The source's pail of 20 L, 1 kg empty and 10 kg full, holds 0.45 kg/L:

    >>> bulk_density_from_pail(10.0, 1.0, 0.020).typical
    450.0

    References
    ----------
    .. [1] Zabaleta, "Supplementary material on Composting", after Cooperband 2002.

    """
    _positive("Volume of the container", volume_m3, "m³")
    if not math.isfinite(full_kg) or not 0 <= empty_kg < full_kg:
        raise OutOfRange(
            worded(
                "Full {full_kg:g} kg, empty {empty_kg:g} kg", full_kg=full_kg, empty_kg=empty_kg
            ),
            why="The full container must weigh more than the empty one",
            instead="Weigh both again; the empty one first",
        )
    density = (full_kg - empty_kg) / volume_m3
    possible = _measuring("density_possible")
    if not possible.low <= density <= possible.high:
        raise OutOfRange(
            worded("Bulk density {density:.0f} kg/m³", density=density),
            why="Nothing for a heap is so light or so heavy",
            instead="Check the weight, the volume and their units",
        )
    return _spread(density, "pail_density")


def moisture_from_drying(container_kg: float, with_wet_kg: float, with_dry_kg: float) -> Estimate:
    """Moisture from drying a weighed sample until its weight no longer changes.

    (wet - dry) / wet of the sample alone, after 24 h at 105-110 °C [1]_.

    Parameters
    ----------
    container_kg : float
        The empty dish. [kg] Grams do as well: only ratios count.
    with_wet_kg, with_dry_kg : float
        Dish and sample before and after drying, same unit.

    Returns
    -------
    Estimate
        Water as share of wet mass. [0-1]

    Raises
    ------
    OutOfRange
        When the weights cannot belong together.

    Examples
    --------
    The source's dish of 4 g with 10 g of grass clippings weighs 6.3 g when dry: 77 %.

    >>> round(moisture_from_drying(4.0, 14.0, 6.3).typical, 2)
    0.77

    References
    ----------
    .. [1] T. Richard, N. Trautmann, Cornell Composting science pages, text on moisture.

    """
    wet, dry = with_wet_kg - container_kg, with_dry_kg - container_kg
    sensible = all(map(math.isfinite, (wet, dry))) and container_kg >= 0 and 0 <= dry <= wet
    if not sensible or wet <= 0:
        raise OutOfRange(
            worded(
                "Dish {container_kg:g}, with wet sample {with_wet_kg:g}, with dry {with_dry_kg:g}",
                container_kg=container_kg,
                with_wet_kg=with_wet_kg,
                with_dry_kg=with_dry_kg,
            ),
            why="A sample gets lighter as it dries, and weighs more than nothing",
            instead="Weigh the dish alone, then with the wet and with the dry sample, in one unit",
        )
    return _spread((wet - dry) / wet, "dried_moisture", highest=1.0)


def squeeze_moisture(word: str) -> Estimate:
    """Return the moisture that a squeezed handful tells.

    Rows of the table `squeeze`: "dry and dusty" is below 44 %, "one or two drops" is right for
    one school (50-60 %), "no drops" for another; both readings are kept as their ranges.

    Parameters
    ----------
    word : str
        One of `squeeze_words()`, or one of the other words in the table.

    Returns
    -------
    Estimate
        Water as share of wet mass. [0-1]

    Raises
    ------
    NotUnderstood
        When the word is not in the table; names those that are.

    """
    tidy = " ".join(word.lower().replace("-", " ").replace(",", " ").split())
    found = _squeeze_table().get(tidy)
    if found is None:
        raise NotUnderstood(
            worded('Squeeze test "{word}"', word=word.strip()),
            why="That is not one of the answers",
            instead="Squeeze a handful from inside and say: " + "; ".join(squeeze_words()),
        )
    return found


@cache
def squeeze_words() -> tuple[str, ...]:
    """Return the answers of the squeeze test, driest first, for a face to offer."""
    return tuple(row["answer"] for row in read_rows(PACKAGE, "data/squeeze.csv"))


@cache
def _squeeze_table() -> Mapping[str, Estimate]:
    return {
        word: estimate_from_row(row)
        for row in read_rows(PACKAGE, "data/squeeze.csv")
        for word in (row["answer"], *row["words"].split("|"))
    }


def laboratory_share(value: float, *, basis: str, moisture: float | None = None) -> Estimate:
    """Return a laboratory's nitrogen, carbon or ash as share of dry mass.

    Tables and laboratories print either per dry mass or per mass as received; the second is
    divided by the dry share once, and never multiplied again.

    Parameters
    ----------
    value : float
        As printed, as a share. [0-1]
    basis : {"dry", "wet"}
        What it is a share of; "wet" is as received.
    moisture : float or None
        Moisture of the sample [0-1]; needed for "wet".

    Returns
    -------
    Estimate
        Share of dry mass, without spread. [0-1]

    Raises
    ------
    NotUnderstood
        When the basis is another word.
    OutOfRange
        When a share lies outside 0 to 1, or the moisture needed is missing or 100 %.

    """
    if basis not in ("dry", "wet"):
        raise NotUnderstood(
            worded('Basis "{basis}"', basis=basis), instead='Say "dry" or "wet" (as received)'
        )
    _share("The laboratory's figure", value)
    if basis == "dry":
        return Estimate.exactly(value, "laboratory", Evidence.MEASURED)
    if moisture is None or not 0 <= moisture < 1:
        raise OutOfRange(
            "The moisture of the sample is missing"
            if moisture is None
            else f"Moisture {moisture:.0%}",
            why="A figure as received can only be turned into one of dry mass with it",
            instead="Give the moisture printed on the same report",
        )
    dry = value / (1 - moisture)
    if dry > 1:
        raise OutOfRange(
            worded(
                "{value:.1%} as received at moisture {moisture:.0%} would be {dry:.0%} of dry mass",
                value=value,
                moisture=moisture,
                dry=dry,
            ),
            why="A part cannot be more than the whole",
            instead="Look again which basis the report states",
        )
    return Estimate.exactly(dry, "laboratory", Evidence.MEASURED)


def _spread(value: float, row: str, highest: float = math.inf) -> Estimate:
    """Put the relative range of the table `measuring` around a value measured by hand."""
    factor = _measuring(row)
    return Estimate(
        value * factor.low, value, min(highest, value * factor.high), _BY_HAND, Evidence.MEASURED
    )


def _measuring(row: str) -> Estimate:
    return parameter_table(PACKAGE, "data/measuring.csv")[row]


def _positive(what: str, value: float, unit: str) -> None:
    if not math.isfinite(value) or value <= 0:
        raise OutOfRange(
            worded("{what} {value:g} {unit}", what=what, value=value, unit=unit),
            why="It must be more than nothing",
        )


def _share(what: str, value: float) -> None:
    if not 0 <= value <= 1:
        raise OutOfRange(
            worded("{what} {value:.0%}", what=what, value=value),
            why="It is a share, so it lies between 0 and 100 %",
            instead=worded("Did you mean {value:.2%}?", value=value / 100)
            if 1 < value <= 100
            else "Look at the report again",
        )
