"""Fits the heap model's shared numbers to the measured cases, and says how well that holds.

Knows which numbers are fitted, how a miss counts, how the least misses are searched and how a case
is left out; the ranges are those of the heap's own table. Run `python3 tools/calibrate_heap.py` to
print the fit, and with `--write` to put it into `heap/data/parameters.csv`. Knows no physics.
"""

from __future__ import annotations

import argparse
import csv
import io
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

if __name__ == "__main__":  # run as a file: find the neighbours
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

import numpy as np
from numpy.typing import NDArray

from heapwright.heap.parameters import Parameters, load_parameters, parameter_estimates
from heapwright.tables import Estimate
from heapwright.validation.load import load_cases
from heapwright.validation.measures import QUANTITIES
from heapwright.validation.report import summary, text_table
from heapwright.validation.score import score, validate
from heapwright.validation.types import Case, CaseResult, CheckResult, Sense
from tools import ROOT

FloatArray = NDArray[np.float64]
TABLE = ROOT / "src/heapwright/heap/data/parameters.csv"

#: Numbers that no handbook has and that the cases tell something about; the rest stay as they are.
FITTED = (
    "fast_rate_per_day",
    "medium_rate_per_day",
    "slow_rate_per_day",
    "temperature_lowest_c",
    "temperature_best_c",
    "temperature_highest_c",
    "build_up_start",
    "build_up_tenfold_days",
    "nitrogen_exponent",
    "permeability_m2",
    "settled_rate",
    "settled_share",
    "settling_days",
    "stir_cooling",
    "stir_mixing",
    "film_still_w_m2_k",
    "conductivity_per_water_w_m2_kg",
    "floor_openness",
    "wind_suction",
)
#: How strongly a number is held to where it starts: half its range off counts as this many
#: tolerances of one measurement.
HELD = 0.5
#: A range whose ends are so many times apart is searched by ratios.
WIDE = 4.0
#: Comparisons without a tolerance: a step of this size in their unit counts as one.
STEP = {"°C": 2.0, "days": 0.5, "of all": 0.02, "of wet mass": 0.02, "by volume": 0.01}
#: A check this many tolerances off pulls no harder than that.
MOST_OFF = 4.0
#: Steps of the search, as shares of a range: for the slopes, and the longest one taken.
NUDGE, LONGEST = 0.06, 0.35


@dataclass(frozen=True)
class Scale:
    """A number's range as the search sees it: 0 at the low end, 1 at the high."""

    name: str
    estimate: Estimate

    @property
    def by_ratio(self) -> bool:
        """Whether equal steps are equal ratios."""
        return self.estimate.low > 0 and self.estimate.high >= WIDE * self.estimate.low

    def to_share(self, value: float) -> float:
        """Return where in its range a value lies."""
        low, high = self.estimate.low, self.estimate.high
        if self.by_ratio:
            return float(np.log(value / low) / np.log(high / low))
        return (value - low) / (high - low)

    def to_value(self, share: float) -> float:
        """Return the value at this share of the range."""
        low, high = self.estimate.low, self.estimate.high
        if self.by_ratio:
            return float(low * (high / low) ** share)
        return float(low + share * (high - low))


@dataclass(frozen=True)
class Fit:
    """Where the search ended.

    Attributes
    ----------
    shares : array, shape (numbers,)
        Each number's place in its range.
    misses : array, shape (checks,)
        In tolerances.
    slopes : array, shape (checks, numbers)
    owners : array of case ids, shape (checks,)

    """

    scales: tuple[Scale, ...]
    start: FloatArray
    shares: FloatArray
    misses: FloatArray
    slopes: FloatArray
    owners: NDArray[np.str_]

    def parameters(self) -> Parameters:
        """Return the whole set of parameters."""
        return parameters_at(self.shares, self.scales)


def scales(names: Sequence[str] = FITTED) -> tuple[Scale, ...]:
    """Return the ranges of the numbers to be fitted that the heap's table has."""
    table = parameter_estimates()
    return tuple(Scale(name, table[name]) for name in names if name in table)


def parameters_at(shares: FloatArray, of: Sequence[Scale]) -> Parameters:
    """Return the whole set of parameters with the fitted numbers at these places."""
    values = {scale.name: scale.to_value(float(s)) for scale, s in zip(of, shares, strict=True)}
    return replace(load_parameters(), **values)


def miss(result: CheckResult) -> float:
    """Return how far a check is off, in tolerances; 0 when met, at most `MOST_OFF`."""
    check = result.check
    if not np.isfinite(result.modelled):
        return MOST_OFF
    over, under = result.modelled - check.high, check.low - result.modelled
    off = {
        Sense.ABOUT: max(over, under),
        Sense.AT_LEAST: under,
        Sense.AT_MOST: over,
    }[check.sense]
    step = check.tolerance or STEP.get(QUANTITIES[check.quantity].unit, 1.0)
    return float(np.clip(off / step, 0.0, MOST_OFF))


def misses(results: Sequence[CaseResult]) -> tuple[FloatArray, NDArray[np.str_]]:
    """Return the misses of all checks that count, and the case each belongs to."""
    found = [
        (miss(check), result.case.id)
        for result in results
        for check in result.checks
        if check.check.counts
    ]
    return np.array([off for off, _ in found]), np.array([owner for _, owner in found])


