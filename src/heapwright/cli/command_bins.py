"""The commands `bins`, `bins list`, `bins save` and `bins remove`: the bins in their row.

Knows how a bin's sizes are typed and told. Knows nothing of how they are kept.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heapwright.cli import place, screen, stored
from heapwright.cli.options import (
    AsJson,
    BinSaid,
    GardenPath,
    Units,
    group,
    lists,
    reader_for,
    said_only,
)
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.journal.entries import BinState
    from heapwright.quantities import UnitSystem
    from heapwright.workshop.answers import LogAnswer
    from heapwright.workshop.garden import Garden

bins_app = group("List the bins, make one, alter one, or put one out of use.")


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.add_typer(bins_app, name="bins")


@lists(bins_app)
def list_bins(
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """List the bins in their row, with what lies in each."""
    from heapwright.workshop.plain import to_plain

    with place.opened(garden) as here:
        found = list(here.state().bins_in_use.values())
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
    ground: Annotated[
        str | None,
        typer.Option(
            "--on",
            metavar="WORDS",
            help="Stands on: coarse base, soil, slab, grid or closed floor.",
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
    from heapwright.workshop.setup import save_bin

    with place.opened(garden, make=True) as here:
        reader = reader_for(here, units)
        known = _known(here, name, key)
        fields = _fields(known, (width, depth, height), reader.units)
        fields |= said_only(wall=wall, ground=ground, order=order, key=key)
        if cover is not None:
            from heapwright.cli.visit import cover as cover_of

            fields["cover"] = cover_of(cover)
        if shade is not None:
            from heapwright.quantities import parse_share

            fields["shade"] = parse_share(shade, what="Shade", why="it is a share of the sun")
        answer = save_bin(here, name=name, origin="command", **fields)
        _tell(here, answer, reader.units, as_json)


@bins_app.command("remove")
def remove(
    bin_said: BinSaid,
    why: Annotated[str, typer.Option("--why", metavar="WORDS", help="Why, if you like.")] = "",
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Put an empty bin out of use; the journal keeps it and what stood in it.

    A bin with a heap in it stays. `bins save NAME --key KEY` brings one back into use.
    """
    from heapwright.cli import people
    from heapwright.workshop.setup import put_bin_out_of_use

    with place.opened(garden) as here:
        reader = reader_for(here, units)
        key = people.bin_key(here, bin_said)
        answer = put_bin_out_of_use(here, key, origin="command", why=why)
        stored.put(here, answer, reader, as_json=as_json)


def _known(garden: Garden, name: str, key: str | None) -> BinState | None:
    if key is not None:  # one that is out of use too: saved by its key, it is in use again
        return garden.state().bins.get(key)
    bins = garden.state().bins_in_use
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
        kept = [f"{name}_m" for name in names]
        kept += ["wall", "ground", "cover", "shade", "order", "key"]
        fields = {name: getattr(known, name) for name in kept}
    for name, said in zip(names, sizes, strict=True):
        if said is not None:
            fields[f"{name}_m"] = parse_length_m(said, system, what=name.capitalize())
        elif known is None:
            raise NotUnderstood(
                worded("The {name} of a new bin is missing", name=name),
                instead='Write such as `heapwright bins save "Left bin" "3 ft" "3 ft" "3 ft"`',
            )
    return fields


def _tell(garden: Garden, answer: LogAnswer, system: UnitSystem, as_json: bool) -> None:
    keys = {entry.body["key"] for entry in answer.entries}
    if as_json:
        screen.put_json(stored.as_plain(answer))
        return
    found = [one for one in garden.state().bins.values() if one.key in keys]
    screen.put(_bin_lines(garden, found, system))
    screen.put([stored.last_line(answer)])


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
            one.ground,
            format_share(one.shade),
            batches[one.batch_key].name if one.batch_key else "empty",
        )
        for one in found
    ]
    heads = ("Key", "Name", "Size", "Sides", "On top", "Stands on", "Shade", "In it")
    yield from screen.table(rows, heads)
