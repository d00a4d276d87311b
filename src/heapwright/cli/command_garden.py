"""The commands `bins`, `bins save` and `setup`: the bins, own containers and the settings.

Knows how sizes and settings are typed and told. Knows nothing of how they are kept.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, GardenPath, Units, refuse_before_subcommand, unit_system

if TYPE_CHECKING:
    from heapwright.journal.entries import BinState
    from heapwright.quantities import UnitSystem
    from heapwright.workshop.answers import LogAnswer
    from heapwright.workshop.garden import Garden

bins_app = typer.Typer(
    help="List the bins, make one, or alter one.",
    invoke_without_command=True,
    rich_markup_mode=None,
)


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.add_typer(bins_app, name="bins")
    app.command("setup")(setup)


@bins_app.callback()
def bins_root(
    context: typer.Context,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """List the bins, make one, or alter one."""
    if context.invoked_subcommand is None:
        list_bins(garden, units, as_json)
    else:
        refuse_before_subcommand(context)


@bins_app.command("list")
def list_bins(
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """List the bins in their row, with what lies in each."""
    from heapwright.cli.command_today import reader_for
    from heapwright.workshop.plain import to_plain

    with place.opened(garden) as here:
        found = list(here.state().bins.values())
        reader = reader_for(here, units)
        if as_json:
            screen.put_json(to_plain(found, reader))
        else:
            screen.put(_bin_lines(here, found, reader.units))


@bins_app.command("save")
def save(
    name: Annotated[str, typer.Argument(metavar="NAME", help='What you call it: "Left bin".')],
    width: Annotated[
        str | None, typer.Argument(metavar="WIDTH", help="Inner width: 3 ft, 90 cm.")
    ] = None,
    depth: Annotated[
        str | None, typer.Argument(metavar="DEPTH", help="Inner depth from front to back.")
    ] = None,
    height: Annotated[
        str | None, typer.Argument(metavar="HEIGHT", help="How high it can be filled.")
    ] = None,
    wall: Annotated[
        str | None,
        typer.Option(
            "--wall",
            metavar="WORD",
            help="Sides: wire, slats, pallets, boards, blocks, plastic, bales or none.",
        ),
    ] = None,
    cover: Annotated[
        str | None,
        typer.Option("--capped", metavar="WORD", help="On top: brown, tarp, lid or open."),
    ] = None,
    shade: Annotated[
        str | None,
        typer.Option("--shade", metavar="SHARE", help="Share of the sun kept off it: 30%."),
    ] = None,
    order: Annotated[
        int | None,
        typer.Option("--order", metavar="N", help="Its place in the row; the first is 0."),
    ] = None,
    key: Annotated[
        str | None,
        typer.Option(
            "--key",
            metavar="KEY",
            help="Alter, and rename, the bin with this key; or the key of a new one.",
        ),
    ] = None,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Make a bin, or alter one: a bin of this name keeps what is not said anew."""
    from heapwright.cli.command_today import reader_for
    from heapwright.workshop.setup import save_bin

    with place.opened(garden, make=True) as here:
        reader = reader_for(here, units)
        known = _known(here, name, key)
        fields = _fields(known, (width, depth, height), reader.units)
        fields |= _said(wall=wall, order=order, key=key)
        if cover is not None:
            from heapwright.cli.visit import cover as cover_of

            fields["cover"] = cover_of(cover)
        if shade is not None:
            from heapwright.quantities import parse_share

            fields["shade"] = parse_share(shade, what="Shade", why="it is a share of the sun")
        answer = save_bin(here, name=name, origin="command", **fields)
        _tell(here, answer, reader.units, as_json)


