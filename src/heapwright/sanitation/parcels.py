"""Follows parcels of material through a heap run: where each lay, and how warm it was there.

Knows places, turns and additions of a `HeapRun`. Knows no rule of how long is hot enough.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from heapwright.heap.types import HeapRun, Redistribution

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

#: How many parcels a heap is cut into as built when nothing else is said: shares are then good to
#: about a percentage point (measured in the tests).
USUAL_PARCELS = 1000
#: Steps of the golden ratio fill the line evenly, whichever stretch of them is looked at.
_GOLDEN = 0.5 * (np.sqrt(5.0) - 1.0)


@dataclass(frozen=True)
class Parcels:
    """What parcels of the heap went through, hour by hour. Time is the first axis.

    Attributes
    ----------
    temperature_c : array, shape (hours+1, parcels)
        Of the place the parcel lay in. Not a number up to the hour it came in. [°C]
    moisture : array, same shape
        Of that place, wet basis. [0-1]
    birth_hour : array, shape (parcels,)
        Index of the hour it came in; 0 when the heap was built.
    weight : array, shape (parcels,)
        Share of the dry matter it stands for; adds up to 1.
    hours : int
        Length of the run; the histories may end sooner, when nothing was warm any more.

    """

    temperature_c: FloatArray
    moisture: FloatArray
    birth_hour: IntArray
    weight: FloatArray
    hours: int

    @cached_property
    def hottest_c(self) -> FloatArray:
        """What each parcel reached at most, shape (parcels,); not a number if never followed."""
        return np.asarray(np.fmax.reduce(self.temperature_c, axis=0))

    @cached_property
    def hottest_place_c(self) -> FloatArray:
        """What the hottest parcel had in each hour, shape (hours+1,)."""
        return np.asarray(np.fmax.reduce(self.temperature_c, axis=1))

    def share(self, met: NDArray[np.bool_]) -> float:
        """Return the share of the heap whose parcels are marked. [0-1]"""
        return float(np.clip(self.weight[met].sum(), 0.0, 1.0))


def follow(
    run: HeapRun,
    rng: np.random.Generator,
    count: int = USUAL_PARCELS,
    *,
    cold_c: float | None = None,
) -> Parcels:
    """Return parcels of equal dry mass and what they went through.

    Every place starts with parcels in proportion to its share of the heap. At each turn, move or
    addition a parcel goes to a new place with the chances of its old place's column, drawn in
    even steps so that what arrives follows the matrix closely.

    Parameters
    ----------
    run : HeapRun
    rng : numpy Generator
    count : int
        Parcels at the start.
    cold_c : float, optional
        The histories end when no place gets this warm any more; in full if not given. [°C]

    Returns
    -------
    Parcels

    Notes
    -----
    A parcel is a share of the dry matter as it came in, and what is added counts against what is
    left at that hour. Known bias: parcels that decayed faster are not made lighter, so the shares
    are of what went in rather than of what is left; a turn's own hour runs straight from the old
    place's temperature to the new one's.

    """
    shares = run.cell_share.ravel()
    cell = _even(shares, count, rng)
    cells_of = [cell]
    stops = [0]
    births = [np.zeros(count, dtype=np.int64)]
    weight = np.full(count, 1.0 / count)
    brought_kg = 0.0
    for moved in run.redistributions:
        cell = carry(moved.matrix, cell, rng)
        brought_kg = brought_kg if moved.hour == stops[-1] else 0.0
        if moved.added_kg > 0.0:
            there_kg = float(run.dry_mass_kg[moved.hour]) + brought_kg
            new, weight = _added(moved, there_kg, weight, rng)
            brought_kg += moved.added_kg
            cell = np.concatenate([cell, new])
            births.append(np.full(new.size, moved.hour, dtype=np.int64))
        stops.append(moved.hour)
        cells_of.append(cell)
    birth = np.concatenate(births)
    places = list(zip(pairwise([*stops, run.hours]), cells_of, strict=True))
    end = run.hours if cold_c is None else _last_warm_hour(run, cold_c)
    return Parcels(
        temperature_c=_history(run.temperature_c[: end + 1], places, birth),
        moisture=_history(run.moisture[: end + 1], places, birth),
        birth_hour=birth,
        weight=weight,
        hours=run.hours,
    )


def carry(matrix: FloatArray, cell: IntArray, rng: np.random.Generator) -> IntArray:
    """Return the new place of each parcel.

    Parameters
    ----------
    matrix : array, shape (cells, cells)
        Row: new place, column: old place; every column adds up to 1.
    cell : array of int, shape (parcels,)
        Old place.
    rng : numpy Generator

    Notes
    -----
    Parcels of one place are shuffled, so that where they came from before does not decide where
    they go; then each takes the next step of the golden ratio as its chance.

    """
    shuffled = rng.permutation(cell.size)
    order = shuffled[np.argsort(cell[shuffled], kind="stable")]
    chance = (rng.random() + _GOLDEN * np.arange(cell.size)) % 1.0
    ladder = np.cumsum(matrix, axis=0)
    old = cell[order]
    new = np.empty_like(cell)
    passed = (ladder[:, old] <= chance).sum(axis=0)
    new[order] = np.minimum(passed, matrix.shape[0] - 1)
    return new


def _last_warm_hour(run: HeapRun, cold_c: float) -> int:
    """Return the hour after the last one in which any place is this warm, at most the run's end."""
    warm = np.flatnonzero(run.temperature_c.max(axis=(1, 2)) >= cold_c)
    return min(int(warm[-1]) + 1 if warm.size else 1, run.hours)


def _even(share: FloatArray, count: int, rng: np.random.Generator) -> IntArray:
    """Return `count` places that follow `share` as closely as whole parcels can."""
    comb = (np.arange(count) + rng.random()) / count
    ladder = np.cumsum(share) / share.sum()
    return np.asarray(
        np.minimum(np.searchsorted(ladder, comb, side="right"), share.size - 1), dtype=np.int64
    )


def _added(
    moved: Redistribution, there_kg: float, weight: FloatArray, rng: np.random.Generator
) -> tuple[IntArray, FloatArray]:
    """Return the places of what was added, and every parcel's weight from now on."""
    part = moved.added_kg / (there_kg + moved.added_kg)
    count = max(1, round(weight.size * part / (1.0 - part)))
    weights = np.concatenate([weight * (1.0 - part), np.full(count, part / count)])
    return _even(moved.added, count, rng), weights


def _history(
    field: FloatArray, places: list[tuple[tuple[int, int], IntArray]], birth: IntArray
) -> FloatArray:
    """Return what each parcel's places held; a place counts after its stop up to the next."""
    flat = field.reshape(field.shape[0], -1)
    history = np.full((flat.shape[0], birth.size), np.nan)
    first = places[0][1]
    history[0, : first.size] = flat[0, first]
    for (start, end), cell in places:
        part = flat[start + 1 : end + 1]
        if part.size:
            history[start + 1 : start + 1 + part.shape[0], : cell.size] = part[:, cell]
    return history
