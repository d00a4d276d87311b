"""The command `setup`: the garden's settings and a person's own containers.

Knows how settings are typed and told. Knows nothing of how they are kept.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, GardenPath, Words, said_only, unit_system
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.quantities import UnitSystem
    from heapwright.workshop.garden import Garden


def register(app: typer.Typer) -> None:
    """Add this module's command."""
    app.command("setup")(setup)


def setup(
    name: Annotated[
        str | None, typer.Option("--name", metavar="NAME", help="The garden's name.")
    ] = None,
    units: Annotated[
        str | None,
        typer.Option("--units", metavar="us|metric", help="Units to read and show from now on."),
    ] = None,
    language: Annotated[
        str | None,
        typer.Option(
            "--language",
            metavar="CODE",
            help="Of answers and pages: en, es or es-419; browser, if each browser is to choose.",
        ),
    ] = None,
    time_zone: Annotated[
        str | None,
        typer.Option("--time-zone", metavar="ZONE", help="Such as America/Phoenix."),
    ] = None,
    climate: Annotated[
        str | None,
        typer.Option(
            "--climate",
            metavar="KEY",
            help="Usual year of weather, from `heapwright weather`.",
        ),
    ] = None,
    hose: Annotated[
        str | None,
        typer.Option("--hose", metavar="FLOW", help='What your hose gives: "5 gal in 40 s".'),
    ] = None,
    probe_depth: Annotated[
        str | None,
        typer.Option(
            "--probe-depth", metavar="LENGTH", help="How deep you put the thermometer: 18 in."
        ),
    ] = None,
    container: Annotated[
        Words,
        typer.Option(
            "--container",
            metavar="NAME=VOLUME",
            help='An own container: "green tub=30 L". May be said again.',
        ),
    ] = None,
    garden: GardenPath = None,
    as_json: AsJson = False,
) -> None:
    """Show the garden's settings, or change those that are said."""
    from heapwright.workshop.plain import to_plain

    with place.opened(garden, make=True) as here:
        _change(here, name, units, language, time_zone, climate, hose, probe_depth)
        _name_containers(here, container or [])
        state = here.state()
        if as_json:
            plain = {"settings": state.settings, "containers": dict(state.containers)}
            screen.put_json(to_plain(plain, here.reader()))
        else:
            screen.put(_setting_lines(here))


def _change(
    garden: Garden,
    name: str | None,
    units: str | None,
    language: str | None,
    time_zone: str | None,
    climate: str | None,
    hose: str | None,
    probe_depth: str | None,
) -> None:
    """Change the settings that were said, in one entry."""
    from heapwright.cli import people
    from heapwright.quantities import parse_length_m
    from heapwright.workshop.setup import settings

    said_units = unit_system(units)
    system = said_units or garden.reader().units
    changes = said_only(
        name=name,
        units=None if said_units is None else str(said_units),
        language="" if language == "browser" else language,
        time_zone=time_zone,
        climate=climate,
        hose_kg_s=None if hose is None else people.hose_kg_s(garden, hose, system),
        probe_depth_m=None
        if probe_depth is None
        else parse_length_m(probe_depth, system, what="Probe depth"),
    )
    if changes:
        settings(garden, origin="command", **changes)


def _name_containers(garden: Garden, said: list[str]) -> None:
    from heapwright.cli import people
    from heapwright.quantities import parse_volume_m3
    from heapwright.workshop.setup import save_container

    system = garden.reader().units
    read = [
        (name, parse_volume_m3(text, system, what=worded("Volume of {name}", name=name)))
        for name, text in people.pairs(said, "NAME=VOLUME")
    ]
    for name, volume in read:
        save_container(garden, name, volume, origin="command")


def _setting_lines(garden: Garden) -> Iterator[str]:
    from heapwright.quantities import format_length, format_volume

    settings = garden.state().settings
    system = garden.reader().units
    hose = settings.hose_kg_s
    yield from screen.table(
        [
            ("Garden", settings.name + (" (invented)" if settings.is_demo else "")),
            ("File", str(garden.path)),
            ("Units", settings.units),
            ("Language", settings.language or "as each browser asks; English here"),
            ("Time zone", settings.time_zone),
            ("Climate", settings.climate or "not chosen: `heapwright weather`"),
            (
                "Hose",
                "not known" if hose is None else _a_minute(hose, system),
            ),
            (
                "Probe",
                worded(
                    "{probe_depth_m} deep",
                    probe_depth_m=format_length(settings.probe_depth_m, system),
                ),
            ),
            *(
                ("Container", f"{name}: {format_volume(volume, system)}")
                for name, volume in garden.state().containers.values()
            ),
        ]
    )


def _a_minute(hose_kg_s: float, system: UnitSystem) -> str:
    from heapwright.quantities import format_water

    return worded("{hose_kg_s} a minute", hose_kg_s=format_water(hose_kg_s * 60.0, system))
