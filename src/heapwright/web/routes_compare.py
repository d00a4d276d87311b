"""Heaps side by side: the page to look at, and the sheet to hand to a class.

Knows which picture goes on them. Knows nothing of how the comparison comes about.
"""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from heapwright.quantities.containers import standard_containers
from heapwright.web import compare_picture, heat, pages
from heapwright.web.here import GardenHere
from heapwright.web.roles import for_readers
from heapwright.wording import Figure
from heapwright.workshop.compare import compare
from heapwright.workshop.compare_answer import Comparison, Outcome, Standing
from heapwright.workshop.compare_words import bounds_told
from heapwright.workshop.garden import Garden

router = APIRouter(include_in_schema=False)
#: Heaps by key, `?heap=first&heap=second`; without any the latest.
Heaps = Annotated[list[str] | None, Query(alias="heap", max_length=100)]
#: What fits the printed page.
_MOST_ON_SHEET, _MOST_PATTERNS_ON_SHEET, _MOST_QUESTIONS_ON_SHEET = 12, 3, 5
#: How many patterns that could tell something are shown before the rest is folded away.
_FIRST_PATTERNS = 4


@router.get("/compare")
@for_readers
def show_compare(request: Request, garden: GardenHere, heaps: Heaps = None) -> Response:
    """Show heaps side by side and what they say together."""
    answer = compare(garden, heaps or ())
    telling = [one for one in answer.findings if one.standing is not Standing.TOO_FEW]
    first = telling[:_FIRST_PATTERNS]
    return pages.render(
        request,
        "compare.html",
        **_shown(garden, answer, heaps),
        first_patterns=first,
        more_patterns=[one for one in answer.findings if one not in first],
    )


@router.get("/compare/sheet")
@for_readers
def show_sheet(request: Request, garden: GardenHere, heaps: Heaps = None) -> Response:
    """Show the same as one page to print for a class, with questions."""
    answer = compare(garden, heaps or ())
    shown = _shown(garden, answer, heaps)
    return pages.render(
        request,
        "compare_sheet.html",
        **shown,
        sheet_heaps=shown["picture"].heaps[-_MOST_ON_SHEET:],
        more_heaps=max(0, len(answer.heaps) - _MOST_ON_SHEET),
        patterns=[one for one in answer.findings if one.standing is not Standing.TOO_FEW][
            :_MOST_PATTERNS_ON_SHEET
        ],
        questions=answer.questions[:_MOST_QUESTIONS_ON_SHEET],
    )


def _shown(garden: Garden, answer: Comparison, heaps: list[str] | None) -> dict[str, Any]:
    reader = garden.reader()
    return {
        "answer": answer,
        "picture": compare_picture.compare_picture(answer, reader),
        "box": (compare_picture.WIDTH, compare_picture.HEIGHT),
        "left": compare_picture.LEFT,
        "right": compare_picture.RIGHT,
        "scale": heat.scale_marks(reader.units),
        "standings": Standing,
        "barrow_m3": standard_containers()["wheelbarrow"].volume_m3,
        # What was asked for goes on to the sheet and the table.
        "asked": "?" + urlencode([("heap", key) for key in heaps]) if heaps else "",
        "to_hot": lambda told: bounds_told(Outcome.DAYS_TO_HOT, told),
        "fmt": lambda value: Figure(f"{value:.3g}" if value < 10 else f"{value:.0f}"),
        "fmt1": lambda value: Figure(f"{value:.1f}"),
    }
