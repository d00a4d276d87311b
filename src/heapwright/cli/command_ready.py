"""The command `ready`: whether a heap is finished, for what, and how each test is done.

Knows how the answer and a guide are set on a terminal. Knows no limit of a test.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, BinSaid, GardenPath, Units, reader_for
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.finish.types import Guide, Judged
    from heapwright.sentences import Reader, Sentence
    from heapwright.workshop.garden import Garden
    from heapwright.workshop.ready_answer import Ready

READINESS = {"ready": "yes", "not yet": "not yet", "untold": "not known"}


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("ready")(ready)


def ready(
    bin_said: BinSaid,
    guides: Annotated[
        bool, typer.Option("--guides", help="Every test too, step by step, with its sources.")
    ] = False,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Tell whether a heap is finished, for what, what to test next, and when it may be ready.

    A missing test never counts in favour. Ready means that plants stand it; it is no proof of
    hygiene.
    """
    from heapwright.cli import people
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.ready import ready as ready_of

    with place.opened(garden) as here:
        key = people.bin_key(here, bin_said)
        answer = ready_of(here, key)
        reader = reader_for(here, units)
        if as_json:
            screen.put_json(to_plain(answer, reader))
        else:
            screen.put(_lines(here, answer, reader, guides=guides))


def guide_lines(guide: Guide) -> Iterator[str]:
    """Yield how a test is done, with its cautions and sources."""
    from heapwright.sources import describe
    from heapwright.workshop.ready_words import time_words

    yield f"{screen.told(guide.name)} ({guide.procedure})"
    yield from screen.labelled("For", [guide.tells])
    yield from screen.labelled("Passes", [guide.passes])
    yield from screen.labelled("Time", [time_words(guide)])
    yield from screen.labelled("Need", guide.needs)
    steps = [f"{number}. {screen.told(step)}" for number, step in enumerate(guide.steps, start=1)]
    yield from screen.labelled("Do", steps)
    yield from screen.labelled("Mind", guide.cautions)
    doubt = "" if guide.evidence.is_fact else f" ({guide.evidence})"
    yield from screen.labelled("Source", [f"{describe(guide.source)}: {guide.place}{doubt}"])
    if guide.note:
        yield from screen.labelled("", [guide.note])


def _lines(here: Garden, answer: Ready, reader: Reader, *, guides: bool) -> Iterator[str]:
    stage = screen.told(answer.stage)
    yield f"{here.bin(answer.bin_key).name}: {answer.batch_name}, {stage}"
    yield from screen.paragraph(_text(answer.headline, reader), "  ")
    yield from screen.labelled("Why", (_text(one, reader) for one in answer.stage_told))
    for state in answer.uses:
        against = " ".join(_text(one, reader) for one in state.against)
        name, ready = screen.told(state.use.name), screen.told(READINESS[state.readiness])
        told = f"{name}: {ready}. {against or screen.told(state.use.how) + '.'}"
        yield from screen.bullets([told], "  ")
    yield ""
    yield from _tests(here, answer, reader)
    yield from _ahead(answer, reader)
    yield ""
    yield "Mind:"
    yield from screen.bullets(_text(one, reader) for one in answer.cautions)
    if guides:
        for guide in answer.guides:
            yield ""
            yield from guide_lines(guide)


def _tests(here: Garden, answer: Ready, reader: Reader) -> Iterator[str]:
    from heapwright.cli import people
    from heapwright.finish.guides import load_guides

    zone, now = people.zone_of(here), here.now()
    names = load_guides()
    for one in answer.done:
        when = screen.told(screen.when(one.at, zone, now))
        if not one.counts:
            stale = worded("(before something fresh came in: does not count)")
            when = f"{when} {screen.told(stale)}"
        name = screen.told(names[one.judged.procedure].name)
        yield from screen.labelled("Tested", [f"{name}, {when}: {_judged(one.judged, reader)}"])
    yield from screen.labelled(
        "Log", [worded("Reheating: {reheating}", reheating=_judged(answer.reheating, reader))]
    )
    yield from screen.labelled("Note", (_text(one, reader) for one in answer.remarks))
    if answer.following is not None:
        yield from screen.labelled("Next", _next_lines(answer))


def _next_lines(answer: Ready) -> Iterator[str]:
    from heapwright.finish.types import Procedure
    from heapwright.workshop.ready_words import time_words

    guide = answer.following
    if guide is None:
        return
    name, tells = screen.told(guide.name), screen.told(guide.tells)
    yield f"{name}. {tells} {screen.told(time_words(guide))}"
    yield from guide.cautions
    if guide.procedure is not Procedure.REHEATING:
        yield worded(
            "`heapwright test {bin_key} {procedure}` tells how.",
            bin_key=answer.bin_key,
            procedure=guide.procedure,
        )


def _ahead(answer: Ready, reader: Reader) -> Iterator[str]:
    from heapwright.workshop.ready_words import date_words

    if answer.date is not None:
        when = [_text(answer.date.told, reader), *map(screen.told, date_words(answer.date))]
        yield from screen.labelled("When", [" ".join(when)])
        told = (answer.date.kept_well, *answer.date.basis)
        yield from screen.labelled("", (_text(one, reader) for one in told if one is not None))
    if answer.expected is not None:
        yield from screen.labelled("Gives", (_text(one, reader) for one in answer.expected.told))
        yield from screen.labelled("", (_text(one, reader) for one in answer.expected.basis))
    yield from screen.labelled("Look", (_text(one, reader) for one in answer.notes))


def _judged(judged: Judged, reader: Reader) -> str:
    notes = "".join(f" {_text(one, reader)}" for one in judged.notes)
    return f"{screen.told(judged.verdict)}. {_text(judged.reason, reader)}{notes}"


def _text(sentence: Sentence, reader: Reader) -> str:
    from heapwright.sentences import render

    return render(sentence, reader)
