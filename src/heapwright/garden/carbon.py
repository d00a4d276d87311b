"""What is kept out of the air when kitchen scraps go into a heap and not into a landfill.

Knows the published factors and how wide they are. Knows nothing of gardens: whether the scraps
would have gone to a landfill is for a person to say.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from heapwright.finish.dates import middle_eight_in_ten
from heapwright.garden.draws import spread_independently
from heapwright.garden.ledger_types import Range
from heapwright.garden.tables import PACKAGE
from heapwright.quantities import to_si
from heapwright.tables import Estimate, parameter_table

_KG_PER_T = 1000.0
_G_PER_KG = 1000.0
_POUNDS_A_SHORT_TON = 2000.0  # exact, a definition


def factors() -> Mapping[str, Estimate]:
    """Return the rows of `data/carbon.csv`."""
    return parameter_table(PACKAGE, "data/carbon.csv")


def landfill_kg_per_kg() -> Estimate:
    """Return what a kilogram of kitchen scraps gives off in a landfill. [kg CO2e/kg wet]"""
    short_ton_kg = to_si(_POUNDS_A_SHORT_TON, "lb")
    return factors()["landfill_kitchen_t_per_short_ton"].scaled(_KG_PER_T / short_ton_kg)


def heap_kg_per_kg() -> Range:
    """Return what a kilogram gives off in a heap, end by end. [kg CO2e/kg wet]"""
    found = factors()
    methane = found["heap_methane_g_per_kg"].scaled(found["methane_warming"].typical / _G_PER_KG)
    nitrous = found["heap_nitrous_g_per_kg"].scaled(found["nitrous_warming"].typical / _G_PER_KG)
    return Range(
        methane.low + nitrous.low, methane.typical + nitrous.typical, methane.high + nitrous.high
    )


@cache
def kept_kg_per_kg() -> Range:
    """Return what is kept out of the air by each kilogram of kitchen scraps that is composted.

    k = L - (m M + n N), with what a landfill gives off L [1]_ [2]_, methane m and nitrous oxide n
    given off by the heap [3]_ [4]_, and their warming M and N against carbon dioxide in 100 years.
    Each of L, m and n is spread over its range on its own; the range is that of the middle eight
    in ten.

    Returns
    -------
    Range
        [kg CO2e/kg wet]

    Notes
    -----
    Not counted: carbon that the compost leaves in the soil (the published figures for it are of
    farm fields), fertiliser and peat that it replaces, fuel of the lorry that does not come for it.
    Composting plants, of which the heap's range is, are not a bin at home.

    References
    ----------
    .. [1] US EPA, Emission factors for greenhouse gas inventories, 2021 and 2026, table 9.
    .. [2] US EPA, Waste Reduction Model, version 15, organic materials, exhibits 1-10 and 1-46.
    .. [3] IPCC 2006 guidelines, volume 5, chapter 4, table 4.1.
    .. [4] Scientific Reports 13, 7608, 2023.

    """
    found = factors()
    landfill, methane, nitrous = spread_independently(
        (
            landfill_kg_per_kg(),
            found["heap_methane_g_per_kg"],
            found["heap_nitrous_g_per_kg"],
        )
    )
    warming = methane * found["methane_warming"].typical
    warming = warming + nitrous * found["nitrous_warming"].typical
    return Range(*middle_eight_in_ten(landfill - warming / _G_PER_KG))
