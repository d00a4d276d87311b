"""A heap's story on one page, to print and hand on.

Knows which pictures go on it. Knows nothing of how they come about.
"""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Request
from starlette.responses import Response

from heapwright.web import chart, heat, pages, story_picture
from heapwright.web.here import GardenHere, zone_of
from heapwright.web.roles import for_readers
from heapwright.wording import Figure
from heapwright.workshop.batch_story import batch_story
from heapwright.workshop.heat_words import inferred_words, seen_words

router = APIRouter(include_in_schema=False)
#: Things done that fit the printed page; the rest is told on the bin's page and in the journal.
MOST_DONE = 12


@router.get("/batches/{key}/story")
@for_readers
def show_story(
    request: Request, garden: GardenHere, key: Annotated[str, Path(max_length=80)]
) -> Response:
    """Show one heap's story."""
    answer = batch_story(garden, key)
    reader, zone = garden.reader(), zone_of(garden)
    rows = chart.day_rows(answer, answer.course, zone)
    return pages.render(
        request,
        "story.html",
        answer=answer,
        curve=story_picture.story_curve(answer, rows, reader, zone),
        cuts=story_picture.story_cuts(answer, reader),
        rows=rows,
        letters=chart.letters_told(answer.events),
        scale=heat.scale_marks(reader.units),
        did=answer.did[:MOST_DONE],
        more_done=max(0, len(answer.did) - MOST_DONE),
        rules=[
            {
                "name": one.rule.name,
                "seen": seen_words(one.rule, one.seen),
                "share": None if one.inferred is None else inferred_words(one.inferred),
            }
            for one in answer.proof.rules
            if one.rule.is_first
        ],
        box=(story_picture.WIDTH, story_picture.HEIGHT),
        foot=story_picture.FOOT,
        left=story_picture.LEFT,
        fmt=lambda value: Figure(f"{value:.3g}" if value < 10 else f"{value:.0f}"),
        fmt1=lambda value: Figure(f"{value:.1f}"),
    )
