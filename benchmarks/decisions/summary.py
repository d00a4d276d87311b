"""What the stored results say: means, paired differences with their intervals, and the aims.

Knows the paired bootstrap over heaps. Knows nothing of simulation.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from benchmarks.decisions.worlds import DAYS

KEEPERS = {
    "today": "following Today",
    "line": "(a) 100 °F, read weekly",
    "weekly": "(b) a turn every week",
    "alone": "(c) left alone",
}
RESAMPLES, SEED = 4000, 4
FloatArray = np.ndarray


@dataclass(frozen=True, slots=True)
class Told:
    """A number with its 95 % interval over resampled heaps."""

    value: float
    low: float
    high: float


def columns(rows: Sequence[Mapping[str, str]]) -> dict[str, dict[str, FloatArray]]:
    """Return each keeper's numbers in the same order of heaps; only heaps all of them kept."""
    seeds = sorted(set.intersection(*(_seeds(rows, name) for name in KEEPERS)))
    by_key = {(int(row["seed"]), row["keeper"]): row for row in rows}
    names = ("days", "finished", "hot_share", "turns", "water_kg", "pails", "visits")
    return {
        keeper: {
            name: np.array([float(by_key[(seed, keeper)][name]) for seed in seeds])
            for name in names
        }
        for keeper in KEEPERS
    }


def _seeds(rows: Sequence[Mapping[str, str]], keeper: str) -> set[int]:
    return {int(row["seed"]) for row in rows if row["keeper"] == keeper}


def bootstrapped(measure: Callable[[FloatArray], float], heaps: int) -> Told:
    """Return a measure of chosen heaps with its interval: heaps are drawn with replacement."""
    rng = np.random.default_rng(SEED)
    drawn = [measure(rng.integers(heaps, size=heaps)) for _ in range(RESAMPLES)]
    low, high = np.percentile(drawn, [2.5, 97.5])
    return Told(measure(np.arange(heaps)), float(low), float(high))


def lines(rows: Sequence[Mapping[str, str]]) -> list[str]:
    """Return the section's tables in Markdown."""
    found = columns(rows)
    heaps = found["today"]["days"].size
    seeds = sorted(_seeds(rows, "today"))
    return [
        (
            f"{heaps} heaps, seeds {seeds[0]} to {seeds[-1]}; {DAYS} days at most. "
            f"Intervals: 95 %, {RESAMPLES} paired resamples of heaps."
        ),
        "",
        *_means(found, heaps),
        "",
        *_aims(found, heaps),
    ]


def _means(found: Mapping[str, Mapping[str, FloatArray]], heaps: int) -> list[str]:
    head = (
        "| keeper | days to finished | finished by then | heat all through | turns | water | "
        "pails of leaves | visits |"
    )
    out = [head, "|---|---|---|---|---|---|---|---|"]
    for key, name in KEEPERS.items():
        one = found[key]
        days = bootstrapped(lambda pick, one=one: float(one["days"][pick].mean()), heaps)
        hot = bootstrapped(lambda pick, one=one: float(one["hot_share"][pick].mean()), heaps)
        out.append(
            f"| {name} | {days.value:.1f} ({days.low:.1f} to {days.high:.1f}) | "
            f"{one['finished'].mean():.0%} | {hot.value:.0%} ({hot.low:.0%} to {hot.high:.0%}) | "
            f"{one['turns'].mean():.1f} | {one['water_kg'].mean():.0f} L | "
            f"{one['pails'].mean():.1f} | {one['visits'].mean():.0f} |"
        )
    return out


def _aims(found: Mapping[str, Mapping[str, FloatArray]], heaps: int) -> list[str]:
    today, line, weekly, alone = (found[k] for k in ("today", "line", "weekly", "alone"))

    def fewer(pick: FloatArray) -> float:
        return 1.0 - float(today["days"][pick].mean() / alone["days"][pick].mean())

    def later(pick: FloatArray) -> float:
        return float((today["days"] - weekly["days"])[pick].mean())

    def turns(pick: FloatArray) -> float:
        return float(today["turns"][pick].mean() / weekly["turns"][pick].mean())

    def hotter(pick: FloatArray) -> float:
        return float((today["hot_share"] - line["hot_share"])[pick].mean())

    a, b, c, d = (bootstrapped(one, heaps) for one in (fewer, later, turns, hotter))
    return [
        "| aim | came out | met with 95 % confidence |",
        "|---|---|---|",
        (
            f"| at least 20 % fewer days than (c) | {a.value:.1%} fewer "
            f"({a.low:.1%} to {a.high:.1%}) | {_yes(a.low >= 0.2)} |"
        ),
        (
            f"| no slower than (b) | {b.value:+.1f} days ({b.low:+.1f} to {b.high:+.1f}) | "
            f"{_yes(b.high <= 0)} |"
        ),
        (
            f"| with half the turns of (b) | {c.value:.0%} of them ({c.low:.0%} to {c.high:.0%}) | "
            f"{_yes(c.high <= 0.5)} |"
        ),
        (
            f"| more heat all through than (a) | {100 * d.value:+.1f} points "
            f"({100 * d.low:+.1f} to {100 * d.high:+.1f}) | {_yes(d.low > 0)} |"
        ),
    ]


def _yes(is_met: bool) -> str:
    return "yes" if is_met else "no"
