"""The page of the ledger: water, compost and money by month, and carbon kept from landfill.

Knows which answer goes on it. Knows nothing of how it is reckoned.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from heapwright.garden.ledger_types import Range
from heapwright.quantities import format_number, format_range
from heapwright.web import pages
from heapwright.web.here import GardenHere, ReaderHere
from heapwright.web.ledger_picture import ledger_picture
from heapwright.web.roles import for_readers
from heapwright.wording import Figure, dated, worded
from heapwright.workshop.ledger import ledger_now
from heapwright.workshop.ledger_answer import Ledger, MonthDone
from heapwright.workshop.ledger_words import money, money_range, water_range

router = APIRouter(include_in_schema=False)
#: A calendar year; the last twelve months and those of the plan when it is not named.
Year = Annotated[int | None, Query()]


@router.get("/ledger")
@for_readers
def show_ledger(
    request: Request, garden: GardenHere, reader: ReaderHere, year: Year = None
) -> Response:
    """Show the ledger."""
    answer = ledger_now(garden, year)
    rows = _rows(answer)
    first = rows[0].month if rows else answer.today.replace(day=1)
    currency = answer.prices.currency

    def cost(told: Range | float | None) -> str:
        if told is None:
            return ""
        if isinstance(told, Range):
            return money_range(told, currency)
        return money(told, currency) if told else ""

    return pages.render(
        request,
        "ledger.html",
        answer=answer,
        rows=rows,
        picture=ledger_picture(answer, first, reader),
        month_words=month_words,
        cost=cost,
        water_range=water_range,
        factor=lambda value: format_range(value, _shown, likely=value.low != value.high),
    )


def month_words(month: date) -> str:
    """Return a month with its year, "June 2026"."""
    return worded("{month} {year}", month=dated(month, "MMMM"), year=Figure(f"{month.year}"))


def _shown(value: float) -> str:
    return format_number(value, 3)


def _rows(answer: Ledger) -> tuple[MonthDone, ...]:
    """Return the months done from the first one in which anything is booked."""
    booked = [number for number, one in enumerate(answer.done) if not _is_empty(one)]
    return answer.done[booked[0] :] if booked else ()


def _is_empty(one: MonthDone) -> bool:
    sums = one.sums
    amounts = (sums.water_kg, sums.material_kg, sums.own_m3, sums.bought_m3)
    return not any(amounts) and not sums.unmeasured
