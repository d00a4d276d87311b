"""Turns a batch's entries into what the heap model runs on: shape, fills, actions, readings.

Knows what each kind of entry does to a heap. Knows nothing of forecasts or advice.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import NotFound, OutOfRange
from heapwright.heap.checks import check_fill
from heapwright.heap.types import (
    ActionKind,
    BinShape,
    Cover,
    Fill,
    Ground,
    HeapAction,
    Wall,
)
from heapwright.journal.entries import BatchState, BinState, Entry, EntryKind, GardenState
from heapwright.mixing.spread import draw_mixtures
from heapwright.mixing.types import Lot
from heapwright.tables import parameter_table
from heapwright.workshop.lots import mixing_lot
from heapwright.workshop.probe_series import for_model

#: Where a reading must have been taken to speak of the core.
CORE = ("", "core")


@dataclass(frozen=True, slots=True)
class HeapHistory:
    """One batch as the model reads it.

    Attributes
    ----------
    start : datetime
        The hour it was built in, UTC.
    shape : BinShape
        The bin it was built in, with what lay on top then.
    fills : tuple of Fill
        One draw of what was put in per member of the ensemble; the first is the likely one.
    actions : tuple of HeapAction
    readings : tuple of Entry
        Core readings in order of time; of a probe's, those that the model is given.
    cover : Cover
        What lies on top now.

    """

    start: datetime
    shape: BinShape
    fills: tuple[Fill, ...]
    actions: tuple[HeapAction, ...]
    readings: tuple[Entry, ...]
    cover: Cover


def settings_table() -> Mapping[str, float]:
    """Return the typical values of the workshop's table."""
    table = parameter_table("heapwright.workshop", "data/workshop.csv")
    return {name: estimate.typical for name, estimate in table.items()}


def heap_history(state: GardenState, batch: BatchState, members: int) -> HeapHistory:
    """Return the batch as the model reads it.

    Parameters
    ----------
    state : GardenState
    batch : BatchState
    members : int
        Draws of the fill to make.

    """
    built = next(entry for entry in batch.entries if entry.kind is EntryKind.BUILD)
    start = built.at.replace(minute=0, second=0, microsecond=0)
    first_bin = state.bins[str(built.body["bin"])]
    covers = _Covers(Cover(built.body.get("cover", first_bin.cover)))
    actions: list[HeapAction] = []
    for entry in batch.entries:
        hour = max(0.0, (entry.at - start) / timedelta(hours=1))
        actions += _actions(state, batch, entry, hour)
        actions += covers.after(entry, hour)
    return HeapHistory(
        start=start,
        shape=bin_shape(first_bin, covers.first),
        fills=that_can_be(
            [_pressed_in(fill, first_bin) for fill in built_fills(state, built, members)]
        ),
        actions=tuple(actions),
        readings=tuple(e for e in for_model(batch) if is_core_reading(e)),
        cover=covers.now,
    )


def is_core_reading(entry: Entry) -> bool:
    """Whether the entry is a temperature of the core."""
    return entry.kind is EntryKind.READING and entry.body.get("where", "") in CORE


def bin_shape(state: BinState, cover: Cover | None = None) -> BinShape:
    """Return a bin as the heap model reads it."""
    return BinShape(
        width_m=state.width_m,
        depth_m=state.depth_m,
        height_m=state.height_m,
        wall=Wall(state.wall),
        cover=cover or Cover(state.cover),
        shade=state.shade,
        ground=Ground(state.ground),
    )


def built_fills(state: GardenState, built: Entry, members: int) -> tuple[Fill, ...]:
    """Return draws of what was put in when the batch was built."""
    if "fill" in built.body:
        return _seen_fills(built, members)
    return _mixed_fills(state, built, members)