def setup(
    name: Annotated[
        str | None, typer.Option("--name", metavar="NAME", help="The garden's name.")
    ] = None,
    units: Annotated[
        str | None,
        typer.Option("--units", metavar="us|metric", help="Units to read and show from now on."),
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
        list[str] | None,
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
        _change(here, name, units, time_zone, climate, hose, probe_depth)
        _name_containers(here, container or [])
        state = here.state()
        if as_json:
            plain = {"settings": state.settings, "containers": dict(state.containers)}
            screen.put_json(to_plain(plain, here.reader()))
        else:
            screen.put(_setting_lines(here))


def _known(garden: Garden, name: str, key: str | None) -> BinState | None:
    bins = garden.state().bins
    if key is not None:
        return bins.get(key)
    plain = name.strip().casefold()
    return next((one for one in bins.values() if one.name.casefold() == plain), None)


def _fields(
    known: BinState | None, sizes: tuple[str | None, ...], system: UnitSystem
) -> dict[str, Any]:
    """Return the bin's size and, for one that is there, what it is now."""
    from heapwright.errors import NotUnderstood
    from heapwright.quantities import parse_length_m

    names = ("width", "depth", "height")
    fields: dict[str, Any] = {}
    if known is not None:
        kept = (*(f"{name}_m" for name in names), "wall", "cover", "shade", "order", "key")
        fields = {name: getattr(known, name) for name in kept}
    for name, said in zip(names, sizes, strict=True):
        if said is not None:
            fields[f"{name}_m"] = parse_length_m(said, system, what=name.capitalize())
        elif known is None:
            raise NotUnderstood(
                f"The {name} of a new bin is missing",
                instead='Write such as `heapwright bins save "Left bin" "3 ft" "3 ft" "3 ft"`',
            )
    return fields


def _said(**values: Any) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value is not None}


def _change(
    garden: Garden,
    name: str | None,
    units: str | None,
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
    changes = _said(
        name=name,
        units=None if said_units is None else str(said_units),
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
        (name, parse_volume_m3(text, system, what=f"Volume of {name}"))
        for name, text in people.pairs(said, "NAME=VOLUME")
    ]
    for name, volume in read:
        save_container(garden, name, volume, origin="command")


def _tell(garden: Garden, answer: LogAnswer, system: UnitSystem, as_json: bool) -> None:
    from heapwright.cli.command_log import undo_command
    from heapwright.workshop.plain import to_plain

    keys = {entry.body["key"] for entry in answer.entries}
    if as_json:
        screen.put_json({**to_plain(answer), "undo": undo_command(answer)})
        return
    found = [one for one in garden.state().bins.values() if one.key in keys]
    screen.put(_bin_lines(garden, found, system))
    screen.put([f"Stored. To take it back: {undo_command(answer)}"])


def _bin_lines(garden: Garden, found: list[BinState], system: UnitSystem) -> Iterator[str]:
    from heapwright.quantities import format_length, format_share

    if not found:
        yield 'No bin yet: `heapwright bins save "Left bin" "3 ft" "3 ft" "3 ft"` makes one.'
        return
    batches = garden.state().batches
    rows = [
        (
            one.key,
            one.name,
            " x ".join(format_length(x, system) for x in (one.width_m, one.depth_m, one.height_m)),
            one.wall,
            one.cover,
            format_share(one.shade),
            batches[one.batch_key].name if one.batch_key else "empty",
        )
        for one in found
    ]
    yield from screen.table(rows, ("Key", "Name", "Size", "Sides", "On top", "Shade", "In it"))


def _a_minute(hose_kg_s: float, system: UnitSystem) -> str:
    from heapwright.quantities import format_water

    return f"{format_water(hose_kg_s * 60.0, system)} a minute"


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
            ("Time zone", settings.time_zone),
            ("Climate", settings.climate or "not chosen: `heapwright weather`"),
            (
                "Hose",
                "not known" if hose is None else _a_minute(hose, system),
            ),
            ("Probe", f"{format_length(settings.probe_depth_m, system)} deep"),
            *(
                ("Container", f"{name}: {format_volume(volume, system)}")
                for name, volume in garden.state().containers.values()
            ),
        ]
    )
