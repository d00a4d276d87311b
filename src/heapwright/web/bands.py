"""Small pictures of what a mix is against what is wished: a rail, the wished band, the range.

Knows places on a rail and the words beside it. Knows nothing of how either was found.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from heapwright.mixing.types import Band, MixtureRange, Wishes
from heapwright.quantities import (
    format_density,
    format_number,
    format_range,
    format_share,
    format_volume,
)
from heapwright.sentences import Reader
from heapwright.tables import Estimate
from heapwright.wording import worded

#: Length of the rail in drawing units.
RAIL = 300.0
#: Ends of the rails, for the eye: what heaps are and some room to both sides.
_C_TO_N_END = 60.0
_DENSITY_END = 800.0
_VOLUME_ROOM = 1.3


@dataclass(frozen=True, slots=True)
class BandPicture:
    """One property: its places on the rail, 0 to `RAIL`, and all of it in words.

    Attributes
    ----------
    name, range_words, wished_words, verdict : str
    low, likely, high, wished_low, wished_high : float
    fits : bool
        Whether the likely value lies in the wished band.

    """

    name: str
    range_words: str
    wished_words: str
    verdict: str
    low: float
    likely: float
    high: float
    wished_low: float
    wished_high: float
    fits: bool


def band_pictures(mixture: MixtureRange, wishes: Wishes, reader: Reader) -> list[BandPicture]:
    """Return the pictures of C:N, moisture, density, air space and volume."""
    units = reader.units

    def density(kg_m3: float) -> str:
        return format_density(kg_m3, units)

    def size(m3: float) -> str:
        return format_volume(m3, units)

    volume_end = _VOLUME_ROOM * wishes.volume_m3.high
    return [
        _picture(
            "C:N",
            mixture.c_to_n,
            wishes.c_to_n,
            _C_TO_N_END,
            format_number,
            ("too green", "too brown"),
        ),
        _picture(
            "Moisture, wetted",
            mixture.moisture,
            wishes.moisture,
            1.0,
            format_share,
            ("too dry", "too wet"),
        ),
        _picture(
            "Density",
            mixture.bulk_density_kg_m3,
            wishes.bulk_density_kg_m3,
            _DENSITY_END,
            density,
            ("too light", "too heavy"),
        ),
        _picture(
            "Air space",
            mixture.free_air_space,
            wishes.free_air_space,
            1.0,
            format_share,
            ("too airless", "too airy"),
        ),
        _picture(
            "Loose volume",
            mixture.volume_m3,
            wishes.volume_m3,
            volume_end,
            size,
            ("too small", "too large"),
        ),
    ]


def _picture(
    name: str,
    mix: Estimate,
    wished: Band,
    end: float,
    show: Callable[[float], str],
    ends: tuple[str, str],
) -> BandPicture:
    def place(value: float) -> float:
        return round(RAIL * min(1.0, max(0.0, value / end)), 1)

    has_low, has_high = wished.low > 0, wished.high < end
    if has_low and has_high:
        wished_words = worded(
            "wished {low} to {high}", low=show(wished.low), high=show(wished.high)
        )
    else:
        wished_words = (
            worded("wished at least {low}", low=show(wished.low))
            if has_low
            else worded("wished at most {high}", high=show(wished.high))
        )
    low, high = wished.low * (1 - _ROUNDING), wished.high * (1 + _ROUNDING)
    verdict = "as wished"
    if mix.typical < low:
        verdict = ends[0]
    elif mix.typical > high:
        verdict = ends[1]
    return BandPicture(
        name=name,
        range_words=format_range(mix, show),
        wished_words=wished_words,
        verdict=verdict,
        low=place(mix.low),
        likely=place(mix.typical),
        high=place(mix.high),
        wished_low=place(wished.low),
        wished_high=place(wished.high),
        fits=low <= mix.typical <= high,
    )


#: A value this little outside the band is on its edge: whole numbers of a solver.
_ROUNDING = 1e-4
