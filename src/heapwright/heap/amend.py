"""Amending standing heaps by what was seen of them, with the books amended to match.

Knows which values of a heap may be corrected and how the books stay in balance: what turns out to
be in the heap is entered as having come in. Knows nothing of why.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heapwright.heap import layout
from heapwright.heap.parameters import PARAMETER_IDS
from heapwright.heap.resume import Standing
from heapwright.heap.state import LEAST_OPENNESS, HeapState
from heapwright.heap.types import FloatArray

#: Numbers that a heap's contents are counted with: amending them would falsify the books.
BOOKED_WITH = ("carbon_of_solids", "solids_heat_j_kg_k", "water_heat_j_kg_k")
_MAY_CHANGE = [i for i, name in enumerate(PARAMETER_IDS) if name not in BOOKED_WITH]
_HOTTEST_C, _COLDEST_C = 95.0, -40.0


@dataclass(frozen=True, slots=True)
class Amendment:
    """What is changed in each member of an ensemble.

    Attributes
    ----------
    temperature_k : array, shape (members, radii, heights)
        Added to the cells' temperatures. [K]
    water_log : array, same shape
        Natural logarithm of the factor on the cells' water.
    fast_log, medium_log, nitrogen_log, volume_log : array, shape (members,)
        The same for pools, nitrogen and the volume per dry matter of the whole heap.
    built_in_log : array, shape (members,)
        The same for the degradable matter that is taken to have been built in.
    activity : array, shape (members,)
        Added to the activity grown so far. [0-1]
    parameters : array, shape (members, numbers)
        The new rows; those of `BOOKED_WITH` must be as they were.

    """

    temperature_k: FloatArray
    water_log: FloatArray
    fast_log: FloatArray
    medium_log: FloatArray
    nitrogen_log: FloatArray
    volume_log: FloatArray
    built_in_log: FloatArray
    activity: FloatArray
    parameters: FloatArray


def amended(standing: Standing, amendment: Amendment) -> Standing:
    """Return the standing heaps with an amendment made.

    Temperatures stay between -40 and 95 °C; activity between 0 and 1.
    """
    state = standing.copy().state
    before = _contents(state)
    _amend_parameters(state, amendment.parameters)
    cells = state.cells
    cells[:, layout.TEMPERATURE] = np.clip(
        cells[:, layout.TEMPERATURE] + amendment.temperature_k, _COLDEST_C, _HOTTEST_C
    )
    cells[:, layout.WATER] *= np.exp(amendment.water_log)
    for field, log in (
        (layout.FAST, amendment.fast_log),
        (layout.MEDIUM, amendment.medium_log),
        (layout.NITROGEN, amendment.nitrogen_log),
    ):
        cells[:, field] *= np.exp(log)[:, None, None]
    cells[:, layout.BUILD_UP] = np.clip(
        cells[:, layout.BUILD_UP] + amendment.activity[:, None, None], 0.0, 1.0
    )
    state.sites["volume_per_dry"] *= np.exp(amendment.volume_log)
    after = _contents(state)
    for name, old in before.items():
        state.books[name] += after[name] - old
    _amend_built_in(state, amendment.built_in_log)
    return Standing(state, standing.hour)


def _contents(state: HeapState) -> dict[str, FloatArray]:
    """Return what the heaps hold, by the book it came in by."""
    cells, dry = state.cells, state.dry_kg
    solids = dry - cells[:, layout.ASH]
    heat = state.capacity_j_k * cells[:, layout.TEMPERATURE]
    nitrogen = cells[:, layout.NITROGEN] + cells[:, layout.AMMONIUM]
    return {
        "dry_in_kg": dry.sum(axis=(1, 2)),
        "carbon_in_kg": np.asarray(state.parameters["carbon_of_solids"]) * solids.sum(axis=(1, 2)),
        "nitrogen_in_kg": nitrogen.sum(axis=(1, 2)),
        "water_in_kg": cells[:, layout.WATER].sum(axis=(1, 2)),
        "energy_in_j": heat.sum(axis=(1, 2)),
    }


def _amend_parameters(state: HeapState, rows: FloatArray) -> None:
    """Take new numbers; those of the bin that follow from them move along."""
    old = state.parameters.copy()
    numbers = np.asarray(state.parameters).view(np.float64).reshape(rows.shape)
    numbers[:, _MAY_CHANGE] = rows[:, _MAY_CHANGE]
    sites, new = state.sites, state.parameters
    sites["ground_resistance"] += new["ground_resistance_m2_k_w"] - old["ground_resistance_m2_k_w"]
    openness = sites["floor_openness"] * new["floor_openness"] / old["floor_openness"]
    sites["floor_openness"] = np.clip(openness, LEAST_OPENNESS, 1.0)


def _amend_built_in(state: HeapState, log: FloatArray) -> None:
    """Amend what is taken to have been built in; never below what is there."""
    there = state.cells[:, layout.FAST] + state.cells[:, layout.MEDIUM]
    least = there.sum(axis=(1, 2))
    state.books["degradable_in_kg"] = np.maximum(
        state.books["degradable_in_kg"] * np.exp(log), least
    )
