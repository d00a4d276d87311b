"""The typed answer to "how would this heap go?": every column with its meaning and its rounding.

Knows what an answer holds, in SI units, and how exactly each number is printed. Computes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Any, get_args, get_type_hints

import numpy as np
from numpy.typing import NDArray

from heapwright.heap.types import BinShape, Fill, HeapAction
from heapwright.sanitation import RuleShare
from heapwright.sentences import Sentence

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Told:
    """What a field says, and the decimals it is printed with; None where it is no number."""

    says: str
    decimals: int | None = None


@dataclass(frozen=True, slots=True)
class Hourly:
    """The heap hour by hour: value 0 as built, value i after i hours.

    What is lost, made or left behind counts from the building on.
    """

    time_h: Annotated[FloatArray, Told("Hours since the heap was built. [h]", 0)]
    air_c: Annotated[FloatArray, Told("Air in the hour that begins; the last is repeated. [°C]", 2)]
    core_c: Annotated[
        FloatArray, Told("Mean of the core: the inner half of the radius, mid-height. [°C]", 2)
    ]
    edge_c: Annotated[FloatArray, Told("Mean within a hand's breadth of side and top. [°C]", 2)]
    mean_c: Annotated[FloatArray, Told("Mean of the whole heap by volume. [°C]", 2)]
    core_oxygen_share: Annotated[
        FloatArray, Told("Oxygen in the core's pores, by volume. [0-0.21]", 4)
    ]
    least_oxygen_share: Annotated[FloatArray, Told("Where it is least. [0-0.21]", 4)]
    core_moisture_share: Annotated[FloatArray, Told("Water of the core, of wet mass. [0-1]", 4)]
    edge_moisture_share: Annotated[FloatArray, Told("Water of the edge, of wet mass. [0-1]", 4)]
    mean_moisture_share: Annotated[
        FloatArray, Told("Water of the whole heap, of wet mass. [0-1]", 4)
    ]
    height_m: Annotated[FloatArray, Told("Height. [m]", 4)]
    volume_m3: Annotated[FloatArray, Told("Volume. [m³]", 5)]
    dry_mass_kg: Annotated[FloatArray, Told("Dry mass in the heap. [kg]", 4)]
    dry_mass_lost_kg: Annotated[FloatArray, Told("Dry mass rotted away. [kg]", 4)]
    water_kg: Annotated[FloatArray, Told("Water in the heap. [kg]", 4)]
    water_evaporated_kg: Annotated[FloatArray, Told("Gone as vapour. [kg]", 4)]
    water_drained_kg: Annotated[FloatArray, Told("Run off below. [kg]", 4)]
    carbon_dioxide_carbon_lost_kg: Annotated[
        FloatArray, Told("Carbon gone as carbon dioxide. [kg]", 4)
    ]
    nitrogen_kg: Annotated[FloatArray, Told("Nitrogen in the heap. [kg]", 5)]
    ammonia_nitrogen_lost_kg: Annotated[FloatArray, Told("Nitrogen gone as ammonia. [kg]", 5)]
    nitrogen_drained_kg: Annotated[FloatArray, Told("Nitrogen run off with the water. [kg]", 5)]
    heat_released_j: Annotated[FloatArray, Told("Heat set free by rotting. [J]", -2)]
    heat_with_air_j: Annotated[
        FloatArray, Told("Gone with warm moist air, its vapour's heat included. [J]", -2)
    ]
    heat_through_side_j: Annotated[
        FloatArray, Told("Gone through the walls; the sun's comes in. [J]", -2)
    ]
    heat_through_top_j: Annotated[
        FloatArray, Told("Gone through the top; the sun's comes in. [J]", -2)
    ]
    heat_into_ground_j: Annotated[FloatArray, Told("Gone into the ground. [J]", -2)]
    heat_lost_turning_j: Annotated[FloatArray, Told("Gone while it was turned. [J]", -2)]
    heat_stored_j: Annotated[
        FloatArray,
        Told(
            "What was set free and has not gone: the heap's warmth, and what rain, water given or "
            "drained and rotted matter brought or took. [J]",
            -2,
        ),
    ]


@dataclass(frozen=True, slots=True)
class ProbeCourse:
    """What one thermometer reads."""

    name: Annotated[str, Told("As the scenario calls it.")]
    depth_m: Annotated[float, Told("Of its tip below the top, which sinks. [m]", 3)]
    radius_fraction: Annotated[float, Told("0 the middle, 1 the wall.", 3)]
    peak_c: Annotated[float, Told("The highest it reads. [°C]", 2)]
    peak_at_h: Annotated[float, Told("When it does, first. [h]", 0)]
    time_at_55_c_or_more_h: Annotated[float, Told("Hours whose reading is 55 °C or more. [h]", 0)]
    temperature_c: Annotated[FloatArray, Told("Hour by hour. [°C]", 2)]


@dataclass(frozen=True, slots=True)
class Totals:
    """What came in, what left and what is there at the end."""

    run_h: Annotated[float, Told("Length of the run. [h]", 0)]
    dry_mass_in_kg: Annotated[float, Told("Dry mass put in. [kg]", 4)]
    dry_mass_left_kg: Annotated[float, Told("[kg]", 4)]
    dry_mass_lost_kg: Annotated[float, Told("[kg]", 4)]
    volatile_solids_lost_share: Annotated[float, Told("Of those put in. [0-1]", 4)]
    water_in_fills_kg: Annotated[
        float, Told("In what was put in, wetting while building included. [kg]", 4)
    ]
    water_given_kg: Annotated[float, Told("Given afterwards. [kg]", 4)]
    water_rain_kg: Annotated[float, Told("Rain taken up. [kg]", 4)]
    water_made_kg: Annotated[float, Told("Made by rotting. [kg]", 4)]
    water_evaporated_kg: Annotated[float, Told("[kg]", 4)]
    water_drained_kg: Annotated[float, Told("[kg]", 4)]
    water_left_kg: Annotated[float, Told("[kg]", 4)]
    carbon_dioxide_carbon_lost_kg: Annotated[float, Told("[kg]", 4)]
    nitrogen_in_kg: Annotated[float, Told("[kg]", 5)]
    ammonia_nitrogen_lost_kg: Annotated[float, Told("[kg]", 5)]
    nitrogen_drained_kg: Annotated[float, Told("[kg]", 5)]
    nitrogen_left_kg: Annotated[float, Told("[kg]", 5)]
    volume_at_first_m3: Annotated[float, Told("[m³]", 5)]
    volume_left_m3: Annotated[float, Told("[m³]", 5)]
    c_to_n_left_ratio: Annotated[float, Told("Carbon to nitrogen of what is left, by mass.", 2)]


@dataclass(frozen=True, slots=True)
class Simulation:
    """How a heap would go by the model."""

    start: Annotated[datetime | None, Told("When it was built, where the weather has dates.")]
    bin: Annotated[BinShape, Told("The bin as it was run.")]
    fill: Annotated[Fill, Told("What went in when it was built.")]
    weather_source: Annotated[str, Told("Where the weather comes from.")]
    actions: Annotated[tuple[HeapAction, ...], Told("What was done to it.")]
    probes: Annotated[tuple[ProbeCourse, ...], Told("What each thermometer reads.")]
    hourly: Annotated[Hourly, Told("Hour by hour.")]
    totals: Annotated[Totals, Told("In all.")]
    rule_shares: Annotated[
        tuple[RuleShare, ...], Told("How much of the heap has met each published rule.")
    ]
    balance_error_share: Annotated[
        float, Told("Largest relative error of any balance in any hour. [0-1]")
    ]
    assumed: Annotated[tuple[Sentence, ...], Told("What the scenario does not say and was taken.")]
    notes: Annotated[tuple[Sentence, ...], Told("What must be known of these numbers.")]
    cautions: Annotated[tuple[Sentence, ...], Told("What to mind at a real heap.")]


def told_of(of: type) -> Mapping[str, Told]:
    """Return what the fields of an answer's type say, by name."""
    hints = get_type_hints(of, include_extras=True)
    return {
        name: next((part for part in get_args(hint)[1:] if isinstance(part, Told)), Told(""))
        for name, hint in hints.items()
    }


def printed(answer: object) -> dict[str, Any]:
    """Return an answer's fields rounded as they are printed, by name."""
    return {
        name: _rounded(getattr(answer, name), told.decimals)
        for name, told in told_of(type(answer)).items()
    }


def _rounded(value: Any, decimals: int | None) -> Any:
    if decimals is None:
        return value
    if isinstance(value, np.ndarray):
        return np.round(value, decimals) + 0.0  # no negative nothing
    return round(float(value), decimals) + 0.0
