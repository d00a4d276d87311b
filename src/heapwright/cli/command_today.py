"""The commands `today` and `forecast`: what to do at each bin, and where the heat is going.

Knows how a bin's card and a forecast are set on a terminal. Knows no rule and no model.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, BinSaid, GardenPath, Units, reader_for
from heapwright.wording import dated, joined, worded

if TYPE_CHECKING:
    from heapwright.sentences import Reader
    from heapwright.workshop.answers import BinToday, Forecast, TodayAnswer
    from heapwright.workshop.garden import Garden

MOST_DAYS = 60.0  # beyond, a forecast of a heap is a tale


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("today")(today)
    app.command("forecast")(forecast)


def today(
    bin_said: Annotated[
        str | None,
        typer.Argument(metavar="BIN", show_default=False, help="One bin only: its key or name."),
    ] = None,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Say what to do today at every bin: the job, how much, and why.

    Nothing is changed. The advice rests on what was read and seen, and on the heap model weighed
    by it.
    """
    from heapwright.cli import people
    from heapwright.cli.command_heat import seen_in_short
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.today import bin_today
    from heapwright.workshop.today import today as today_of

    with place.opened(garden) as here:
        reader = reader_for(here, units)
        if bin_said is not None:
            one = bin_today(here, people.bin_key(here, bin_said))
            if as_json:
                screen.put_json(to_plain(one, reader))
            else:
                screen.put(bin_lines(here, one, reader))
                screen.put(seen_in_short(here, one.bin.key, reader))
            return
        answer = today_of(here)
        if as_json:
            screen.put_json(to_plain(answer, reader))
        else:
            screen.put(today_lines(here, answer, reader))
            screen.put(_planned_lines(here, reader))


def _planned_lines(garden: Garden, reader: Reader) -> Iterator[str]:
    """Yield what the year's plan has for the week."""
    from heapwright.sentences import render
    from heapwright.workshop.year_week import planned_near

    planned = planned_near(garden)
    if planned:
        yield "This week by the year's plan:"
        yield from screen.bullets(
            worded("{day}: {job}", day=dated(one.day, "EEE d MMMM"), job=render(one.told, reader))
            for one in planned
        )
        cautions = (caution for one in planned for caution in one.cautions)
        yield from screen.bullets((render(one, reader) for one in cautions), "! ")


