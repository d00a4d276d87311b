"""The command `ledger`: water, compost, money and carbon by month.

Knows how the answer is set on a terminal.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, GardenPath, Units, reader_for

if TYPE_CHECKING:
    from datetime import date

    from heapwright.garden.ledger_types import Range, Sums
    from heapwright.sentences import Measure, Reader
    from heapwright.workshop.ledger_answer import Ledger, MonthAhead

_NONE = "-"


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("ledger")(ledger)


def ledger(
    year: Annotated[
        int | None,
        typer.Option(
            "--year",
            metavar="YEAR",
            show_default=False,
            help="A calendar year; if not given, the last twelve months and those ahead.",
        ),
    ] = None,
    as_csv: Annotated[
        bool, typer.Option("--csv", help="The table alone, as CSV for a spreadsheet.")
    ] = False,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Tell by month what water was given, what was composted, used and bought, and the cost.

    Months ahead are told as the year's plan expects them, with their range.
    """
    from heapwright.workshop.ledger import ledger_now
    from heapwright.workshop.ledger_table import ledger_csv
    from heapwright.workshop.plain import to_plain

    with place.opened(garden) as here:
        answer, reader = ledger_now(here, year), reader_for(here, units)
        if as_csv:
            typer.echo(ledger_csv(answer).encode("utf-8"), nl=False)
        elif as_json:
            screen.put_json(to_plain(answer, reader))
        else:
            screen.put(_lines(answer, reader))


def _lines(answer: Ledger, reader: Reader) -> Iterator[str]:
    from heapwright.sentences import render

    if answer.is_demo:
        yield "An invented demo garden: nothing here was measured."
    yield from screen.bullets(render(one, reader) for one in answer.told)
    if answer.done:
        yield ""
        yield "What was:"
        yield from screen.table(
            [
                *((_month(one.month), *_done(one.sums, reader)) for one in answer.done),
                ("together", *_done(answer.done_sums, reader)),
            ],
            ("month", "water", "composted", "own compost", "bought"),
            right=(1, 2, 3, 4),
        )
    if answer.ahead_sum is not None:
        yield ""
        yield "What is expected, from today on:"
        yield from screen.table(
            [
                *((_month(one.month), *_ahead(one, reader)) for one in answer.ahead),
                ("together", *_ahead(answer.ahead_sum, reader)),
            ],
            ("month", "water", "own compost, at least", "to buy, at most"),
            right=(1, 2, 3),
        )
    for title, told in (
        ("Kept from landfill:", answer.carbon.told),
        ("What is counted:", answer.notes),
    ):
        yield ""
        yield title
        yield from screen.bullets((render(one, reader) for one in told), "  ")


def _month(month: date) -> str:
    return f"{month:%Y-%m}"


def _done(sums: Sums, reader: Reader) -> tuple[str, ...]:
    from heapwright.sentences import Measure

    return (
        _shown(sums.water_kg, Measure.WATER, reader),
        _shown(sums.material_kg, Measure.MASS, reader),
        _shown(sums.own_m3, Measure.VOLUME, reader),
        _shown(sums.bought_m3, Measure.VOLUME, reader),
    )


def _ahead(one: MonthAhead, reader: Reader) -> tuple[str, ...]:
    from heapwright.sentences import Measure

    return (
        _range(one.water_kg, reader),
        _shown(one.own_m3, Measure.VOLUME, reader),
        _shown(one.buy_m3, Measure.VOLUME, reader),
    )


def _shown(amount: float, measure: Measure, reader: Reader) -> str:
    from heapwright.sentences import Value, render_value

    return render_value(Value(amount, measure), reader) if amount else _NONE


def _range(water_kg: Range, reader: Reader) -> str:
    from heapwright.sentences import render
    from heapwright.workshop.ledger_words import water_range

    return render(water_range(water_kg), reader) if water_kg.high >= 1.0 else _NONE