def _pressed_in(fill: Fill, bin_state: BinState) -> Fill:
    """Return the fill as it lies in its bin: what stood far above the rim was pressed down."""
    bin_m3 = bin_state.width_m * bin_state.depth_m * bin_state.height_m
    most = settings_table()["heaped_over_bin"] * bin_m3
    return fill if fill.volume_m3 <= most else replace(fill, volume_m3=most)


def as_found(fill: Fill, logs: NDArray[np.float64]) -> Fill:
    """Return a fill with the pools and the water that it turned out to have had."""
    fast, medium, wetter = (float(value) for value in np.exp(logs))
    pools = fill.fast_share * fast, fill.medium_share * medium
    most = min(1.0, 1.0 / sum(pools)) if sum(pools) > 0 else 1.0
    dry = fill.wet_mass_kg * (1.0 - fill.moisture)
    water = fill.wet_mass_kg * fill.moisture * wetter
    return replace(
        fill,
        wet_mass_kg=dry + water,
        moisture=water / (dry + water),
        fast_share=pools[0] * most,
        medium_share=pools[1] * most,
    )


def that_can_be(fills: Sequence[Fill]) -> tuple[Fill, ...]:
    """Return the draws with the likely one in the place of any that cannot be.

    Among many draws from wide ranges one may leave no air between the pieces, or be nearly all
    water; nobody built such a heap, and it must not keep the others from being followed. A likely
    fill that cannot be stays, so that it is told.
    """

    def can_be(fill: Fill) -> bool:
        try:
            check_fill(fill)
        except OutOfRange:
            return False
        return True

    return tuple(fill if can_be(fill) else fills[0] for fill in fills)


class _Covers:
    """Follows what lies on top of a heap through its entries."""

    def __init__(self, first: Cover) -> None:
        self.first = first
        self.now = first

    def after(self, entry: Entry, hour: float) -> list[HeapAction]:
        """Return the action that lays or takes away a cover, if the entry does."""
        if entry.kind is EntryKind.COVER:
            laid = Cover(entry.body["cover"])
        elif entry.kind in (EntryKind.TURN, EntryKind.ADD):
            # A lid or tarp goes back on; a brown cap is turned in and must be laid anew.
            left = Cover.OPEN if self.now is Cover.BROWN_CAP else self.now
            laid = Cover(entry.body.get("cover", left))
        else:
            return []
        self.now = laid
        return [HeapAction(hour=hour, kind=ActionKind.COVER, cover=laid)]


def _actions(state: GardenState, batch: BatchState, entry: Entry, hour: float) -> list[HeapAction]:
    body = entry.body
    given = float(body.get("water_kg", 0.0))
    if entry.kind is EntryKind.WET:
        return [HeapAction(hour=hour, kind=ActionKind.WET, water_kg=given)]
    if entry.kind is EntryKind.ADD:
        fill = _mixed_fills(state, entry, 1)[0]
        return [HeapAction(hour=hour, kind=ActionKind.ADD, fill=fill)]
    if entry.kind is not EntryKind.TURN:
        return []
    if body["how"] == "stir":
        return [HeapAction(hour=hour, kind=ActionKind.STIR, water_kg=given)]
    if _came_onto(state, batch, entry):
        return [_joined(state, batch, entry, hour)]
    new_bin = bin_shape(state.bins[str(body["to_bin"])])
    return [HeapAction(hour=hour, kind=ActionKind.MOVE, water_kg=given, new_bin=new_bin)]


def _came_onto(state: GardenState, batch: BatchState, entry: Entry) -> bool:
    """Whether the entry brought another heap onto this one."""
    return bool(entry.body.get("onto")) and _other(state, batch, entry) is not None


def _other(state: GardenState, batch: BatchState, entry: Entry) -> BatchState | None:
    """Return the batch that ended with the entry, if it is not this one."""
    for other in state.batches.values():
        last_move = other.entries[-1] if other.entries else None
        if other.key != batch.key and last_move is not None and last_move.id == entry.id:
            return other
    return None


