"""The commands `arrivals list`, `add`, `propose`, `drop` and `ahead`: the stock through the year.

Knows how they are typed and how the answer is set on a terminal. Knows no figure.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen, stored
from heapwright.cli.options import AsJson, GardenPath, Units, group, lists, reader_for
from heapwright.wording import dated, worded

if TYPE_CHECKING:
    from heapwright.quantities.containers import Container
    from heapwright.sentences import Reader
    from heapwright.workshop.arrivals import ArrivalLine, Proposal
    from heapwright.workshop.garden import Garden
    from heapwright.workshop.stock_ahead_answer import StockAhead

arrivals_app = group("List what arrives in its season; add, propose, drop.")
_KIND_WORDS = {"greens": "Greens", "browns": "Browns"}
_WEEKS_BETWEEN = 4


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.add_typer(arrivals_app, name="arrivals")
    app.command("ahead")(ahead)


@lists(arrivals_app)
def list_arrivals(garden: GardenPath = None, units: Units = None, as_json: AsJson = False) -> None:
    """List what is expected to arrive every week of its season."""
    from heapwright.workshop.arrivals import arrivals
    from heapwright.workshop.plain import to_plain

    with place.opened(garden) as here:
        reader, found = reader_for(here, units), arrivals(here)
        if as_json:
            screen.put_json(to_plain(found, reader))
        else:
            screen.put(_arrival_lines(found, reader))


@arrivals_app.command("propose")
def propose(garden: GardenPath = None, units: Units = None, as_json: AsJson = False) -> None:
    """Propose what your household, lawn and trees are likely to give; nothing is stored."""
    from heapwright.workshop.arrivals import proposals
    from heapwright.workshop.plain import to_plain

    with place.opened(garden) as here:
        reader, found = reader_for(here, units), proposals(here)
        if as_json:
            screen.put_json(to_plain(found, reader))
        else:
            screen.put(_proposal_lines(found, reader))


@arrivals_app.command("add")
def add(
    material: Annotated[
        str, typer.Argument(metavar="MATERIAL", help='In your own words: "coffee grounds".')
    ],
    least: Annotated[
        str,
        typer.Option("--least", metavar="AMOUNT", help='In a poor week: "1 pail", "10 L".'),
    ],
    most: Annotated[
        str,
        typer.Option("--most", metavar="AMOUNT", help='In a good week: "3 pails", "40 L".'),
    ],
    likely: Annotated[
        str | None,
        typer.Option("--likely", metavar="AMOUNT", help="The middle of both if not given."),
    ] = None,
    first: Annotated[
        str, typer.Option("--from", metavar="MM-DD", help="First day of its season.")
    ] = "01-01",
    last: Annotated[
        str, typer.Option("--to", metavar="MM-DD", help="Last day; may lie after New Year.")
    ] = "12-31",
    keeps: Annotated[
        float | None,
        typer.Option(
            "--keeps", metavar="DAYS", show_default=False, help="How long you can keep it."
        ),
    ] = None,
    packing: Annotated[
        str, typer.Option("--packing", metavar="WORD", help="loose, pressed or shredded.")
    ] = "loose",
    alter: Annotated[
        str | None, typer.Option("--alter", metavar="KEY", help="Alter the one with this key.")
    ] = None,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Write down what arrives every week of its season."""
    from heapwright.journal.forms_year import month_day
    from heapwright.season.arrivals import Season
    from heapwright.workshop.arrivals import add_arrival

    with place.opened(garden, make=True) as here:
        reader = reader_for(here, units)
        low, container = _volume(here, least, reader)
        high, _ = _volume(here, most, reader)
        middle = (low + high) / 2.0 if likely is None else _volume(here, likely, reader)[0]
        answer = add_arrival(
            here,
            material=material,
            volume_m3_week=(low, middle, high),
            season=Season(month_day("From", first), month_day("To", last)),
            keeps_days=keeps,
            packing=packing,
            container=container,
            key=alter,
            origin="command",
        )
        stored.put(here, answer, reader, as_json=as_json)


