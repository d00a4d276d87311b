"""What a person does to a heap, applied to its cells between hours.

Knows turning (stirred in place, or forked inside-out), wetting, adding and covering. Every action
moves amounts with matrices whose columns add up to one, so nothing is lost; what leaves is booked.
"""

from __future__ import annotations

import numpy as np

from heapwright.heap import layout
from heapwright.heap.state import (
    HeapState,
    book_fill,
    cell_shares,
    fill_amounts,
    set_bin,
    set_cover,
)
from heapwright.heap.types import ActionKind, FloatArray, HeapAction, Redistribution

# No turn steams off more than this share of a cell's water: a guard, far above what is seen.
_MOST_STEAMED = 0.5


def apply_action(state: HeapState, action: HeapAction, air_c: float) -> None:
    """Apply one action to every member, in place.

    Parameters
    ----------
    state : HeapState
    action : HeapAction
    air_c : float
        Outside air in that hour; also the temperature of the water given (not below 0). [°C]

    """
    if action.kind is ActionKind.STIR:
        _turn(state, "stir", air_c)
        _wet_evenly(state, action.water_kg, air_c)
    elif action.kind is ActionKind.MOVE:
        _turn(state, "move", air_c)
        _move_into(state, action)
        _wet_evenly(state, action.water_kg, air_c)
    elif action.kind is ActionKind.WET:
        _wet_from_top(state, action.water_kg, air_c)
    elif action.kind is ActionKind.ADD:
        _add_on_top(state, action, air_c)
        _wet_from_top(state, action.water_kg, air_c)
    elif action.cover is not None:
        set_cover(state.sites, action.cover, state.parameters)


def inside_out(radius_m: float, height_m: float, radii: int, heights: int) -> FloatArray:
    """Return the matrix that carries the outermost material to the innermost place.

    Cells are ranked by their distance from the nearest face; the share of the volume that lies
    further out than a piece of material becomes the share that lies further in.

    Returns
    -------
    array, shape (cells, cells)
        Row: new place, column: old place; every column adds up to 1.

    """
    from_side = radius_m * (1.0 - layout.middles(layout.ring_edges(radii)))
    level = height_m * layout.middles(layout.level_edges(heights))
    from_ends = np.minimum(level, height_m - level)
    depth = np.minimum(from_side[:, None], from_ends[None, :]).ravel()
    share = cell_shares(radii, heights).ravel()
    order = np.argsort(depth, kind="stable")
    upper = np.empty_like(share)
    upper[order] = np.cumsum(share[order])
    lower = upper - share
    new_lower, new_upper = 1.0 - upper, 1.0 - lower
    overlap = np.minimum(new_upper[:, None], upper[None, :]) - np.maximum(
        new_lower[:, None], lower[None, :]
    )
    overlap = np.maximum(overlap, 0.0)
    return np.asarray(overlap / overlap.sum(axis=0, keepdims=True))


def _turned(state: HeapState, member: int, kind: str) -> FloatArray:
    """Return where a turn carries one member's cells: part fully mixed, the rest as said.

    The rest stays in its place ("stir") or goes inside-out ("move").
    """
    radii, heights = state.cells.shape[2:]
    share = cell_shares(radii, heights).ravel()
    carried = np.eye(radii * heights)
    if kind == "move":
        height = float(state.volume_m3[member] / state.foot_m2[member])
        carried = inside_out(float(state.sites["radius_m"][member]), height, radii, heights)
    mixing = float(state.parameters[f"{kind}_mixing"][member])
    return np.asarray((1.0 - mixing) * carried + mixing * share[:, None])


def redistribution(state: HeapState, action: HeapAction, hour: int) -> Redistribution | None:
    """Return where this action will carry the first member's material; None if it stays put."""
    radii, heights = state.cells.shape[2:]
    nothing = np.zeros(radii * heights)
    if action.kind in (ActionKind.STIR, ActionKind.MOVE):
        matrix = _turned(state, 0, action.kind.value)
        return Redistribution(hour, action.kind, matrix, 0.0, nothing)
    if action.kind is not ActionKind.ADD or action.fill is None:
        return None
    share = action.fill.volume_m3 / (float(state.volume_m3[0]) + action.fill.volume_m3)
    squeeze, top = _restack(heights, share)
    ring = cell_shares(radii, heights).sum(axis=1)
    dry = action.fill.wet_mass_kg * (1.0 - action.fill.moisture)
    matrix = np.asarray(np.kron(np.eye(radii), squeeze), dtype=np.float64)
    return Redistribution(hour, action.kind, matrix, dry, np.outer(ring, top).ravel())


def _turn(state: HeapState, kind: str, air_c: float) -> None:
    """Mix part of the heap fully; the rest stays in place ("stir") or goes inside-out ("move")."""
    members, fields = state.cells.shape[:2]
    amounts = state.amounts().reshape(members, fields, -1)
    carried = np.stack([amounts[m] @ _turned(state, m, kind).T for m in range(members)])
    state.set_amounts(carried.reshape(state.cells.shape))
    reopened = state.parameters[f"{kind}_reopening"]
    state.sites["looseness"] += reopened * (1.0 - state.sites["looseness"])
    _cool(state, state.number(f"{kind}_cooling"), air_c)


