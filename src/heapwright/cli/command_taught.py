"""The command `taught`: what earlier heaps of the garden taught about the one in a bin.

Knows how the answer is set on a terminal.
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
    from heapwright.workshop.taught import TaughtAnswer


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("taught")(taught)


def taught(
    bin_said: BinSaid,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Tell what earlier heaps taught the model about the place, the hand and the heap in a bin.

    Only what was read before this heap was built counts; its own readings go before it.
    """
    from heapwright.cli import people
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.taught import taught as taught_of

    with place.opened(garden) as here:
        key = people.bin_key(here, bin_said)
        answer = taught_of(here, key)
        reader = reader_for(here, units)
        if as_json:
            screen.put_json({"bin": key, "taught": to_plain(answer, reader)})
        else:
            screen.put(_lines(here.bin(key).name, answer, reader))


def _lines(name: str, answer: TaughtAnswer | None, reader: Reader) -> Iterator[str]:
    from heapwright.sentences import render

    yield worded("What earlier heaps taught about the one in {name}", name=name)
    yield ""
    if answer is None:
        yield (
            "Nothing yet: no heap built before it had been read five times by then. What is read "
            "of this one will teach the next."
        )
        return
    yield render(answer.basis, reader)
    told = [render(one, reader) for one in answer.lessons]
    yield from screen.bullets(told or ["All was about as is usual."], "  ")
    yield render(answer.limits, reader)
