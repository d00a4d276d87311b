"""The ledger as a table for a spreadsheet, in SI units.

Knows the columns. Knows nothing of how the numbers come about.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from heapwright.garden.ledger_types import Range
from heapwright.workshop.ledger_answer import Ledger, MonthAhead, MonthDone

_HEADINGS = (
    *("month", "what", "water low (kg)", "water likely (kg)", "water high (kg)"),
    *("own compost (m3)", "bought compost (m3)", "kitchen scraps (kg)", "other greens (kg)"),
    *("browns (kg)", "other (kg)", "not measured (times)"),
    *("cost of water low", "cost of water likely", "cost of water high"),
    *("cost of bought compost", "worth of own compost", "money"),
)


def ledger_csv(answer: Ledger) -> str:
    """Return one row a month: those done, then those expected; an empty cell is not known."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(_HEADINGS)
    money = _safe(answer.prices.currency)
    for done in answer.done:
        table.writerow([*map(_cell, _done(done)), money])
    for ahead in answer.ahead:
        table.writerow([*map(_cell, _ahead(ahead)), money])
    return out.getvalue()


def _cell(value: str | float | None) -> str:
    if value is None:
        return ""
    return value if isinstance(value, str) else f"{value:.5g}"


def _safe(text: str) -> str:
    """Return a person's own text with an apostrophe before what would be taken for a formula."""
    return f"'{text}" if text.startswith(("=", "+", "-", "@", "＝", "＋", "－", "＠")) else text


def _done(one: MonthDone) -> Iterator[str | float | None]:
    sums, money = one.sums, one.money
    yield from (f"{one.month:%Y-%m}", "done")
    yield from (sums.water_kg, sums.water_kg, sums.water_kg, sums.own_m3, sums.bought_m3)
    yield from (sums.kitchen_kg, sums.greens_kg, sums.browns_kg, sums.other_kg, sums.unmeasured)
    yield from _costs(money.water, money.bought, money.saved)


def _ahead(one: MonthAhead) -> Iterator[str | float | None]:
    yield from (f"{one.month:%Y-%m}", "expected")
    yield from (one.water_kg.low, one.water_kg.likely, one.water_kg.high, one.own_m3, one.buy_m3)
    yield from (None,) * 5
    yield from _costs(one.money.water, one.money.bought, one.money.saved)


def _costs(
    water: Range | None, bought: float | None, saved: float | None
) -> Iterator[float | None]:
    yield from (None,) * 3 if water is None else (water.low, water.likely, water.high)
    yield from (bought, saved)
