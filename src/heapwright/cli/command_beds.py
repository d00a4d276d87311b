"""The commands `beds list`, `add`, `drop`, `spread` and `salts`: where the compost goes.

Knows how they are typed and how the answer is set on a terminal. Knows no depth and no caution.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen, stored
from heapwright.cli.options import AsJson, At, GardenPath, Units, group, lists, reader_for
from heapwright.errors import NotUnderstood
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.sentences import Reader
    from heapwright.workshop.beds_answer import BedLine, Beds

beds_app = group("List the beds and what they get; add, drop one; say what was spread.")
_Bed = Annotated[str, typer.Argument(metavar="BED", help="The bed's key or name.")]


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.add_typer(beds_app, name="beds")


@lists(beds_app)
def list_beds(garden: GardenPath = None, units: Units = None, as_json: AsJson = False) -> None:
    """List the beds: what each wants, by when, what it gets, and what is to be bought in."""
    from heapwright.workshop.beds import beds
    from heapwright.workshop.plain import to_plain

    with place.opened(garden) as here:
        reader, answer = reader_for(here, units), beds(here)
        if as_json:
            screen.put_json(to_plain(answer, reader))
        else:
            screen.put(_lines(answer, reader))


@beds_app.command("add")
def add(
    name: Annotated[str, typer.Argument(metavar="NAME", help='What you call it: "Tomatoes".')],
    use: Annotated[
        str,
        typer.Option(
            "--use", metavar="USE", help="new bed, top-up, mulch, lawn, new lawn or potting mix."
        ),
    ],
    size: Annotated[
        str,
        typer.Option("--size", metavar="SIZE", help='"4 x 8 ft", "3 m2"; for potting mix "40 L".'),
    ],
    due: Annotated[str, typer.Option("--due", metavar="DAY", help="Wanted by, as 2026-05-03.")],
    once: Annotated[bool, typer.Option("--once", help="Only once, not every year.")] = False,
    depth: Annotated[
        str | None,
        typer.Option("--depth", metavar="LENGTH", show_default=False, help="Your own depth."),
    ] = None,
    weight: Annotated[
        int, typer.Option("--weight", min=1, max=3, help="1 can wait, 2 usual, 3 first of all.")
    ] = 2,
    phosphorus: Annotated[
        str, typer.Option("--phosphorus", metavar="WORD", help="By a soil test: low or high.")
    ] = "unknown",
    salt_sensitive: Annotated[
        bool, typer.Option("--salt-sensitive", help="Seedlings or salt-sensitive plants.")
    ] = False,
    eaten_raw: Annotated[
        bool, typer.Option("--eaten-raw", help="Touches the soil or is eaten raw.")
    ] = False,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Put a bed on the list; with the name of one that is there, alter it."""
    from heapwright.cli import people
    from heapwright.quantities import parse_area_m2, parse_length_m
    from heapwright.workshop.beds_log import save_bed

    with place.opened(garden) as here:
        reader = reader_for(here, units)
        is_mix = use == "potting mix"
        there = here.state().year.beds_in_use.values()
        answer = save_bed(
            here,
            name=name,
            use=use,
            due=_day(due),
            area_m2=None if is_mix else parse_area_m2(size, reader.units),
            mix_m3=people.compost_m3(here, size, reader.units) if is_mix else None,
            every_year=not once,
            depth_m=None if depth is None else parse_length_m(depth, reader.units, what="Depth"),
            weight=weight,
            phosphorus=phosphorus,
            salt_sensitive=salt_sensitive,
            raw_harvest=eaten_raw,
            key=next((one.key for one in there if one.name == name), None),
            origin="command",
        )
        stored.put(here, answer, reader, as_json=as_json)


@beds_app.command("drop")
def drop(
    bed: _Bed,
    why: Annotated[str, typer.Option("--why", metavar="WORDS", help="Why, if you like.")] = "",
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Take a bed off the list; what was spread on it stays in the journal."""
    from heapwright.cli import people
    from heapwright.workshop.beds_log import drop_bed

    with place.opened(garden) as here:
        answer = drop_bed(here, people.bed_key(here, bed), origin="command", why=why)
        stored.put(here, answer, reader_for(here, units), as_json=as_json)


@beds_app.command("spread")
def spread(
    bed: _Bed,
    amount: Annotated[str, typer.Argument(metavar="AMOUNT", help="2 wheelbarrows, 3 pails, 40 L.")],
    what: Annotated[
        str,
        typer.Option(
            "--what",
            metavar="WORDS",
            help="own compost (put by), bought compost, manure compost or manure.",
        ),
    ] = "own compost",
    at: At = None,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Say what was spread on a bed; out of a bin: `heapwright log BIN --used 40L --used-on BED`."""
    from heapwright.cli import people
    from heapwright.garden.cautions import spreading_cautions
    from heapwright.sentences import render
    from heapwright.workshop.beds_log import spread_on

    with place.opened(garden) as here:
        reader = reader_for(here, units)
        answer = spread_on(
            here,
            people.bed_key(here, bed),
            people.compost_m3(here, amount, reader.units),
            what,
            at=people.when_at(here, at),
            origin="command",
        )
        stored.put(here, answer, reader, as_json=as_json)
        if not as_json:
            told = [render(one.told, reader) for one in spreading_cautions()]
            screen.put(screen.labelled("Care", told))


@beds_app.command("salts")
def salts(
    conductivity: Annotated[float, typer.Argument(metavar="NUMBER", help="In dS/m or mmho/cm.")],
    extract: Annotated[
        str, typer.Option("--extract", metavar="WORD", help="paste, 1:1, 1:2, 1:5 or unknown.")
    ] = "unknown",
    garden: GardenPath = None,
) -> None:
    """Tell what a laboratory's conductivity of compost means, by its extract."""
    from heapwright.garden.cautions import judge_salts
    from heapwright.sentences import render

    with place.opened(garden) as here:
        screen.put(screen.paragraph(render(judge_salts(conductivity, extract), here.reader())))


def _day(said: str) -> date:
    try:
        return date.fromisoformat(said.strip())
    except ValueError as problem:
        raise NotUnderstood(
            worded('"{text}" is not a day', text=said), instead="Write it like 2026-05-03"
        ) from problem


def _lines(answer: Beds, reader: Reader) -> Iterator[str]:
    from heapwright.sentences import render
    from heapwright.workshop.beds_words import expected_told

    if not answer.lines:
        yield (
            'No bed yet: `heapwright beds add Tomatoes --use top-up --size "4 x 8 ft" '
            "--due 2027-04-15` enters one."
        )
        return
    for line in answer.lines:
        yield from _bed_lines(line, reader)
    expected = map(expected_told, answer.expected)
    yield from screen.bullets(
        render(one, reader) for one in (*answer.told, *expected, *answer.notes)
    )
    yield from screen.paragraph(render(answer.rule, reader))


def _bed_lines(line: BedLine, reader: Reader) -> Iterator[str]:
    from heapwright.sentences import render

    yield worded("{name} ({key}), {use}", name=line.bed.name, key=line.bed.key, use=line.bed.use)
    yield from screen.bullets((render(one, reader) for one in (*line.told, line.how)), "  ")
    yield from screen.labelled("Care", [render(one.told, reader) for one in line.cautions])
    yield ""
