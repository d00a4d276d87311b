"""How much nitrogen a layer of finished compost gives plants in its first year, as a range.

Knows the product of five uncertain factors and how it is drawn. Knows nothing of beds.
"""

from __future__ import annotations

from dataclasses import dataclass

from heapwright.finish.dates import middle_eight_in_ten
from heapwright.finish.guides import limits
from heapwright.garden.beds_types import Volume
from heapwright.garden.draws import spread_independently
from heapwright.garden.tables import nutrients
from heapwright.tables import Estimate


@dataclass(frozen=True, slots=True)
class Nitrogen:
    """Nitrogen for the plants of the first year: one in ten below low, one in ten above high.

    Attributes
    ----------
    low_kg, likely_kg, high_kg : float
        [kg]

    """

    low_kg: float
    likely_kg: float
    high_kg: float


def first_year_nitrogen(volume_m3: Volume) -> Nitrogen:
    """Return the nitrogen that a volume of finished compost gives in its first year.

    N = V d (1 - M) n s, with density d [kg/m³ wet], moisture M [wet], total nitrogen n [dry] and
    the share s of it that comes free in the first year. Sampled, not multiplied end by end: every
    factor is spread evenly over its range (half of the draws below its typical value) and taken
    as independent of the others; the range is that of the middle eight in ten products.

    Parameters
    ----------
    volume_m3 : Volume
        As a range where it is not known exactly. [m³]

    Returns
    -------
    Nitrogen

    Notes
    -----
    Known bias: dense compost is often wetter and poorer in nitrogen, so the true range is somewhat
    narrower. Above 3 % nitrogen more than 15 % may come free [1]_.

    References
    ----------
    .. [1] The sources of `first_year_share` in data/nutrients.csv; density, moisture and nitrogen
       stand in finish/data/thresholds.csv.

    """
    found = limits()
    draws = spread_independently(
        (
            found["finished_density_kg_m3"],
            found["finished_moisture"],
            found["finished_nitrogen_dry"],
            nutrients()["first_year_share"],
            Estimate(volume_m3.low, volume_m3.likely, volume_m3.high),
        )
    )
    density, moisture, nitrogen, share, volume = draws
    return Nitrogen(*middle_eight_in_ten(volume * density * (1.0 - moisture) * nitrogen * share))
