"""What a gardener would tell of a hidden heap: recipe, log, hand, nose and eye, all with errors.

Knows how often a sign is met, missed and imagined. These numbers are our own choice, made for this
benchmark before the table of the program was tuned, and nothing here reads that table, so that the
diagnosis can fail. Where a source names a tie of cause and sign it is the same trade's list.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from benchmarks.diagnosis.faults import Hidden
from heapwright.diagnosis.course import Log, Read
from heapwright.diagnosis.types import Seen
from heapwright.heap.types import Fill

#: Spread of what is told about what is true (relative; moisture: share of wet mass).
RECIPE_ERRORS = {"mass": 0.12, "moisture": 0.04, "pools": 0.2, "c_to_n": 0.18, "volume": 0.08}
READING_SD_C, READ_CHANCE, READ_LAST_CHANCE = 2.0, 0.7, 0.92
SQUEEZE_SD, SQUEEZE_CHANCE = 0.05, 0.8
#: Moisture between dusty, dry, drops and dripping as a hand tells it.
SQUEEZE_EDGES = (0.28, 0.44, 0.67)
SMELL_CHANCE = 0.9
#: Oxygen in the core below which it smells of rot: surely, now and then.
FOUL_OXYGEN, STALE_OXYGEN = 0.015, 0.05
FOUL_MET, STALE_MET, FOUL_IMAGINED = 0.72, 0.25, 0.03
SOUR_SHARE = 0.45
AMMONIA_SMELT_KG_M3_DAY, AMMONIA_MET, AMMONIA_IMAGINED = 0.02, 0.88, 0.02
ROT_MET = 0.85

#: By fault: how often each thing the eye can see is there and told of.
MET: Mapping[str, Mapping[str, float]] = {
    "rotten": {"flies": 0.4, "meat": 0.55, "packed": 0.15, "scraps open": 0.25},
    "flies": {"flies": 0.9, "scraps open": 0.6},
    "scavengers": {"rats": 0.88, "scraps open": 0.5, "meat": 0.35, "flies": 0.15},
    "mats": {"matted": 0.88, "packed": 0.2, "white threads": 0.15},
    "coarse": {"big pieces": 0.9, "white threads": 0.2, "dry outside": 0.1},
    "drainage": {"puddle": 0.9, "packed": 0.2, "flies": 0.1},
    "cool_shell": {"weeds": 0.9, "dry outside": 0.15},
    "immature": {"stunted": 0.88, "weeds": 0.05},
    "herbicide": {"cupped leaves": 0.88, "stunted": 0.35},
    "too_dry": {
        "ashy": 0.35,
        "ants": 0.35,
        "dry outside": 0.5,
        "white threads": 0.25,
        "big pieces": 0.12,
    },
    "too_wet": {"packed": 0.3, "flies": 0.15, "puddle": 0.1, "matted": 0.1},
    "airless": {"packed": 0.7, "matted": 0.2},
    "too_small": {"warm middle only": 0.55, "dry outside": 0.15},
    "short_of_nitrogen": {"big pieces": 0.3, "white threads": 0.2},
    "too_hot": {"ashy": 0.3, "dry outside": 0.2},
    "cold": {"warm middle only": 0.25},
    "ammonia": {"flies": 0.15},
    "spent": {"white threads": 0.1},
    "young": {"big pieces": 0.15},
}
#: How often anything else is imagined, or there for another reason.
IMAGINED: Mapping[str, float] = {
    "flies": 0.04,
    "ants": 0.02,
    "white threads": 0.08,
    "dry outside": 0.05,
    "big pieces": 0.04,
    "packed": 0.03,
    "scraps open": 0.03,
    "matted": 0.02,
    "warm middle only": 0.03,
    "weeds": 0.01,
    "meat": 0.01,
    "puddle": 0.01,
    "ashy": 0.01,
    "rats": 0.01,
}
#: A second look, made on purpose, misses less and imagines less.
ON_PURPOSE = 0.5


@dataclass(frozen=True, slots=True)
class Told:
    """What a gardener tells of a hidden heap.

    Attributes
    ----------
    fill : Fill
        By the recipe.
    log : Log
    reading_hours, readings_c : array
    seen : Seen
    squeezed_moisture : float or None
        What the hand took the moisture for.

    """

    fill: Fill
    log: Log
    reading_hours: np.ndarray
    readings_c: np.ndarray
    seen: Seen
    squeezed_moisture: float | None


def told(one: Hidden, rng: np.random.Generator) -> Told:
    """Return what is told of a hidden heap at the visit."""
    hours, values = _readings(one, rng)
    air = one.weather.temperature_c
    log = Log(
        now_day=one.hour / 24.0,
        reads=tuple(
            Read(float(h) / 24.0, float(c), float(air[int(h)]))
            for h, c in zip(hours, values, strict=True)
        ),
        turn_days=tuple(action.hour / 24.0 for action in one.actions),
        air_week_c=float(air[max(0, one.hour - 168) : one.hour + 1].mean()),
        volume_m3=one.fill.volume_m3 * float(np.exp(RECIPE_ERRORS["volume"] * rng.normal())),
    )
    hand = None
    if rng.uniform() < SQUEEZE_CHANCE:
        hand = one.moisture + SQUEEZE_SD * float(rng.normal())
    seen = Seen(
        smell=smell(one, rng) if rng.uniform() < SMELL_CHANCE else "",
        squeeze="" if hand is None else squeeze(hand),
        present=frozenset(name for name in _all_signs() if _meets(one, name, rng, 1.0)),
    )
    return Told(_recipe(one.fill, rng), log, hours, values, seen, hand)


def looks(one: Hidden, rng: np.random.Generator) -> dict[str, str]:
    """Return what would come of looking on purpose, by sign: everything one can just look at."""
    hand = one.moisture + SQUEEZE_SD * float(rng.normal())
    found = {"smell": smell(one, rng), "squeeze": squeeze(hand)}
    for sign in _all_signs():
        found[sign] = "yes" if _meets(one, sign, rng, ON_PURPOSE) else "no"
    return found


def smell(one: Hidden, rng: np.random.Generator) -> str:
    """Return what the nose says."""
    if one.fault == "rotten" and rng.uniform() < ROT_MET:
        return _foul(rng)
    ammonia = one.ammonia_kg_m3_day > AMMONIA_SMELT_KG_M3_DAY
    if rng.uniform() < (AMMONIA_MET if ammonia else AMMONIA_IMAGINED):
        return "ammonia"
    chance = FOUL_IMAGINED
    if one.oxygen < STALE_OXYGEN:
        chance = FOUL_MET if one.oxygen < FOUL_OXYGEN else STALE_MET
    return _foul(rng) if rng.uniform() < chance else "earthy"


def squeeze(moisture: float) -> str:
    """Return what the hand says of a moisture."""
    words = ("dusty", "dry", "drops", "dripping")
    return words[int(np.searchsorted(SQUEEZE_EDGES, moisture))]


def _foul(rng: np.random.Generator) -> str:
    return "sour" if rng.uniform() < SOUR_SHARE else "rotten egg"


def _all_signs() -> tuple[str, ...]:
    named = {name for signs in MET.values() for name in signs}
    return tuple(sorted(named | set(IMAGINED)))


def _meets(one: Hidden, sign: str, rng: np.random.Generator, care: float) -> bool:
    met = MET.get(one.fault, {}).get(sign)
    if met is None:
        return bool(rng.uniform() < IMAGINED.get(sign, 0.0) * care)
    return bool(rng.uniform() < 1.0 - (1.0 - met) * care)


def _readings(one: Hidden, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Return hours and values read: most days, later every third, with gaps and errors."""
    days = one.hour // 24
    hours = [24 * day + 8 for day in range(1, days) if day <= 21 or day % 3 == 0]
    kept = [hour for hour in hours if rng.uniform() < READ_CHANCE]
    if one.hour >= 24 and rng.uniform() < READ_LAST_CHANCE:
        kept.append(one.hour)
    when = np.array(sorted(set(kept)), dtype=np.int64)
    return when, one.probe_c[when] + READING_SD_C * rng.standard_normal(when.size)


def _recipe(true: Fill, rng: np.random.Generator) -> Fill:
    def times(name: str) -> float:
        return float(np.exp(RECIPE_ERRORS[name] * rng.standard_normal()))

    moisture = float(np.clip(true.moisture + RECIPE_ERRORS["moisture"] * rng.normal(), 0.1, 0.88))
    dry = true.wet_mass_kg * (1.0 - true.moisture) * times("mass")
    pools = times("pools")
    most = min(pools, 0.95 / (true.fast_share + true.medium_share))
    return replace(
        true,
        wet_mass_kg=dry / (1.0 - moisture),
        moisture=moisture,
        fast_share=true.fast_share * most,
        medium_share=true.medium_share * most,
        c_to_n=true.c_to_n * times("c_to_n"),
    )