def cost(off: FloatArray, shares: FloatArray, start: FloatArray) -> float:
    """Return what the search makes small: misses, large ones less than squared, and the holding."""
    held = (2.0 * HELD * (shares - start)) ** 2
    return float(np.sum(np.sqrt(1.0 + off**2) - 1.0) + 0.5 * np.sum(held))


def fit(cases: Sequence[Case], of: Sequence[Scale], rounds: int, say: Callable[[str], None]) -> Fit:
    """Return the numbers that miss the cases least: Gauss-Newton with robust weights."""
    start = np.array([scale.to_share(scale.estimate.typical) for scale in of])
    shares = start
    results = validate(cases, parameters_at(shares, of))
    off, owners = misses(results)
    slopes = np.zeros((off.size, len(of)))
    for number in range(rounds):
        say(f"round {number}: cost {cost(off, shares, start):.2f}; {summary(results).sentence()}")
        slopes = _slopes(cases, of, shares, off)
        step = np.clip(newton_step(slopes, off, shares - start), -LONGEST, LONGEST)
        better = _along(cases, of, (shares, step, start), cost(off, shares, start))
        if better is None:
            break
        shares, results = better
        off = misses(results)[0]
    return Fit(tuple(of), start, shares, off, slopes, owners)


def newton_step(slopes: FloatArray, off: FloatArray, moved: FloatArray) -> FloatArray:
    """Return the step to where the misses would be least if they went on in straight lines."""
    weight = 1.0 / np.sqrt(1.0 + off**2)
    hold = (2.0 * HELD) ** 2
    square = slopes.T @ (weight[:, None] * slopes) + hold * np.eye(slopes.shape[1])
    return np.asarray(-np.linalg.solve(square, slopes.T @ (weight * off) + hold * moved))


def left_out(found: Fit, case: Case) -> CaseResult:
    """Return how a case does when it had no say in the fit.

    One Gauss-Newton step from the shared fit with the case's own checks taken out, rather than a
    search anew: the slopes of the last round serve for all cases.
    """
    others = found.owners != case.id
    moved = found.shares - found.start
    step = newton_step(found.slopes[others], found.misses[others], moved)
    shares = np.clip(found.shares + np.clip(step, -LONGEST, LONGEST), 0.0, 1.0)
    return score(case, parameters_at(shares, found.scales))


def _slopes(
    cases: Sequence[Case], of: Sequence[Scale], shares: FloatArray, off: FloatArray
) -> FloatArray:
    slopes = np.zeros((off.size, len(of)))
    for k in range(len(of)):
        moved = shares.copy()
        moved[k] += NUDGE if shares[k] < 0.5 else -NUDGE
        there = misses(validate(cases, parameters_at(moved, of)))[0]
        slopes[:, k] = (there - off) / (moved[k] - shares[k])
    return slopes


def _along(
    cases: Sequence[Case],
    of: Sequence[Scale],
    line: tuple[FloatArray, FloatArray, FloatArray],
    least: float,
) -> tuple[FloatArray, tuple[CaseResult, ...]] | None:
    """Return the best of a few places along a step, or None when none is better."""
    shares, step, start = line
    best = None
    for part in (1.0, 0.5, 0.25, 0.1):
        there = np.clip(shares + part * step, 0.0, 1.0)
        results = validate(cases, parameters_at(there, of))
        here = cost(misses(results)[0], there, start)
        if here < least - 1e-3:
            best, least = (there, results), here
        elif best is not None:
            break
    return best


def rewritten(text: str, values: dict[str, float]) -> str:
    """Return the table's text with new typical values, marked as fitted; ranges stay."""
    return "\n".join(_rewritten_line(line, values) for line in text.split("\n"))


def _rewritten_line(line: str, values: dict[str, float]) -> str:
    name = line.split(",", 1)[0]
    if name not in values:
        return line
    cells = next(csv.reader([line]))
    cells[3] = f"{values[name]:.3g}"
    cells[9], cells[10] = "derived", "fitted to the open cases"
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()


def main(arguments: Sequence[str] | None = None) -> int:
    """Fit, print what came out, and write it if asked to."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    asked.add_argument("--rounds", type=int, default=8, help="rounds of the search at most")
    asked.add_argument("--write", action="store_true", help="put the numbers into the table")
    told = asked.parse_args(arguments)
    cases = [case for case in load_cases() if not case.not_tested]
    found = fit(cases, scales(), told.rounds, print)
    numbers = found.parameters()
    print(text_table(validate(load_cases(), numbers)))
    for scale, start, share in zip(found.scales, found.start, found.shares, strict=True):
        before, after = scale.to_value(float(start)), scale.to_value(float(share))
        print(f"{scale.name:32s} {before:10.4g} -> {after:10.4g}   ({share:.2f} of its range)")
    alone = [left_out(found, case) for case in cases]
    missed = [result.case.id for result in alone if not result.passed]
    print(f"Each case left out in turn: {summary(alone).sentence()} Missed: {', '.join(missed)}")
    if told.write:
        values = {
            s.name: s.to_value(float(x)) for s, x in zip(found.scales, found.shares, strict=True)
        }
        text = TABLE.read_text(encoding="utf-8")
        TABLE.write_text(rewritten(text, values), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