def _cool(state: HeapState, share: FloatArray, air_c: float) -> None:
    """Lose part of the excess over the air, some of it as steam."""
    cells, capacity = state.cells, state.capacity_j_k
    before = (capacity * cells[:, layout.TEMPERATURE]).sum(axis=(1, 2))
    drop = share * (cells[:, layout.TEMPERATURE] - air_c)
    heat = np.maximum(capacity * drop, 0.0) * state.number("turn_steam_share")
    steam = np.minimum(
        heat / state.number("latent_heat_j_kg"), _MOST_STEAMED * cells[:, layout.WATER]
    )
    cells[:, layout.WATER] -= steam
    cells[:, layout.TEMPERATURE] -= drop
    after = (state.capacity_j_k * cells[:, layout.TEMPERATURE]).sum(axis=(1, 2))
    state.books["water_evaporated_kg"] += steam.sum(axis=(1, 2))
    state.books["energy_turn_lost_j"] += before - after


def _move_into(state: HeapState, action: HeapAction) -> None:
    if action.new_bin is not None:
        set_bin(state.sites, action.new_bin, state.parameters)
        set_cover(state.sites, action.new_bin.cover, state.parameters)


def _room(state: HeapState) -> FloatArray:
    """Return the water each cell can still hold without draining. [kg]"""
    holding = state.number("holding_kg_kg") * state.dry_kg
    return np.asarray(np.maximum(holding - state.cells[:, layout.WATER], 0.0))


def _give(state: HeapState, taken: FloatArray, water_kg: float, air_c: float) -> None:
    """Put `taken` (members, radii, heights) into the cells; the rest of `water_kg` runs off."""
    water_c = max(air_c, 0.0)
    heat = state.number("water_heat_j_kg_k")
    capacity = state.capacity_j_k
    cells = state.cells
    cells[:, layout.TEMPERATURE] = (
        capacity * cells[:, layout.TEMPERATURE] + heat * taken * water_c
    ) / (capacity + heat * taken)
    cells[:, layout.WATER] += taken
    soaked = taken.sum(axis=(1, 2))
    books, per_kg = state.books, heat[:, 0, 0] * water_c
    books["water_given_kg"] += water_kg
    books["energy_given_j"] += per_kg * water_kg
    books["water_drained_kg"] += water_kg - soaked
    books["energy_drained_lost_j"] += per_kg * (water_kg - soaked)


def _wet_evenly(state: HeapState, water_kg: float, air_c: float) -> None:
    """Wet while turning: all cells get water in proportion to the room they have."""
    if water_kg <= 0.0:
        return
    room = _room(state)
    total = room.sum(axis=(1, 2), keepdims=True)
    share = np.minimum(1.0, water_kg / np.maximum(total, 1e-12))
    _give(state, room * share, water_kg, air_c)


def _wet_from_top(state: HeapState, water_kg: float, air_c: float) -> None:
    """Wet from above: part soaks each ring's column from the top down, part runs down channels.

    Dry matter sheds water at first; what runs down channels is taken up on its way, evenly by
    the room there is. What finds no room runs off.
    """
    if water_kg <= 0.0:
        return
    room = _room(state)
    radii, heights = room.shape[1:]
    ring = cell_shares(radii, heights).sum(axis=1)[None, :, None] * water_kg
    column = np.maximum(room.sum(axis=2, keepdims=True), 1e-12)
    along = room * np.minimum(1.0, state.number("water_channelled") * ring / column)
    left = room - along
    above = np.cumsum(left[:, :, ::-1], axis=2)[:, :, ::-1] - left
    rest = np.maximum(ring - along.sum(axis=2, keepdims=True), 0.0)
    _give(state, along + np.clip(rest - above, 0.0, left), water_kg, air_c)


def _add_on_top(state: HeapState, action: HeapAction, air_c: float) -> None:
    if action.fill is None:
        return
    members, _, radii, heights = state.cells.shape
    added, numbers = fill_amounts([action.fill] * members, air_c, state.parameters)
    old_volume, old_dry = state.volume_m3, state.dry_kg.sum(axis=(1, 2))
    share = numbers["volume"] / (old_volume + numbers["volume"])
    amounts = state.amounts()
    ring = cell_shares(radii, heights).sum(axis=1)
    for member in range(members):
        squeeze, top = _restack(heights, float(share[member]))
        amounts[member] = amounts[member] @ squeeze.T
        amounts[member] += added[member][:, None, None] * ring[None, :, None] * top
    state.set_amounts(amounts)
    book_fill(state.books, added, numbers, state.parameters)
    sites = state.sites
    loose = old_dry * sites["volume_per_dry"] + numbers["volume"]
    dry = old_dry + numbers["dry"]
    sites["volume_per_dry"] = loose / dry
    sites["looseness"] = (old_volume + numbers["volume"]) / loose


def _restack(heights: int, share: float) -> tuple[FloatArray, FloatArray]:
    """Return how old levels fill the new ones when the top `share` of the height is new.

    Returns
    -------
    squeeze : array, shape (heights, heights)
        Row: new level, column: old level; columns add up to 1.
    top : array, shape (heights,)
        Share of the added material in each new level; adds up to 1.

    """
    new_edge = layout.level_edges(heights)
    old_edge = new_edge * (1.0 - share)
    overlap = np.minimum(new_edge[1:, None], old_edge[None, 1:]) - np.maximum(
        new_edge[:-1, None], old_edge[None, :-1]
    )
    squeeze = np.maximum(overlap, 0.0)
    top = np.clip(new_edge[1:] - np.maximum(new_edge[:-1], 1.0 - share), 0.0, None)
    return squeeze / squeeze.sum(axis=0, keepdims=True), top / top.sum()