@arrivals_app.command("drop")
def drop(
    key: Annotated[str, typer.Argument(metavar="KEY", help="Its key, as in the list.")],
    why: Annotated[str, typer.Option("--why", metavar="WORDS", help="Why, if you like.")] = "",
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Write down that something no longer arrives."""
    from heapwright.workshop.arrivals import drop_arrival

    with place.opened(garden) as here:
        answer = drop_arrival(here, key, why=why, origin="command")
        stored.put(here, answer, reader_for(here, units), as_json=as_json)


def ahead(garden: GardenPath = None, units: Units = None, as_json: AsJson = False) -> None:
    """Tell how the stock goes through the year: what runs out, how many bags to save in autumn."""
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.stock_ahead import stock_ahead

    with place.opened(garden) as here:
        reader, answer = reader_for(here, units), stock_ahead(here)
        if as_json:
            screen.put_json(to_plain(answer, reader))
        else:
            screen.put(_lines(answer, reader))


def _volume(garden: Garden, said: str, reader: Reader) -> tuple[float, Container | None]:
    """Return the volume of an amount, as full as containers are usually, and its container."""
    from heapwright.errors import NotUnderstood
    from heapwright.quantities.amounts import parse_amount
    from heapwright.workshop.stock import own_containers

    amount = parse_amount(said, own_containers(garden.state()), reader.units)
    if amount.volume_m3 is None:
        raise NotUnderstood(
            worded('"{said}" is a weight', said=said),
            why="what arrives is counted by volume",
            instead="Say how much room it takes, such as 2 pails or 40 L",
        )
    return amount.volume_m3.typical, amount.container


def _arrival_lines(found: Sequence[ArrivalLine], reader: Reader) -> Iterator[str]:
    from heapwright.sentences import render

    if not found:
        yield "Nothing that arrives in its season is written down yet."
        yield (
            '`heapwright arrivals add "coffee grounds" --least "1 pail" --most "3 pails"` '
            "enters something; `heapwright arrivals propose` reckons what is likely."
        )
        return
    for line in found:
        yield worded(
            "{name} ({key}), {kind}",
            name=line.material_name,
            key=line.arrival.key,
            kind=_KIND_WORDS[line.kind],
        )
        yield from screen.bullets([render(line.told, reader)], "  ")
        yield from screen.labelled("Care", list(line.cautions))


def _proposal_lines(found: Sequence[Proposal], reader: Reader) -> Iterator[str]:
    from heapwright.sentences import render

    if not found:
        yield "Nothing to propose: say first who lives here and how large lawn and trees are."
        return
    for one in found:
        yield from screen.labelled(one.material_name, [render(one.told, reader)])
    yield "Starting values: count for two weeks, then put them right."


def _lines(answer: StockAhead, reader: Reader) -> Iterator[str]:
    from heapwright.sentences import render

    if answer.saving is not None:
        yield from screen.paragraph(" ".join(render(one, reader) for one in answer.saving.told))
        yield ""
    for one in answer.classes:
        yield _KIND_WORDS[one.key]
        yield from screen.bullets((render(told, reader) for told in one.told), "  ")
    yield ""
    yield from _table(answer, reader)
    yield ""
    yield from screen.paragraph(render(answer.builds_from, reader))
    told = [build.told for build in answer.builds] or [answer.one_heap.told]
    yield from screen.bullets((render(one, reader) for one in told), "  ")
    yield from screen.bullets(render(one, reader) for one in answer.notes)


def _table(answer: StockAhead, reader: Reader) -> Iterator[str]:
    from heapwright.sentences import Measure, render_value, span

    rows = []
    for week in range(0, len(answer.mondays), _WEEKS_BETWEEN):
        there = [
            render_value(
                span(one.there_low_m3[week], one.there_high_m3[week], Measure.VOLUME), reader
            )
            for one in answer.classes
        ]
        rows.append((dated(answer.mondays[week], "d MMMM y"), *there))
    yield from screen.table(rows, ("Week of", "Greens there", "Browns there"))
