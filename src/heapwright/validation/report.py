"""Says in words and tables how the heap model does on the measured cases.

Knows how a check, a pass and a miss are written, as plain text and as Markdown. Knows nothing of
how they came about.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from heapwright.validation.measures import QUANTITIES
from heapwright.validation.types import CaseResult, Check, CheckResult, Sense

#: Shares are written in per cent.
_PERCENT = {
    "of all": "%",
    "of wet mass": "% of wet mass",
    "by volume": "% by volume",
    "of volume": "% of volume",
}


@dataclass(frozen=True, slots=True)
class Summary:
    """How many cases there are, pass, miss and are not tested; and whether a cool heap heated."""

    cases: int
    passed: int
    passed_all: int
    not_tested: int
    heated_wrongly: tuple[str, ...]

    def sentence(self) -> str:
        """Return the summary as one sentence."""
        missed = self.cases - self.passed - self.not_tested
        cool = (
            f"; must stay cool and heats: {', '.join(self.heated_wrongly)}"
            if self.heated_wrongly
            else "; no heap that must stay cool gets hot"
        )
        return (
            f"{self.passed} of {self.cases} cases pass ({self.passed_all} if the figures shown "
            f"only for information counted too), {missed} miss, "
            f"{self.not_tested} not tested{cool}."
        )


def summary(results: Sequence[CaseResult]) -> Summary:
    """Return the counts over all results."""
    return Summary(
        cases=len(results),
        passed=sum(result.passed for result in results),
        passed_all=sum(r.passed and all(c.passed for c in r.checks) for r in results),
        not_tested=sum(not result.tested for result in results),
        heated_wrongly=tuple(r.case.id for r in results if r.heated_wrongly),
    )


def text_table(results: Sequence[CaseResult], everything: bool = True) -> str:
    """Return all cases as lines of plain text; only the misses when not `everything`."""
    lines: list[str] = []
    for result in results:
        if not everything and result.passed:
            continue
        lines.append(f"{result.case.id:4s} {verdict(result):10s} {result.case.title}")
        lines.extend(_text_lines(result))
    return "\n".join([*lines, "", summary(results).sentence()])


def markdown_table(results: Iterable[CaseResult]) -> str:
    """Return all checks of all cases as one Markdown table."""
    lines = ["| case | what | measured | model | |", "| --- | --- | --- | --- | --- |"]
    for result in results:
        head = f"**{result.case.id}** {result.case.title} ({result.case.grade})"
        if not result.tested:
            lines.append(f"| {head} | {result.case.not_tested} | | | not tested |")
        for check in result.checks:
            cells = (
                head,
                what(check.check),
                measured(check.check),
                modelled(check),
                mark(check),
            )
            lines.append("| " + " | ".join(cells) + " |")
            head = ""
    return "\n".join(lines)


def verdict(result: CaseResult) -> str:
    """Return in a word or two how the model does on a case."""
    if not result.tested:
        return "not tested"
    return "pass" if result.passed else "MISS"


def mark(result: CheckResult) -> str:
    """Return in a word or two how the model does on a check."""
    word = "ok" if result.passed else "miss"
    return word if result.check.counts else f"{word}, not counted"


def what(check: Check) -> str:
    """Return what is compared, with its run and days."""
    words = QUANTITIES[check.quantity].words
    run = f"{check.run} less {check.against}" if check.against else check.run
    return f"{words}{_when(check)} ({run})"


def measured(check: Check) -> str:
    """Return the measured value or range with its tolerance and unit."""
    factor, unit = _unit(check)
    low, high = factor * check.low, factor * check.high
    tolerance = f" ± {_number(factor * check.tolerance)}" if check.tolerance else ""
    if check.sense is Sense.AT_LEAST:
        return f"at least {_number(low)}{tolerance} {unit}"
    if check.sense is Sense.AT_MOST:
        return f"at most {_number(high)}{tolerance} {unit}"
    span = _number(low) if low == high else f"{_number(low)} to {_number(high)}"
    return f"{span}{tolerance} {unit}"


def modelled(result: CheckResult) -> str:
    """Return the model's number with its unit."""
    factor, unit = _unit(result.check)
    if result.modelled == float("inf"):
        return "never"
    return f"{_number(factor * result.modelled)} {unit}"


def why(result: CheckResult) -> str:
    """Return the reason that a miss is given, empty for what passes."""
    return "" if result.passed else result.check.missed


def _text_lines(result: CaseResult) -> list[str]:
    if not result.tested:
        return [f"       {result.case.not_tested}"]
    lines = []
    for check in result.checks:
        lines.append(
            f"       {mark(check):18s} {what(check.check)}: measured {measured(check.check)}, "
            f"model {modelled(check)}"
        )
        if reason := why(check):
            lines.append(f"         {reason}")
    return lines


def _when(check: Check) -> str:
    at = check.places
    days = [f"{word} day {_number(at[key])}" for key, word in _DAYS if key in at]
    limits = [f"{word} {_number(at[key])} {unit}" for key, word, unit in _LIMITS if key in at]
    return "".join(f" {part}" for part in (*days, *limits))


_DAYS = (("day", "on"), ("from_day", "from"), ("to_day", "to"))
_LIMITS = (
    ("limit_c", "at", "°C"),
    ("depth_m", "at a depth of", "m"),
    ("from_m", "from", "m"),
    ("to_m", "down to", "m"),
)


def _unit(check: Check) -> tuple[float, str]:
    unit = QUANTITIES[check.quantity].unit
    if unit not in _PERCENT:
        return 1.0, unit
    return 100.0, _PERCENT[unit] if check.against is None else "points"


def _number(value: float) -> str:
    """Return a number with three digits that mean something, without an exponent."""
    if abs(value) >= 100:
        return f"{value:.0f}"
    text = f"{value:.1f}" if abs(value) >= 10 or value == round(value, 1) else f"{value:.2g}"
    return (
        text.removesuffix(".0").replace("-0", "0") if float(text) == 0 else text.removesuffix(".0")
    )
