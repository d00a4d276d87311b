"""Lets the fitted model speak as one witness: how likely it holds each class of what it infers.

Knows standing heaps and their mixture. Its word is soft: a share of it, by the table, counts as
knowing nothing, and its own spread over the members does the rest.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from heapwright.diagnosis.tables import limits
from heapwright.diagnosis.types import FloatArray
from heapwright.heap import layout
from heapwright.heap.resume import Standing
from heapwright.mixing.balance import solid_and_water_volume_m3

#: Sign, and the limits between its outcomes, from the smallest value up.
_EDGES = {
    "model moisture": ("parched", "dry", "wet", "soaked"),
    "model food": ("little_food", "much_food"),
    "model nitrogen": ("rich_c_to_n", "lean_c_to_n", "poor_c_to_n"),
    "model space": ("tight_space", "open_space"),
    "model oxygen": ("short_oxygen", "good_oxygen"),
}


def model_witnesses(standing: Standing, c_to_n: Sequence[float]) -> dict[str, FloatArray]:
    """Return how likely the members hold each class.

    Parameters
    ----------
    standing : Standing
        The fitted members now.
    c_to_n : sequence of float
        As built, one for each draw of the fill.

    Returns
    -------
    dict
        Sign id to array of shape (outcomes,), each adding up to 1.

    """
    values = {
        "model moisture": moisture(standing),
        "model food": food_left(standing),
        "model nitrogen": np.asarray(c_to_n, dtype=np.float64),
        "model space": free_air_space(standing),
        "model oxygen": core_oxygen(standing),
    }
    return {name: classes(value, _EDGES[name]) for name, value in values.items()}


def classes(values: FloatArray, edges: Sequence[str]) -> FloatArray:
    """Return the share of values in each class, drawn towards knowing nothing by the table."""
    table = limits()
    place = np.searchsorted([table[edge] for edge in edges], values, side="right")
    share = np.bincount(place, minlength=len(edges) + 1) / values.size
    trust = table["model_trust"]
    return np.asarray(trust * share + (1.0 - trust) / share.size)


def moisture(standing: Standing) -> FloatArray:
    """Return each member's moisture, wet basis. [0-1]"""
    water = standing.state.cells[:, layout.WATER].sum(axis=(1, 2))
    return np.asarray(water / (water + standing.state.dry_kg.sum(axis=(1, 2))))


def food_left(standing: Standing) -> FloatArray:
    """Return each member's fast and medium pools left, as share of those built in. [0-1]"""
    state = standing.state
    left = state.cells[:, layout.FAST].sum(axis=(1, 2)) + state.cells[:, layout.MEDIUM].sum(
        axis=(1, 2)
    )
    return np.asarray(left / np.maximum(state.books["degradable_in_kg"], 1e-9))


def free_air_space(standing: Standing) -> FloatArray:
    """Return each member's free air space, by the mixing core's equation. [0-1]"""
    state = standing.state
    filled = solid_and_water_volume_m3(
        state.cells[:, layout.WATER].sum(axis=(1, 2)),
        state.dry_kg.sum(axis=(1, 2)),
        state.cells[:, layout.ASH].sum(axis=(1, 2)),
    )
    return np.asarray(np.clip(1.0 - filled / state.volume_m3, 0.0, 1.0))


def core_oxygen(standing: Standing) -> FloatArray:
    """Return each member's oxygen in the pores of the core. [0-0.21]"""
    cells = standing.state.cells[:, layout.OXYGEN]
    radii, heights = cells.shape[1:]
    across = layout.middles(layout.ring_edges(radii)) <= layout.CORE_RADIUS
    up = np.abs(layout.middles(layout.level_edges(heights)) - 0.5) <= layout.CORE_HALF_HEIGHT
    return np.asarray(cells[:, across][:, :, up].mean(axis=(1, 2)))