def forecast(
    bin_said: BinSaid,
    days: Annotated[
        str, typer.Option("--days", metavar="N", help="How many days to look ahead.")
    ] = "7",
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Show how hot a heap will be, day by day: low, likely and high.

    The temperatures are those where the thermometer's tip sits, at this time of day. One in ten
    is expected below low, one in ten above high.
    """
    from heapwright.cli import curve, people
    from heapwright.workshop.bins import forecast as forecast_of
    from heapwright.workshop.plain import to_plain

    ahead = _days(days)
    with place.opened(garden) as here:
        key = people.bin_key(here, bin_said)
        answer = forecast_of(here, key, ahead)
        reader = reader_for(here, units)
        if as_json:
            plain = {"bin": key, **to_plain(answer, reader)}
            screen.put_json({**plain, "daily": to_plain(curve.daily(answer), reader)})
        else:
            screen.put(_forecast_lines(here, key, answer, reader))


def _days(said: str) -> float:
    from heapwright.errors import OutOfRange
    from heapwright.quantities import parse_number

    number = parse_number(said, what="Days")
    if not 0 < number <= MOST_DAYS:
        raise OutOfRange(
            worded("{number:g} days ahead", number=number),
            why=worded("a forecast reaches from now up to {most_days:g} days", most_days=MOST_DAYS),
            instead="Say such as --days 7",
            kept="",
        )
    return number


def today_lines(garden: Garden, answer: TodayAnswer, reader: Reader) -> Iterator[str]:
    """Yield the whole Today answer in lines."""
    from heapwright.sentences import render

    day = dated(answer.at, "EEEE d MMMM")
    values = {"garden": answer.garden_name, "day": day, "time": f"{answer.at:%H:%M}"}
    if answer.is_demo:
        yield worded("{garden}, {day} {time}  (invented, to look at)", **values)
    else:
        yield worded("{garden}, {day} {time}", **values)
    yield from _weather_lines(answer, reader)
    for one in answer.bins:
        yield ""
        yield from bin_lines(garden, one, reader)
    if not answer.bins:
        yield ""
        yield 'No bin yet: `heapwright bins save "Left bin" "3 ft" "3 ft" "3 ft"` makes one.'
    if answer.notes:
        yield ""
        yield from screen.bullets(render(note, reader) for note in answer.notes)


def _weather_lines(answer: TodayAnswer, reader: Reader) -> Iterator[str]:
    from heapwright.quantities import format_temperature

    if answer.weather is None:
        yield "No weather known for today."
        return
    weather = answer.weather
    low, high = (
        format_temperature(value, reader.units)
        for value in (weather.low_next_day_c, weather.high_next_day_c)
    )
    kind = worded("as in a usual year") if weather.is_typical else worded("for the next day")
    yield from screen.paragraph(
        worded(
            "Air {low} to {high} {kind} ({source}).",
            low=low,
            high=high,
            kind=kind,
            source=weather.source,
        )
    )


def bin_lines(garden: Garden, one: BinToday, reader: Reader) -> Iterator[str]:
    """Yield one bin's card in lines."""
    from heapwright.sentences import render

    advice = one.advice
    yield _heading(one)
    yield from screen.paragraph(render(advice.headline, reader), "  ")
    for label, sentences in (
        ("Why", advice.reasons),
        ("How", advice.amounts),
        ("Then", advice.afterwards),
        ("Next", advice.expected),
        ("Mind", advice.cautions),
    ):
        yield from screen.labelled(label, (render(each, reader) for each in sentences))
    sure = [_sureness(advice.sureness), *(render(each, reader) for each in advice.confidence)]
    yield from screen.labelled("Sure", sure)
    yield from _last_reading(garden, one, reader)
    yield from screen.labelled("Look", (render(each, reader) for each in one.problems))


def _heading(one: BinToday) -> str:
    if one.batch_key is None:
        return worded("{name} ({key}), empty", name=one.bin.name, key=one.bin.key)
    age = screen.counted(round(one.age_days or 0.0), "day")
    name = f"{one.bin.name} ({one.bin.key}): {one.batch_name}"
    return joined((name, age, one.stage or ""), ", ")


def _sureness(sureness: Any) -> str:
    return {
        "seen": worded("seen: a fresh reading or look says so."),
        "likely": worded("likely: older readings and the model agree."),
        "guess": worded("a guess: there is little to go by."),
    }[str(sureness)]


def _last_reading(garden: Garden, one: BinToday, reader: Reader) -> Iterator[str]:
    from heapwright.cli import people
    from heapwright.quantities import format_temperature

    if one.last_reading is None:
        return
    value = format_temperature(one.last_reading.temperature_c, reader.units)
    at = screen.when(one.last_reading.at, people.zone_of(garden), garden.now())
    yield from screen.labelled("Read", [joined((value, at), ", ")])


def _forecast_lines(garden: Garden, key: str, answer: Forecast, reader: Reader) -> Iterator[str]:
    from heapwright.cli import curve, people
    from heapwright.quantities import format_length
    from heapwright.sentences import render

    zone = people.zone_of(garden)
    now = garden.now().astimezone(zone)
    depth = format_length(answer.depth_m, reader.units)
    yield worded(
        "{name}: each day at about {now:%H:%M}, {depth} deep",
        name=garden.bin(key).name,
        now=now,
        depth=depth,
    )
    yield ""
    yield from curve.lines(curve.daily(answer), zone, reader)
    yield ""
    yield from screen.paragraph(render(answer.basis, reader))
    yield from screen.bullets(render(note, reader) for note in answer.notes)