def _joined(state: GardenState, batch: BatchState, entry: Entry, hour: float) -> HeapAction:
    """Return the other heap, as it was built, as an addition to this one.

    Known bias: what it lost before it came is not counted, so the addition is taken as fresher
    than it was; the ensemble's readings correct for it.
    """
    other = _other(state, batch, entry)
    if other is None:
        raise NotFound("The heap that was moved onto this one is not in the journal")
    built = next(e for e in other.entries if e.kind is EntryKind.BUILD)
    return HeapAction(hour=hour, kind=ActionKind.ADD, fill=built_fills(state, built, 1)[0])


def _mixed_fills(state: GardenState, entry: Entry, members: int) -> tuple[Fill, ...]:
    """Return draws of the mixture of an entry's lots and water; the first is the likely one."""
    seed = zlib.crc32(entry.id.encode())
    given = float(entry.body.get("water_kg", 0.0))
    return mixed_fills(amounts_of(state, entry), given, members, seed)


def mixed_fills(
    amounts: Sequence[tuple[Lot, float]], given: float, members: int, seed: int
) -> tuple[Fill, ...]:
    """Return draws of containers of lots mixed with water [kg]; the first is the likely one."""
    draws = draw_mixtures(amounts, given, seed=seed, draws=members, likely_first=True)
    spread = _spread(seed, members, settings_table()["water_sd"])
    fills = []
    for i in range(members):
        extra = given * spread[i]
        solids = draws.dry[i] - draws.ash[i]
        fills.append(
            Fill(
                wet_mass_kg=float(draws.mass[i] + extra),
                moisture=float((draws.water[i] + extra) / (draws.mass[i] + extra)),
                volume_m3=float(draws.volume[i]),
                ash_dry=float(draws.ash[i] / draws.dry[i]),
                fast_share=float(draws.fast[i] / solids),
                medium_share=float(draws.medium[i] / solids),
                c_to_n=float(draws.carbon[i] / draws.nitrogen[i])
                if draws.nitrogen[i] > 0
                else float("inf"),
            )
        )
    return tuple(fills)


def amounts_of(state: GardenState, entry: Entry) -> list[tuple[Lot, float]]:
    """Return the lots of an entry with the containers taken of each."""
    lines: Sequence[Mapping[str, Any]] = entry.body["lines"]
    return [
        (mixing_lot(state.lots[line["lot"]], entry.at, count=1), float(line["count"]))
        for line in lines
    ]


def _seen_fills(built: Entry, members: int) -> tuple[Fill, ...]:
    """Return draws about a heap that was there before and was described by eye."""
    said = built.body["fill"]
    table = settings_table()
    seed = zlib.crc32(built.id.encode())
    wetter = _spread(seed, members, table["eye_moisture_sd"])
    richer = np.exp(_spread(seed + 1, members, table["eye_pool_sd"]))
    dry = float(said["wet_mass_kg"]) * (1.0 - float(said["moisture"]))
    fills = []
    for i in range(members):
        moisture = float(np.clip(said["moisture"] + wetter[i], 0.05, 0.9))
        pools = float(said["fast_share"]) + float(said["medium_share"])
        factor = min(float(richer[i]), 1.0 / pools) if pools > 0 else 1.0
        fills.append(
            Fill(
                wet_mass_kg=dry / (1.0 - moisture),
                moisture=moisture,
                volume_m3=float(said["volume_m3"]),
                ash_dry=float(said["ash_dry"]),
                fast_share=float(said["fast_share"]) * factor,
                medium_share=float(said["medium_share"]) * factor,
                c_to_n=float(said["c_to_n"]),
                temperature_c=said.get("temperature_c"),
            )
        )
    return tuple(fills)


def _spread(seed: int, members: int, sd: float) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Return normal draws with the likely one (0) first."""
    draws = np.random.default_rng(seed).normal(0.0, sd, members)
    draws[0] = 0.0
    return np.asarray(draws, dtype=np.float64)
