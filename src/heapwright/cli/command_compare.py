"""The command `compare`: heaps side by side, and what they say together.

Knows how the answer is set on a terminal.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, GardenPath, Units, reader_for
from heapwright.wording import Figure, counted, worded

if TYPE_CHECKING:
    from datetime import tzinfo

    from heapwright.sentences import Reader
    from heapwright.workshop.compare_answer import Comparison, HeapCompared


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("compare")(compare)


def compare(
    heaps: Annotated[
        list[str] | None,
        typer.Argument(metavar="[HEAP...]", help="Keys or names of heaps; the latest if not said."),
    ] = None,
    as_csv: Annotated[
        bool, typer.Option("--csv", help="The table alone, as CSV for a spreadsheet.")
    ] = False,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Set heaps side by side: recipe, weather, heat, days, yield; and what worked here.

    What went together is told with how often chance would do as much, never as a cause.
    """
    from zoneinfo import ZoneInfo

    from heapwright.workshop.compare import compare as compare_of
    from heapwright.workshop.compare_table import comparison_csv
    from heapwright.workshop.plain import to_plain

    with place.opened(garden) as here:
        answer = compare_of(here, heaps or ())
        reader = reader_for(here, units)
        if as_csv:
            typer.echo(comparison_csv(answer).encode("utf-8"), nl=False)
        elif as_json:
            screen.put_long_json(to_plain(answer, reader))
        else:
            screen.put(_lines(answer, reader, ZoneInfo(here.state().settings.time_zone)))


def _lines(answer: Comparison, reader: Reader, zone: tzinfo) -> Iterator[str]:
    from heapwright.sentences import render

    if not answer.heaps:
        yield "No heap yet. `heapwright build BIN` says what to put into the first."
        return
    if answer.is_demo:
        yield "An invented demo garden: nothing here was measured."
    yield from screen.bullets(render(one, reader) for one in answer.told)
    for heap in answer.heaps:
        yield ""
        yield worded(
            "{name}, built {built_at:%Y-%m-%d} ({key})",
            name=heap.name,
            built_at=heap.built_at.astimezone(zone),
            key=heap.key,
        )
        yield from screen.bullets(_facts(heap, answer.hot_c, reader), "  ")
        yield from screen.bullets((render(one, reader) for one in heap.missing), "  ")
    if answer.usual:
        yield ""
        yield "What is usual here:"
        yield from screen.bullets((render(one.told, reader) for one in answer.usual), "  ")
    if answer.findings:
        yield ""
        yield "What went together, least likely by chance first:"
        for found in answer.findings:
            texts = [render(one, reader) for one in found.told]
            yield from screen.bullets([" ".join(texts)], "  ")
    for heading, sentences in (
        (worded("Questions for a class:"), answer.questions),
        (worded("Mind:"), (*answer.notes, *answer.cautions)),
    ):
        if sentences:
            yield ""
            yield heading
            yield from screen.bullets((render(one, reader) for one in sentences), "  ")


def _facts(heap: HeapCompared, hot_c: float, reader: Reader) -> Iterator[str]:
    from heapwright.sentences import Measure, Value, render, render_value, span
    from heapwright.workshop.compare_answer import Outcome
    from heapwright.workshop.compare_words import bounds_told

    def shown(value: float, measure: Measure) -> str:
        return render_value(Value(value, measure), reader)

    if heap.c_to_n is not None and heap.moisture is not None and heap.volume_m3 is not None:
        yield worded(
            "carbon to nitrogen {ratio}, water {share} of the weight, {volume} loose",
            ratio=shown(heap.c_to_n.likely, Measure.RATIO),
            share=shown(heap.moisture.likely, Measure.SHARE),
            volume=shown(heap.volume_m3.likely, Measure.VOLUME),
        )
    yield worded(
        "{turns}, {water} of water in all",
        turns=counted("{n} turn", "{n} turns", heap.turns),
        water=shown(heap.water_kg, Measure.WATER),
    )
    if heap.weather is not None:
        yield worded("mean air {air}", air=shown(heap.weather.mean_air_c, Measure.TEMPERATURE))
    if heap.days_to_hot is not None:
        yield worded(
            "first read at {hot}: {days}",
            hot=shown(hot_c, Measure.TEMPERATURE),
            days=render(bounds_told(Outcome.DAYS_TO_HOT, heap.days_to_hot), reader),
        )
    if heap.hot.estimated_days is not None:
        told = heap.hot.estimated_days
        yield worded(
            "hot by readings and model: {days}; read so on {seen} of {read} days read",
            days=render_value(span(told.low, told.high, Measure.DAYS), reader),
            seen=Figure(f"{heap.hot.days_seen}"),
            read=Figure(f"{heap.hot.days_read}"),
        )
    if heap.days_to_finished is not None:
        yield worded(
            "finished: {days}",
            days=render(bounds_told(Outcome.DAYS_TO_FINISHED, heap.days_to_finished), reader),
        )
    if heap.yield_m3 is not None and heap.yield_share is not None:
        yield worded(
            "left of it: {volume}, {share}",
            volume=shown(heap.yield_m3, Measure.VOLUME),
            share=shown(heap.yield_share, Measure.SHARE),
        )
