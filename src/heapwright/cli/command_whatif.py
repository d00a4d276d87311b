"""The command `whatif`: what could be done with a heap, and what would come of each.

Knows how the comparison is set on a terminal. Knows no rule and no model.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, BinSaid, GardenPath, Units, reader_for
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.sentences import Reader
    from heapwright.workshop.whatif_answer import WhatIf, WhatIfRow


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("whatif")(whatif)


def whatif(
    bin_said: BinSaid,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Compare what could be done with a heap: leave, wet, stir, move, add, cap and more.

    Each is run on with the same heaps of the fitted model. A day better is a day of waiting, all
    things counted: time, heat, smell, flies, water, work.
    """
    from heapwright.cli import people
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.whatif import what_if_in

    with place.opened(garden) as here:
        key = people.bin_key(here, bin_said)
        answer = what_if_in(here, key)
        reader = reader_for(here, units)
        if as_json:
            screen.put_json({"bin": key, **to_plain(answer, reader)})
        else:
            screen.put(_lines(here.bin(key).name, answer, reader))


def _lines(name: str, answer: WhatIf, reader: Reader) -> Iterator[str]:
    from heapwright.sentences import render

    yield worded("What could be done with the heap in {name}", name=name)
    if answer.stands_before is not None:
        yield from screen.labelled("First", [render(answer.stands_before, reader)])
    yield ""
    for row in answer.rows:
        yield from _row(row, reader)
    yield ""
    yield from screen.labelled("Sure", (render(one, reader) for one in answer.best.confidence))
    yield from screen.bullets(render(note, reader) for note in answer.notes)
    if answer.not_possible:
        yield ""
        yield "Not possible now:"
        yield from screen.bullets(
            f"{screen.told(one.doing)}: {render(one.reason, reader)}" for one in answer.not_possible
        )


def _row(row: WhatIfRow, reader: Reader) -> Iterator[str]:
    from heapwright.quantities import format_share, format_water
    from heapwright.sentences import render

    mark = "> " if row.is_chosen else "  "
    yield from screen.paragraph(f"{mark}{render(row.headline, reader)}")
    told = [
        render(row.gain, reader).removesuffix("."),
        worded("finished in about {likely:.0f} days", likely=row.finished_in_days.likely),
        worded("{likely} hot for three days", likely=format_share(row.hot_share.likely)),
        worded("{work_minutes:.0f} minutes", work_minutes=row.work_minutes),
    ]
    if row.barrows >= 0.5:
        told.append(worded("{barrows:.0f} half-full barrows", barrows=row.barrows))
    if row.water_kg > 0:
        told.append(
            worded("{water_kg} of water", water_kg=format_water(row.water_kg, reader.units))
        )
    yield from screen.paragraph("; ".join(map(screen.told, told)) + ".", "    ")
