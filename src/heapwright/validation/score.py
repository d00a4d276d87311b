"""Runs cases through the heap model and holds the model's numbers against the measured ones.

Knows how far off counts as a pass. Knows nothing of how a case is written or drawn.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from heapwright.heap.parameters import Parameters, load_parameters
from heapwright.heap.simulate import simulate
from heapwright.heap.types import HeapRun
from heapwright.validation.load import load_cases
from heapwright.validation.measures import QUANTITIES
from heapwright.validation.types import Case, CaseResult, Check, CheckResult, Sense


def validate(
    cases: Iterable[Case] | None = None, parameters: Parameters | None = None
) -> tuple[CaseResult, ...]:
    """Return how the model does on every case.

    Parameters
    ----------
    cases : iterable of Case, optional
        All that ship with the program if not given.
    parameters : Parameters, optional
        The typical values of the heap's table if not given: one set for all cases.

    """
    numbers = parameters or load_parameters()
    return tuple(score(case, numbers) for case in (load_cases() if cases is None else cases))


def score(case: Case, parameters: Parameters) -> CaseResult:
    """Return how the model does on one case, with the runs it was taken from."""
    runs = run_case(case, parameters)
    checks = tuple(judge(check, value(case, check, runs)) for check in case.checks)
    return CaseResult(case, checks, runs)


def run_case(case: Case, parameters: Parameters) -> dict[str, HeapRun]:
    """Return every run of a case, all with the same parameters."""
    return {
        name: simulate(told.shape, told.fill, told.weather, told.actions, parameters=parameters)
        for name, told in case.runs.items()
    }


def value(case: Case, check: Check, runs: Mapping[str, HeapRun]) -> float:
    """Return the modelled number of a check, less that of the run it is held against."""
    measure = QUANTITIES[check.quantity].measure
    number = measure(case.runs[check.run], runs[check.run], check.places)
    if check.against is None:
        return number
    return number - measure(case.runs[check.against], runs[check.against], check.places)


def judge(check: Check, modelled: float) -> CheckResult:
    """Return a check with the model's number and how far it is off, in tolerances.

    One-sided checks count how far the number is on the wrong side: 1 is the tolerance's end,
    below 0 is met with room to spare. Without a tolerance any step past the limit fails.
    """
    over, under = modelled - check.high, check.low - modelled
    off = {
        Sense.ABOUT: max(over, under, 0.0),
        Sense.AT_LEAST: under,
        Sense.AT_MOST: over,
    }[check.sense]
    if check.tolerance > 0.0:
        return CheckResult(check, modelled, off / check.tolerance)
    return CheckResult(check, modelled, float("inf") if off > 0.0 else min(off, 0.0))
