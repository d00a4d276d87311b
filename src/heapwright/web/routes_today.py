"""The Today page: every bin with its job, and the first page of an empty garden.

Knows which bins want something, for the line at the top. Knows nothing of how a job is found.
"""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from heapwright.advice.types import Job
from heapwright.web import done_link, pages
from heapwright.web.here import GardenHere
from heapwright.web.roles import for_owners, for_readers
from heapwright.web.sparkline import Spark, spark
from heapwright.wording import dated, worded
from heapwright.workshop.answers import BinToday, TodayAnswer
from heapwright.workshop.demo import fill_demo_garden
from heapwright.workshop.today import today
from heapwright.workshop.year_week import planned_near

router = APIRouter(include_in_schema=False)


@router.get("/")
@for_readers
def show_today(request: Request, garden: GardenHere) -> Response:
    """Show every bin's job, or how to begin when there is no bin yet."""
    if not garden.state().bins_in_use:
        # The invented garden is only ever written into an empty journal.
        return pages.render(request, "first_run.html", may_fill=not garden.entries())
    answer = today(garden)
    return pages.render(
        request,
        "today.html",
        answer=answer,
        summary=summary(answer),
        planned=planned_near(garden),
        on=lambda day: dated(day, "EEE d MMMM"),
        sparks={shown.bin.key: _spark(shown) for shown in answer.bins},
        done={shown.bin.key: done_link.for_bin(garden, shown) for shown in answer.bins},
    )


@router.post("/start-demo")
@for_owners
def start_demo(garden: GardenHere) -> Response:
    """Fill an empty garden with the invented one and show it."""
    fill_demo_garden(garden)
    return RedirectResponse("/", status_code=303)


def wants_something(shown: BinToday) -> bool:
    """Whether a person should do something at this bin today."""
    return shown.stage != "empty" and shown.advice.job is not Job.LEAVE


def summary(answer: TodayAnswer) -> str:
    """Return the day in one line."""
    names = [shown.bin.name for shown in answer.bins if wants_something(shown)]
    if not names:
        return "Nothing needs doing today."
    if len(names) == len(answer.bins) > 1:
        return "Every bin wants something today."
    if len(names) == 1:
        return worded("{names} wants something today.", names=names[0])
    return worded(
        "{names} and {names_2} want something today.",
        names=", ".join(names[:-1]),
        names_2=names[-1],
    )


def _spark(shown: BinToday) -> Spark | None:
    return spark(shown.forecast, shown.last_reading) if shown.forecast is not None else None
