"""Counts how often the true fault came first or among the first three, and what it was taken for.

Knows Wilson's interval and the tables' form. Runs nothing.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path

from benchmarks.diagnosis.faults import FAULTS
from benchmarks.diagnosis.judged import Case

RESULTS = Path(__file__).parent / "results.csv"
KEPT = 3
#: Normal quantile of a 95 % interval.
_Z = 1.959964
_HEADING = ("seed", "fault", "first", "asked", "chance")


def save(cases: Iterable[Case], heading: str) -> None:
    """Write one row for each case, the three likeliest causes of each judgement."""
    with RESULTS.open("w", newline="", encoding="utf-8") as file:
        file.write(f"# {heading}\n")
        out = csv.writer(file, lineterminator="\n")
        out.writerow(_HEADING)
        for one in cases:
            first, asked = "|".join(one.first[:KEPT]), "|".join(one.asked[:KEPT])
            out.writerow((one.seed, one.fault, first, asked, f"{one.chance:.4f}"))


def load() -> tuple[str, list[Case]]:
    """Return the heading of the stored results and their cases."""
    heading, *lines = RESULTS.read_text(encoding="utf-8").splitlines()
    cases = [
        Case(
            seed=int(row["seed"]),
            fault=row["fault"],
            first=tuple(row["first"].split("|")),
            asked=tuple(row["asked"].split("|")),
            chance=float(row["chance"]),
        )
        for row in csv.DictReader(lines)
    ]
    return heading.removeprefix("# "), cases


def wilson(hits: int, number: int) -> tuple[float, float]:
    """Return the 95 % interval of a share (Wilson 1927)."""
    share, square = hits / number, _Z**2
    middle = (share + square / (2 * number)) / (1 + square / number)
    half = (
        _Z * ((share * (1 - share) + square / (4 * number)) / number) ** 0.5 / (1 + square / number)
    )
    return middle - half, middle + half


def table(cases: Sequence[Case]) -> str:
    """Return the tables as they stand in docs/validation.md."""
    lines = [
        "| | by what was told | after two looks that it asked for | aim |",
        "|---|---|---|---|",
        _row("true fault first", cases, 1, "70 % or more"),
        _row("true fault among the first three", cases, KEPT, "92 % or more"),
        "",
        "| true fault | told: first | first three | after the looks: first | told: taken for |",
        "|---|---|---|---|---|",
    ]
    lines += [_fault_row(fault, cases) for fault in FAULTS]
    return "\n".join(lines)


def _row(what: str, cases: Sequence[Case], places: int, aim: str) -> str:
    cells = []
    for column in ("first", "asked"):
        hits = sum(one.fault in getattr(one, column)[:places] for one in cases)
        low, high = wilson(hits, len(cases))
        share = 100 * hits / len(cases)
        cells.append(f"{share:.1f} % ({100 * low:.1f} to {100 * high:.1f} %)")
    return f"| {what} | {cells[0]} | {cells[1]} | {aim} |"


def _fault_row(fault: str, cases: Sequence[Case]) -> str:
    mine = [one for one in cases if one.fault == fault]
    if not mine:
        return f"| {fault.replace('_', ' ')} | – | – | – | |"
    wrong = Counter(one.first[0] for one in mine if one.first[0] != fault)
    told = ", ".join(
        f"{name.replace('_', ' ')} {count}"
        for name, count in sorted(wrong.items(), key=lambda pair: (-pair[1], pair[0]))
    )
    counts = (
        sum(one.first[0] == fault for one in mine),
        sum(fault in one.first[:KEPT] for one in mine),
        sum(one.asked[0] == fault for one in mine),
    )
    cells = " | ".join(f"{count} of {len(mine)}" for count in counts)
    return f"| {fault.replace('_', ' ')} | {cells} | {told} |"
