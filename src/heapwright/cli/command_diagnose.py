"""The command `diagnose`: what is most likely wrong with a heap, what to look at, what to do.

Knows how the answer is set on a terminal and how said signs are read. Knows no cause.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, BinSaid, GardenPath, Units, Words, reader_for
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.diagnosis.types import Seen
    from heapwright.sentences import Reader, Sentence
    from heapwright.workshop.diagnose_answer import CauseShown, Diagnosis

_MOST_CAUSES = 5
_BAR_LENGTH = 20


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("diagnose")(diagnose)


def diagnose(
    bin_said: BinSaid,
    smell: Annotated[
        str | None,
        typer.Option("--smell", metavar="WORD", help='earthy, "rotten egg", sour or ammonia.'),
    ] = None,
    pest: Annotated[
        Words,
        typer.Option("--pest", metavar="WORD", help="flies, rats, mice, raccoons, ants; again."),
    ] = None,
    look: Annotated[
        Words,
        typer.Option("--look", metavar="WORDS", help="What you see, such as matted; again."),
    ] = None,
    squeeze: Annotated[
        str | None,
        typer.Option("--squeeze", metavar="WORD", help="dusty, dry, drops or dripping."),
    ] = None,
    not_found: Annotated[
        Words,
        typer.Option("--not", metavar="WORDS", help="Looked for and not found; again."),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Every cause, and all that was weighed.")
    ] = False,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Tell what is most likely wrong with a heap, what to look at next, and what to do about it.

    Nothing is stored. What the journal holds of the last days counts too.
    """
    from heapwright.cli import people
    from heapwright.workshop.diagnose import diagnose as find
    from heapwright.workshop.plain import to_plain

    seen = _seen(smell, squeeze, [*(pest or ()), *(look or ())], list(not_found or ()))
    with place.opened(garden) as here:
        answer = find(here, people.bin_key(here, bin_said), seen)
        reader = reader_for(here, units)
        if as_json:
            screen.put_json(to_plain(answer, reader))
        else:
            screen.put(_lines(answer, reader, everything=everything))


def _seen(smell: str | None, squeeze: str | None, there: list[str], gone: list[str]) -> Seen:
    from heapwright.diagnosis.looks import said

    return said(smell or "", squeeze or "", there, gone)


def _lines(answer: Diagnosis, reader: Reader, *, everything: bool) -> Iterator[str]:
    yield f"{answer.bin_name}: {_text(answer.headline, reader)}"
    if answer.is_danger:  # nothing else is worth reading now
        yield from _remedy(answer, reader)
        return
    yield ""
    shown = answer.causes if everything else answer.causes[:_MOST_CAUSES]
    for one in shown:
        yield from _cause(one, reader)
    if answer.check is not None:
        yield ""
        yield worded("Look next: {ask}", ask=_text(answer.check.ask, reader))
        yield from screen.paragraph(_text(answer.check.why, reader), "  ")
        yield from screen.bullets(
            (
                f"{_text(one.seen, reader)} {_text(one.means, reader)}"
                for one in answer.check.outcomes
            ),
            "  ",
        )
    yield from _remedy(answer, reader)
    if everything:
        yield ""
        yield "Weighed:"
        yield from screen.bullets(_text(one, reader) for one in answer.weighed)
    yield ""
    yield from screen.bullets(_text(one, reader) for one in answer.notes)


def _cause(one: CauseShown, reader: Reader) -> Iterator[str]:
    share = one.probability
    bar = "#" * round(_BAR_LENGTH * share.likely)
    spread = worded("({low:.0f} to {high:.0f} %)", low=100 * share.low, high=100 * share.high)
    yield f"{100 * share.likely:>3.0f} % {bar:<{_BAR_LENGTH}} {_text(one.name, reader)} {spread}"
    if one.because:
        told = " ".join(_text(sentence, reader) for sentence in one.because)
        yield from screen.paragraph(worded("For: {told}", told=told), "      ")


def _remedy(answer: Diagnosis, reader: Reader) -> Iterator[str]:
    remedy = answer.remedy
    yield ""
    first = "Do: " if answer.is_danger or answer.is_sure else "If it is the first: "
    yield from screen.paragraph(first + _text(remedy.headline, reader), "")
    yield from screen.bullets((_text(one, reader) for one in remedy.amounts), "  ")
    expected = [*remedy.expected, *([] if remedy.after is None else [remedy.after.told])]
    if expected:
        yield "Then:"
        yield from screen.bullets((_text(one, reader) for one in expected), "  ")
    if remedy.cautions:
        yield "Mind:"
        yield from screen.bullets((_text(one, reader) for one in remedy.cautions), "  ")


def _text(sentence: Sentence, reader: Reader) -> str:
    from heapwright.sentences import render

    return render(sentence, reader)
