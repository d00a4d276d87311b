"""Answers how near the heap model comes to heaps that were measured, and whether that is enough.

Knows what is promised. Knows no measurement and no tolerance (`validation`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from heapwright.errors import ServiceProblem
from heapwright.validation.drawing import draw_case
from heapwright.validation.leave_one_out import LeftOut, leave_one_out_scores
from heapwright.validation.load import find_case, load_cases
from heapwright.validation.measures import QUANTITIES
from heapwright.validation.report import Summary, mark, measured, modelled, summary, verdict, what
from heapwright.validation.report import why as why_missed
from heapwright.validation.score import validate
from heapwright.validation.types import CaseResult, CheckResult
from heapwright.wording import worded

#: How many of all measured cases are met at least, as docs/validation.md promises.
PROMISED = 24


@dataclass(frozen=True, slots=True)
class Validation:
    """Measured cases held against the model.

    Attributes
    ----------
    results : tuple of CaseResult
    summary : Summary
    whole : bool
        Whether these are all cases, so that the promise can be looked at.

    """

    results: tuple[CaseResult, ...]
    summary: Summary
    whole: bool

    @property
    def broken(self) -> str:
        """Why the promise is broken, in a sentence; empty when it is kept."""
        if self.summary.heated_wrongly:
            heaps = ", ".join(self.summary.heated_wrongly)
            return worded("A heap that must stay cool gets hot in the model: {heaps}.", heaps=heaps)
        if self.whole and self.summary.passed < PROMISED:
            return worded(
                "{passed} of {cases} measured cases pass; at least {promised} are promised.",
                passed=self.summary.passed,
                cases=self.summary.cases,
                promised=PROMISED,
            )
        missed = [r.case.id for r in self.results if r.tested and not r.passed]
        if not self.whole and missed:
            return worded("The model misses {missed}.", missed=", ".join(missed))
        return ""


def validation(keys: Sequence[str] = ()) -> Validation:
    """Return the measured cases of these ids, or all of them, held against the model.

    Raises
    ------
    NotFound
        If no case has that id.

    """
    asked = {find_case(key).id for key in keys}
    cases = [case for case in load_cases() if not asked or case.id in asked]
    results = validate(cases)
    return Validation(results, summary(results), whole=not asked)


def draw_cases(results: Sequence[CaseResult], folder: Path) -> list[Path]:
    """Write one SVG picture for each tested case; return where.

    Raises
    ------
    ServiceProblem
        If the folder may not be written.

    """
    written = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for result in results:
            if result.tested:
                path = folder / f"{result.case.id}.svg"
                path.write_text(draw_case(result), encoding="utf-8")
                written.append(path)
    except OSError as problem:
        raise ServiceProblem(
            worded(
                "The pictures could not be written to {folder}: {strerror}",
                folder=folder,
                strerror=problem.strerror or problem,
            ),
            instead="Name a folder that you may write in",
            kept=worded("{number} pictures were written.", number=len(written)),
        ) from problem
    return written


def left_out_scores() -> tuple[LeftOut, ...]:
    """Return how each case does with numbers fitted to all others; empty when none are kept."""
    return leave_one_out_scores()


def validation_plain(answer: Validation) -> dict[str, Any]:
    """Return the answer for programs; what never came to pass has no modelled value."""
    counts = answer.summary
    return {
        "cases": [_case(result) for result in answer.results],
        "passed": counts.passed,
        "passed_with_uncounted": counts.passed_all,
        "missed": counts.cases - counts.passed - counts.not_tested,
        "not_tested": counts.not_tested,
        "heated_wrongly": list(counts.heated_wrongly),
        "promised": PROMISED if answer.whole else None,
        "promise_broken": answer.broken,
        "sentence": counts.sentence(),
    }


def _case(result: CaseResult) -> dict[str, Any]:
    case = result.case
    return {
        "id": case.id,
        "title": case.title,
        "source": case.source,
        "grade": case.grade,
        "verdict": verdict(result).lower(),
        "not_tested": case.not_tested,
        "heated_wrongly": result.heated_wrongly,
        "assumed": list(case.assumed),
        "checks": [_check(check) for check in result.checks],
    }


def _check(result: CheckResult) -> dict[str, Any]:
    check = result.check
    return {
        "what": what(check),
        "quantity": check.quantity,
        "unit": QUANTITIES[check.quantity].unit,
        "run": check.run,
        "against": check.against,
        "places": dict(check.places),
        "sense": str(check.sense),
        "measured_low": check.low,
        "measured_high": check.high,
        "tolerance": check.tolerance,
        "modelled": _finite(result.modelled),
        "miss_in_tolerances": _finite(result.miss),
        "passed": result.passed,
        "counts": check.counts,
        "must_not_heat": check.must_not_heat,
        "said": check.said,
        "why_missed": why_missed(result),
        "in_words": worded(
            "{result}: measured {check}, model {result_2}",
            result=mark(result),
            check=measured(check),
            result_2=modelled(result),
        ),
    }


def _finite(value: float) -> float | None:
    return value if abs(value) < float("inf") else None
