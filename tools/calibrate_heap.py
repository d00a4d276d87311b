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
import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

if __name__ == "__main__":  # run as a file: find the neighbours
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

import numpy as np
from numpy.typing import NDArray

from heapwright.heap.parameters import Parameters, load_parameters, parameter_estimates
from heapwright.tables import Estimate, forget_tables
from heapwright.validation.doubt import met_in_doubt
from heapwright.validation.leave_one_out import numbers_mark
from heapwright.validation.load import load_cases
from heapwright.validation.measures import QUANTITIES
from heapwright.validation.report import summary, text_table
from heapwright.validation.score import score, validate
from heapwright.validation.types import Case, CaseResult, CheckResult, Sense
from tools import ROOT

FloatArray = NDArray[np.float64]
TABLE = ROOT / "src/heapwright/heap/data/parameters.csv"
SCORES = ROOT / "src/heapwright/validation/leave_one_out.csv"

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
    "water_channelled",
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
#: Draws of the assumptions of each case.
DRAWS = 40


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


def left_out(found: Fit, cases: Sequence[Case], key: str, rounds: int) -> CaseResult:
    """Return how a case does when it had no say in the fit.

    The search goes on from the shared fit with the case taken out: the first step with the
    slopes already known, the others with slopes of their own.
    """
    others = [case for case in cases if case.id != key]
    shares, off = found.shares, found.misses[found.owners != key]
    slopes = found.slopes[found.owners != key]
    for number in range(rounds):
        if number > 0:
            slopes = _slopes(others, found.scales, shares, off)
        step = newton_step(slopes, off, shares - found.start)
        line = (shares, np.clip(step, -LONGEST, LONGEST), found.start)
        better = _along(others, found.scales, line, cost(off, shares, found.start))
        if better is None:
            break
        shares, off = better[0], misses(better[1])[0]
    case = next(case for case in cases if case.id == key)
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


def leave_one_out_table(
    alone: Sequence[CaseResult], in_doubt: Mapping[str, float], fingerprint: str
) -> str:
    """Return the scores of cases left out as CSV, marked with the numbers they belong to."""
    out = io.StringIO()
    out.write(
        "# How each measured case does when it had no say in the fit, and the share of draws\n"
    )
    out.write("# of its assumptions with which the shared fit meets it; written by\n")
    out.write("# tools/calibrate_heap.py --leave-one-out. The mark is of the fitted numbers.\n")
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(["case", "passed", "heated_wrongly", "met_in_doubt", "numbers"])
    for result in alone:
        said = [str(flag).lower() for flag in (result.passed, result.heated_wrongly)]
        share = f"{in_doubt[result.case.id]:.2f}"
        rows.writerow([result.case.id, *said, share, fingerprint])
    return out.getvalue()


def in_doubt_column(cases: Sequence[Case], numbers: Parameters, draws: int) -> dict[str, float]:
    """Return for each case how often it is met when its assumptions are drawn anew."""
    found = {}
    for case in cases:
        rng = np.random.default_rng(zlib.crc32(case.id.encode()))
        found[case.id] = met_in_doubt(case, numbers, draws, rng)
        _say(f"{case.id}: met with {100 * found[case.id]:.0f} % of the draws of what was assumed")
    return found


def main(arguments: Sequence[str] | None = None) -> int:
    """Fit, print what came out, and write it if asked to."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    asked.add_argument("--rounds", type=int, default=8, help="rounds of the search at most")
    asked.add_argument("--write", action="store_true", help="put the numbers into the table")
    asked.add_argument(
        "--leave-one-out",
        type=int,
        default=0,
        metavar="ROUNDS",
        help="fit anew without each case in turn, this many rounds, and keep the scores",
    )
    told = asked.parse_args(arguments)
    cases = [case for case in load_cases() if not case.not_tested]
    found = fit(cases, scales(), told.rounds, _say)
    _say(text_table(validate(load_cases(), found.parameters())))
    for scale, start, share in zip(found.scales, found.start, found.shares, strict=True):
        before, after = scale.to_value(float(start)), scale.to_value(float(share))
        _say(f"{scale.name:32s} {before:10.4g} -> {after:10.4g}   ({share:.2f} of its range)")
    if told.write:
        _write_numbers(found)
    if told.leave_one_out:
        _write_leave_one_out(found, cases, told.leave_one_out)
    return 0


def _say(text: str) -> None:
    print(text, flush=True)


def _write_numbers(found: Fit) -> None:
    values = {s.name: s.to_value(float(x)) for s, x in zip(found.scales, found.shares, strict=True)}
    text = TABLE.read_text(encoding="utf-8")
    TABLE.write_text(rewritten(text, values), encoding="utf-8")


def _write_leave_one_out(found: Fit, cases: Sequence[Case], rounds: int) -> None:
    alone = []
    for case in cases:
        alone.append(left_out(found, cases, case.id, rounds))
        _say(f"without {case.id}: {'passes' if alone[-1].passed else 'misses'}")
    missed = [result.case.id for result in alone if not result.passed]
    _say(f"Each case left out in turn: {summary(alone).sentence()} Missed: {', '.join(missed)}")
    forget_tables()
    numbers = load_parameters()  # of the table as it is now
    doubts = in_doubt_column(cases, numbers, DRAWS)
    text = leave_one_out_table(alone, doubts, numbers_mark(numbers))
    SCORES.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
