"""The commands `weather`, `weather import` and `weather forget`: where the weather comes from.

Knows how climates and own weather files are listed and told. Knows no file form and no weather.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, GardenPath, Units, Words, group, is_alone, reader_for
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.sentences import Reader
    from heapwright.weather_sources.protocol import SeriesSource

LICENCE_NOTE = (
    "The file stays with this garden and is not passed on; whoever made it may set terms for "
    "using it: look at where you got it."
)

weather_app = group("List usual years of weather; import a file of your own.")


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.add_typer(weather_app, name="weather")


@weather_app.callback()
def weather_root(
    context: typer.Context,
    garden: GardenPath = None,
    as_json: AsJson = False,
) -> None:
    """List usual years of weather; import a file of your own."""
    if is_alone(context):
        list_weather(garden, as_json)


@weather_app.command("list")
def list_weather(garden: GardenPath = None, as_json: AsJson = False) -> None:
    """List the usual years that come along, with their licences, and your own weather files."""
    from heapwright.workshop.own_weather import kept_names
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.setup import climate_choices

    with place.opened_if_there(garden) as here:
        chosen = "" if here is None else here.state().settings.climate
        own = [] if here is None else kept_names(here)
    choices = climate_choices()
    if as_json:
        plain = {"chosen": chosen, "climates": choices, "own_files": own}
        screen.put_json(to_plain(plain))
        return
    for climate in choices:
        mark = "  (chosen)" if climate.key == chosen else ""
        screen.put([f"{climate.key}{mark}"])
        screen.put(screen.paragraph(climate.title, "  "))
        screen.put(screen.paragraph(worded("Licence: {licence}", licence=climate.licence), "  "))
    screen.put(["", worded("Own weather files: {own}", own=", ".join(own) or "none")])
    screen.put(["`heapwright setup --climate KEY` chooses a usual year."])


@weather_app.command("import")
def import_weather(
    file: Annotated[
        str,
        typer.Argument(
            metavar="FILE",
            help="EPW, TMY3, hourly or daily CSV, or a table of twelve months.",
        ),
    ],
    zone: Annotated[
        str,
        typer.Option("--zone", metavar="ZONE", help="Time zone of its times, if it says none."),
    ] = "",
    unit: Annotated[
        Words,
        typer.Option(
            "--unit",
            metavar="HEADING=UNIT",
            help="Unit of a column whose heading states none: temp=F. May be said again.",
        ),
    ] = None,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what it holds; keep nothing.")
    ] = False,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Keep a weather file of your own for this garden; gaps and absurd values are told.

    It goes before the usual year wherever it has the hours.
    """
    from heapwright.cli import people
    from heapwright.workshop.own_weather import keep_weather, preview_weather

    path = Path(file).expanduser()
    stated = dict(people.pairs(unit or (), "HEADING=UNIT"))
    with place.opened(garden, make=not dry_run) as here:
        reader = reader_for(here, units)
        if dry_run:
            found = preview_weather(here, path, zone=zone, units=stated)
        else:
            found = keep_weather(here, path, zone=zone, units=stated)
    if as_json:
        screen.put_json(_as_plain(found, path, kept=not dry_run))
    else:
        screen.put(_lines(found, path, reader, kept=not dry_run))


@weather_app.command("forget")
def forget(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Name of the kept file.")],
    garden: GardenPath = None,
    as_json: AsJson = False,
) -> None:
    """Take a kept weather file away; your original stays where it is."""
    from heapwright.workshop.own_weather import forget_weather, kept_names

    with place.opened(garden) as here:
        forget_weather(here, name)
        left = kept_names(here)
    if as_json:
        screen.put_json({"forgotten": name, "own_files": left})
    else:
        screen.put(
            [
                worded(
                    "{name} is no longer used. Own weather files: {left}",
                    name=name,
                    left=", ".join(left) or "none",
                )
            ]
        )


def _as_plain(found: SeriesSource, path: Path, *, kept: bool) -> dict[str, Any]:
    from heapwright.workshop.plain import to_plain

    series = found.whole
    plain = {
        "file": path.name,
        "source": series.source,
        "is_usual_year": found.usual,
        "start": series.start,
        "end": series.end,
        "hours": series.hours,
        "temperature_c": [float(series.temperature_c.min()), float(series.temperature_c.max())],
        "rain_mm": float(series.rain_mm.sum()),
        "notes": series.notes,
        "licence": LICENCE_NOTE,
        "kept": kept,
    }
    return dict(to_plain(plain))


def _lines(found: SeriesSource, path: Path, reader: Reader, *, kept: bool) -> Iterator[str]:
    from heapwright.quantities import format_temperature

    series = found.whole
    low, high = (
        format_temperature(float(value), reader.units)
        for value in (series.temperature_c.min(), series.temperature_c.max())
    )
    kind = "a usual year, laid on any date" if found.usual else "these hours only"
    yield from screen.table(
        [
            ("File", path.name),
            ("Source", series.source),
            (
                "Hours",
                worded(
                    "{hours}, {start:%Y-%m-%d} to {end:%Y-%m-%d}: {kind}",
                    hours=series.hours,
                    start=series.start,
                    end=series.end,
                    kind=kind,
                ),
            ),
            ("Air", worded("{low} to {high}", low=low, high=high)),
        ]
    )
    yield from screen.bullets(series.notes)
    yield from screen.paragraph(LICENCE_NOTE)
    yield "Kept for this garden." if kept else "Nothing was kept (--dry-run)."
