"""The command `story`: one heap told from its building to now, or to its end.

Knows how the answer is set on a terminal.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, GardenPath, Units, reader_for
from heapwright.wording import joined, worded

if TYPE_CHECKING:
    from datetime import tzinfo

    from heapwright.advice.types import Interval
    from heapwright.sentences import Reader, Sentence
    from heapwright.workshop.batch_story_answer import BatchStory, HotDays, MixtureShown


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("story")(story)


def story(
    heap: Annotated[
        str, typer.Argument(metavar="HEAP", help="The heap's key or name, or the bin it lies in.")
    ],
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Tell a heap's whole story, used up or not: what went in, how hot, what was done, what came.

    With questions for a class. The page of the same name prints on one sheet.
    """
    from zoneinfo import ZoneInfo

    from heapwright.workshop.batch_story import batch_story
    from heapwright.workshop.plain import to_plain

    with place.opened(garden) as here:
        answer = batch_story(here, heap)
        reader = reader_for(here, units)
        if as_json:
            screen.put_long_json(to_plain(answer, reader))
        else:
            zone = ZoneInfo(here.state().settings.time_zone)
            screen.put(_lines(answer, reader, zone))


def _lines(answer: BatchStory, reader: Reader, zone: tzinfo) -> Iterator[str]:
    from heapwright.sentences import render

    def said(sentences: Iterable[Sentence]) -> list[str]:
        return [render(one, reader) for one in sentences]

    def told(heading: str, texts: list[str]) -> Iterator[str]:
        if texts:
            yield ""
            yield heading
            yield from screen.bullets(texts, "  ")

    yield f"{answer.name}, {answer.garden_name}"
    if answer.is_demo:
        yield "An invented demo garden: nothing here was measured."
    yield from screen.bullets(
        worded("{name} from {since:%Y-%m-%d}", name=name, since=since.astimezone(zone))
        for name, since in answer.bins
    )
    went_in = [*_went_in(answer, reader), *_mixture(answer.mixture, reader)]
    yield from told(worded("What went in:"), went_in)
    yield from told(worded("How hot:"), [*_hot(answer.hot, reader), *_rules(answer, reader)])
    done = [
        f"{one.at.astimezone(zone):%Y-%m-%d} {' '.join(said((one.words, *one.before)))}"
        for one in answer.did
    ]
    yield from told(worded("What was done, and what the log says before it:"), done)
    ready = () if answer.ready is None else (answer.ready.told,)
    gave = worded("What it gave:") if answer.is_over else worded("What it gives:")
    yield from told(gave, said((*answer.given, *ready)))
    yield from told(worded("What was learnt:"), said(answer.learnt))
    yield from told(worded("Questions for a class:"), said(answer.questions))
    yield from told(worded("Mind:"), said((*answer.notes, *answer.cautions)))


def _went_in(answer: BatchStory, reader: Reader) -> Iterator[str]:
    from heapwright.sentences import render_value, water

    for one in answer.went_in:
        some = {"count": one.count, "container": one.container, "material": one.material}
        if one.with_build:
            yield worded("{count:g} × {container}, {material}", **some)
        else:
            yield worded("{count:g} × {container}, {material} (added later)", **some)
    if answer.water_kg > 0:
        yield worded("water {water_kg}", water_kg=render_value(water(answer.water_kg), reader))


def _mixture(mixture: MixtureShown | None, reader: Reader) -> Iterator[str]:
    from heapwright.sentences import Measure, render_value, span

    if mixture is None:
        return

    def told(interval: Interval, measure: Measure) -> str:
        return render_value(span(interval.low, interval.high, measure), reader)

    yield worded("carbon to nitrogen: {ratio}", ratio=told(mixture.c_to_n, Measure.RATIO))
    yield worded("water, of the weight: {share}", share=told(mixture.moisture, Measure.SHARE))
    yield worded("volume, loose: {volume}", volume=told(mixture.volume_m3, Measure.VOLUME))


def _hot(hot: HotDays, reader: Reader) -> Iterator[str]:
    from heapwright.quantities import format_temperature

    limit = format_temperature(hot.limit_c, reader.units)
    yield worded(
        "read at {limit} or more on {seen} of {read} days read, of {whole} in all",
        limit=limit,
        seen=hot.seen,
        read=hot.read,
        whole=hot.whole,
    )
    if hot.modelled is not None:
        yield (
            worded(
                "by the model {low:.1f} to {high:.1f} days where the thermometer stood, likely "
                "{likely:.1f}",
                low=hot.modelled.low,
                high=hot.modelled.high,
                likely=hot.modelled.likely,
            )
        )


def _rules(answer: BatchStory, reader: Reader) -> Iterator[str]:
    from heapwright.sentences import render
    from heapwright.workshop.heat_words import inferred_words, seen_words

    for one in answer.proof.rules:
        if one.rule.is_first:
            seen = render(seen_words(one.rule, one.seen), reader)
            told = worded("{rule}: {seen}", rule=one.rule.name, seen=seen)
            if one.inferred is None:
                yield told
            else:
                inferred = render(inferred_words(one.inferred), reader)
                yield joined((told, worded("By the model: {inferred}", inferred=inferred)))
