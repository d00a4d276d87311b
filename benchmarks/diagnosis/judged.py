"""Lets the program judge what was told: the ensemble is fitted, the witnesses weighed, looks asked.

Knows the way from `Told` to the ranked causes by the program's own pure functions, as the workshop
goes it for a garden. Knows nothing of the truth but through `told.looks`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from benchmarks.diagnosis.faults import FAULTS, Hidden, hidden
from benchmarks.diagnosis.told import Told, looks, told
from heapwright.diagnosis.check import next_check
from heapwright.diagnosis.course import log_witnesses
from heapwright.diagnosis.looks import seen_witnesses
from heapwright.diagnosis.tables import causes, signs
from heapwright.diagnosis.types import FloatArray
from heapwright.diagnosis.weigh import probabilities, weigh
from heapwright.diagnosis.witness import model_witnesses
from heapwright.fitting.beginning import begin
from heapwright.fitting.filter import follow
from heapwright.fitting.observations import Seen as SeenByFilter
from heapwright.fitting.observations import TemperatureSeen
from heapwright.fitting.settings import filter_settings
from heapwright.heap.parameters import parameters_at, sample_deviations
from heapwright.heap.resume import Standing, built
from heapwright.heap.types import Fill

LOOKS_ASKED = 2
#: Heaps built to choose among, and followed: fewer than a garden's, to be done in minutes.
BUILT, MEMBERS = 64, 24
READING_SD_C = 4.0
#: Wet mass per volume of a fill that the heap model still takes at any moisture drawn here.
MOST_KG_M3 = 960.0


@dataclass(frozen=True, slots=True)
class Case:
    """One hidden fault and what was made of it.

    Attributes
    ----------
    seed : int
    fault : str
    first, asked : tuple of str
        Causes likeliest first: by what was told, and after the looks that were asked for.
    chance : float
        Probability given to the true cause by what was told.

    """

    seed: int
    fault: str
    first: tuple[str, ...]
    asked: tuple[str, ...]
    chance: float


def fault_of(seed: int) -> str:
    """Return the fault of a seed: all in turn, so that each comes equally often."""
    return FAULTS[seed % len(FAULTS)]


@dataclass(frozen=True, slots=True)
class Gathered:
    """All that speaks on a hidden fault, and what looks on purpose would find.

    Attributes
    ----------
    seed : int
    fault : str
    witnesses : dict
        As the program would weigh them.
    looks : dict
        Outcome by sign, for every sign one can just look at.

    """

    seed: int
    fault: str
    witnesses: dict[str, FloatArray]
    looks: dict[str, str]


def gathered(seed: int) -> Gathered:
    """Return what is told of a seed's hidden fault, with the fitted model's word."""
    rng = np.random.default_rng([1811, seed])
    one = hidden(fault_of(seed), rng)
    said = told(one, rng)
    standing, c_to_n = _fitted(one, said, _fills(said.fill, seed), seed)
    witnesses = {
        **model_witnesses(standing, c_to_n),
        **log_witnesses(said.log),
        **seen_witnesses(said.seen),
    }
    return Gathered(seed, one.fault, witnesses, looks(one, rng))


def judged(all_that_speaks: Gathered) -> Case:
    """Return how what was gathered is judged."""
    here = all_that_speaks
    chance = probabilities(here.witnesses)[[cause.id for cause in causes()].index(here.fault)]
    return Case(
        seed=here.seed,
        fault=here.fault,
        first=_order(here.witnesses),
        asked=_order(_looked(here)),
        chance=float(chance),
    )


def case(seed: int) -> Case:
    """Return how a seed's hidden fault is judged."""
    return judged(gathered(seed))


def _order(witnesses: dict[str, FloatArray]) -> tuple[str, ...]:
    return tuple(ranked.cause.id for ranked in weigh(witnesses))


def _looked(here: Gathered) -> dict[str, FloatArray]:
    """Return the witnesses after the looks the program asks for, as far as one can just look."""
    witnesses = here.witnesses
    for _ in range(LOOKS_ASKED):
        check = next_check(weigh(witnesses), witnesses)
        if check is None or check.sign.id not in here.looks:
            return witnesses
        outcome = here.looks[check.sign.id]
        witnesses = {**witnesses, check.sign.id: signs()[check.sign.id].one(outcome)}
    return witnesses


def _fills(recipe: Fill, seed: int) -> tuple[Fill, ...]:
    """Return draws about the recipe, as a garden's containers are uncertain."""
    rng = np.random.default_rng([33, seed])
    found = [_that_can_be(recipe)]
    for _ in range(BUILT - 1):
        moisture = float(np.clip(recipe.moisture + 0.05 * rng.normal(), 0.08, 0.9))
        dry = recipe.wet_mass_kg * (1.0 - recipe.moisture) * float(np.exp(0.15 * rng.normal()))
        pools = float(np.exp(0.25 * rng.normal()))
        most = min(pools, 0.95 / (recipe.fast_share + recipe.medium_share))
        drawn = replace(
            recipe,
            wet_mass_kg=dry / (1.0 - moisture),
            moisture=moisture,
            fast_share=recipe.fast_share * most,
            medium_share=recipe.medium_share * most,
            c_to_n=recipe.c_to_n * float(np.exp(0.2 * rng.normal())),
        )
        found.append(_that_can_be(drawn))
    return tuple(found)


def _that_can_be(fill: Fill) -> Fill:
    """Return the fill, lighter where its pieces would leave no air between them."""
    return replace(fill, wet_mass_kg=min(fill.wet_mass_kg, MOST_KG_M3 * fill.volume_m3))


def _fitted(
    one: Hidden, said: Told, fills: Sequence[Fill], seed: int
) -> tuple[Standing, list[float]]:
    """Return the program's ensemble brought to the thermometer, and its members' C:N as built."""
    deviations = sample_deviations(len(fills), np.random.default_rng([44, seed]))
    standing = built(one.shape, fills, one.weather, parameters_at(deviations))
    seen: list[SeenByFilter] = [
        TemperatureSeen(int(hour), float(value), one.depth_m, 0.0, READING_SD_C)
        for hour, value in zip(said.reading_hours, said.readings_c, strict=True)
    ]
    settings = replace(filter_settings(), members=MEMBERS)
    followed, used = begin(
        standing,
        deviations,
        one.weather,
        one.actions,
        seen,
        probe_depth_m=one.depth_m,
        settings=settings,
    )
    followed = follow(
        followed,
        one.weather,
        one.actions,
        seen[used:],
        one.hour,
        known=seen,
        probe_depth_m=one.depth_m,
        settings=settings,
        seed=seed,
    )
    return followed.standing, [fills[i].c_to_n for i in followed.origin]
