"""The commands `year`, `year what-if`, `year wishes`, `year away`, `year back`, `year calendar`.

Knows how they are typed and how a year is set on a terminal. Knows nothing of plans.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heapwright.cli import place, screen, stored
from heapwright.cli.options import AsJson, GardenPath, Units, group, is_alone, reader_for
from heapwright.errors import StoreProblem
from heapwright.wording import dated, worded

if TYPE_CHECKING:
    from datetime import date

    from heapwright.sentences import Reader, Sentence
    from heapwright.workshop.year_answer import WhatIf, YearAnswer

year_app = group("Tell whether there is compost when the beds need it, and every job of the year.")


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.add_typer(year_app, name="year")


@year_app.callback()
def year_alone(
    context: typer.Context,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Tell how the year goes."""
    if not is_alone(context):
        return
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.year import year
    from heapwright.workshop.year_reasons import year_reasons

    with place.opened(garden) as here:
        reader, answer = reader_for(here, units), year(here)
        if as_json:
            told = to_plain(answer, reader)
            screen.put_json({**told, "reasons": to_plain(year_reasons(here), reader)})
        else:
            screen.put(_lines(answer, year_reasons(here), reader))


@year_app.command("what-if")
def what_if(garden: GardenPath = None, units: Units = None, as_json: AsJson = False) -> None:
    """Tell what one more bin, shredding or a helper would do to the year."""
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.year_what_if import year_what_if

    with place.opened(garden) as here:
        reader, found = reader_for(here, units), year_what_if(here)
        if as_json:
            screen.put_json(to_plain(found, reader))
        else:
            screen.put(_what_if_lines(found, reader))


@year_app.command("wishes")
def wishes(
    days: Annotated[
        str | None, typer.Option("--days", metavar="DAYS", help='Working days: "sat sun".')
    ] = None,
    loads: Annotated[
        float | None, typer.Option("--loads", help="Barrow loads in a week, at most.")
    ] = None,
    sureness: Annotated[
        float | None, typer.Option("--sure", help="Share of years a stage is over in time: 0.8.")
    ] = None,
    heaps: Annotated[int | None, typer.Option("--heaps", help="Heaps in a year, at most.")] = None,
    gather: Annotated[
        int | None, typer.Option("--gather", help="Weeks over which a bin is filled; 0 at once.")
    ] = None,
    shredding: Annotated[
        bool | None, typer.Option("--shredding/--whole", help="Whether leaves are shredded.")
    ] = None,
    garden: GardenPath = None,
    as_json: AsJson = False,
) -> None:
    """Say how you work through the year; only what you name changes."""
    from heapwright.workshop.year_wishes import save_wishes

    named: dict[str, Any] = {
        "work_days": None if days is None else days.replace(",", " ").lower().split(),
        "loads_per_week": loads,
        "sureness": sureness,
        "batches_most": heaps,
        "gather_weeks": gather,
        "shredding": shredding,
    }
    said = {name: value for name, value in named.items() if value is not None}
    with place.opened(garden) as here:
        answer = save_wishes(here, said, origin="command")
        stored.put(here, answer, reader_for(here, None), as_json=as_json)


@year_app.command("away")
def away(
    first: Annotated[str, typer.Argument(metavar="FROM", help="First day away, as 2026-07-01.")],
    last: Annotated[str, typer.Argument(metavar="TO", help="Last day away.")],
    why: Annotated[str, typer.Option("--why", metavar="WORDS", help="Why.")] = "",
    garden: GardenPath = None,
    as_json: AsJson = False,
) -> None:
    """Say on which days nobody works at the heaps."""
    from heapwright.workshop.year_wishes import go_away

    with place.opened(garden) as here:
        answer = go_away(
            here,
            _day("First day away", first),
            _day("Last day away", last),
            origin="command",
            why=why,
        )
        stored.put(here, answer, reader_for(here, None), as_json=as_json)


@year_app.command("back")
def back(
    key: Annotated[str, typer.Argument(metavar="FROM", help="First day of the days away.")],
    garden: GardenPath = None,
    as_json: AsJson = False,
) -> None:
    """Take days away off the list: you are there after all."""
    from heapwright.workshop.year_wishes import be_there

    with place.opened(garden) as here:
        answer = be_there(here, key, origin="command")
        stored.put(here, answer, reader_for(here, None), as_json=as_json)


@year_app.command("calendar")
def calendar(
    path: Annotated[Path, typer.Argument(metavar="FILE", help="Where to write it: jobs.ics.")],
    garden: GardenPath = None,
    units: Units = None,
) -> None:
    """Write the year's jobs as a calendar file; written again, it brings them up to date."""
    from heapwright.workshop.year import year
    from heapwright.workshop.year_calendar import calendar_file

    with place.opened(garden) as here:
        answer = year(here)
        made = calendar_file(here, answer, reader_for(here, units))
        try:
            path.write_bytes(made)
        except OSError as problem:
            raise StoreProblem(
                worded(
                    "{path} cannot be written: {why}", path=str(path), why=str(problem.strerror)
                ),
                instead="Name a file in a folder of yours",
            ) from problem
        jobs = screen.counted(len(answer.jobs), "job")
        screen.put([worded("{jobs} written to {path}.", jobs=jobs, path=str(path))])


def _day(label: str, said: str) -> date:
    from datetime import date

    from heapwright.journal.forms_year import a_date

    return date.fromisoformat(a_date(label, said))


def _on(day: date) -> str:
    return dated(day, "EEE d MMMM y")


def _lines(answer: YearAnswer, reasons: tuple[Sentence, ...], reader: Reader) -> Iterator[str]:
    from heapwright.sentences import render
    from heapwright.workshop.year_words import loads_shown

    yield render(answer.headline, reader)
    yield render(answer.proof, reader)
    for title, told in (
        ("What no plan can do:", answer.cannot),
        ("Otherwise than before:", answer.changes),
        ("What the plan does not know:", answer.lacking),
    ):
        if told:
            yield ""
            yield title
            yield from screen.bullets((render(one, reader) for one in told), "  ")
    yield ""
    yield "Jobs:"
    yield from screen.table(
        [(_on(job.day), render(job.told, reader), loads_shown(job.loads)) for job in answer.jobs]
    )
    if answer.beds:
        yield ""
        yield "Beds:"
        yield from screen.bullets(
            (
                worded("{bed}: {told}", bed=bed.name, told=render(bed.told, reader))
                for bed in answer.beds
            ),
            "  ",
        )
    if reasons:
        yield ""
        yield "What holds the year back:"
        yield from screen.bullets((render(one, reader) for one in reasons), "  ")
    yield ""
    yield from screen.bullets((render(one, reader) for one in _cautions(answer)), "! ")


def _cautions(answer: YearAnswer) -> list[Any]:
    """Return the cautions of the jobs, each once."""
    found: dict[str, Any] = {}
    for job in answer.jobs:
        for one in job.cautions:
            found.setdefault(one.template, one)
    return list(found.values())


def _what_if_lines(found: tuple[WhatIf, ...], reader: Reader) -> Iterator[str]:
    from heapwright.sentences import render

    for one in found:
        yield worded(
            "{change}: {told}", change=render(one.title, reader), told=render(one.told, reader)
        )
        if one.note is not None:
            yield "  " + render(one.note, reader)
