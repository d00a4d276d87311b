"""The command `timeline`: every heap through the weeks, and the bins it lay in.

Knows how the answer is set on a terminal.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, GardenPath, Units, reader_for
from heapwright.wording import worded

if TYPE_CHECKING:
    from datetime import tzinfo

    from heapwright.sentences import Reader
    from heapwright.workshop.timeline import BatchLine, Timeline


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("timeline")(timeline)


def timeline(
    weeks: Annotated[
        int, typer.Option("--weeks", min=1, max=520, help="How many weeks to look back.")
    ] = 26,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Show every heap week by week: which bin it lay in, how hot it was, when it will be ready."""
    from zoneinfo import ZoneInfo

    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.timeline import timeline as timeline_of

    with place.opened(garden) as here:
        answer = timeline_of(here, weeks)
        reader = reader_for(here, units)
        if as_json:
            screen.put_json(to_plain(answer, reader))
        else:
            zone = ZoneInfo(here.state().settings.time_zone)
            screen.put(_lines(answer, reader, zone))


def _lines(answer: Timeline, reader: Reader, zone: tzinfo) -> Iterator[str]:
    from heapwright.sentences import render

    if not answer.batches:
        yield "No heap yet. `heapwright build BIN` says what to put into the first."
        return
    names = {one.key: one.name for one in answer.bins}
    for line in answer.batches:
        yield worded(
            "{name}, built {built_at:%Y-%m-%d} ({key})",
            name=line.name,
            built_at=line.built_at.astimezone(zone),
            key=line.key,
        )
        yield from screen.bullets((render(one, reader) for one in line.told), "  ")
        yield from ("  " + row for row in _table(line, names, reader, zone))
        yield ""
    yield "R: read; ~: nobody read it, the model's likely hottest of the week."
    if answer.earlier:
        yield worded(
            "{counted} left out: look back with --weeks.",
            counted=screen.counted(answer.earlier, "earlier heap"),
        )


def _table(line: BatchLine, names: dict[str, str], reader: Reader, zone: tzinfo) -> Iterator[str]:
    from heapwright.quantities import format_temperature

    def hottest(value: float | None, is_read: bool) -> str:
        if value is None:
            return "-"
        return f"{format_temperature(value, reader.units)} {'R' if is_read else '~'}"

    yield from screen.table(
        [
            (
                f"{piece.since.astimezone(zone):%Y-%m-%d}",
                names[piece.bin_key],
                hottest(piece.hottest_c, piece.is_read),
                "curing" if piece.is_curing else "",
            )
            for piece in line.pieces
        ],
        ("from", "bin", "hottest", ""),
    )
