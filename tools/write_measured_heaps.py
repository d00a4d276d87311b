"""Writes docs/measured-heaps.md and its pictures anew: the heap model against every measured case.

Knows how the page is laid out and where the pictures lie. Runs the model with the shipped numbers;
judges nothing itself. Run it with `python3 tools/write_measured_heaps.py` whenever a number of the
heap model, a case or the kernel has changed; a test draws it again and compares.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

if __name__ == "__main__":  # run as a file: find the neighbours
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from heapwright.validation.drawing import draw_case, drawable
from heapwright.validation.leave_one_out import leave_one_out_scores, leave_one_out_sentence
from heapwright.validation.report import markdown_table, summary
from heapwright.validation.score import validate
from heapwright.validation.types import CaseResult
from tools import ROOT

PAGE = ROOT / "docs" / "measured-heaps.md"
PICTURES = ROOT / "docs" / "pictures" / "heaps"
_HEAD = """# Measured heaps against the model

Written by `tools/write_measured_heaps.py`; do not change it by hand. `heapwright validate` prints
the same. Tolerances: time to 55 °C within a day, a peak or reading within 6 °C, days at 55 °C or
more within 35 %, losses within 10 points. What had to be assumed of each heap stands beside it in
`src/heapwright/validation/cases/`. Many assumptions, and the choice of what counts, were made by
people who could see the model's answer: these scores are what the model can do with likely numbers,
not a blind test.
"""


def page(results: Sequence[CaseResult]) -> str:
    """Return the whole page."""
    parts = [_HEAD, f"**{summary(results).sentence()}**"]
    if scores := leave_one_out_scores():
        parts.append(leave_one_out_sentence(scores))
    parts.append(markdown_table(results))
    for result in drawable(results):
        case = result.case
        parts.append(f"## {case.id}: {case.title}\n\n{_assumed(result)}")
        parts.append(f"![{case.id}, model and readings](pictures/heaps/{case.id}.svg)")
        parts += [f"*{check.check.missed}*" for check in result.checks if not check.passed]
    return "\n\n".join(part for part in parts if part) + "\n"


def _assumed(result: CaseResult) -> str:
    return "\n".join(f"- {line}" for line in result.case.assumed)


def main() -> int:
    """Write the page and the pictures."""
    results = validate()
    PICTURES.mkdir(parents=True, exist_ok=True)
    for result in drawable(results):
        (PICTURES / f"{result.case.id}.svg").write_text(draw_case(result) + "\n", encoding="utf-8")
    PAGE.write_text(page(results), encoding="utf-8")
    print(summary(results).sentence())
    return 0


if __name__ == "__main__":
    sys.exit(main())
