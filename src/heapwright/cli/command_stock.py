"""The commands `stock`, `stock add` and `stock throw-away`: what is on hand.

Knows how "6 leaf bags oak leaves" becomes a lot and how the list is told. Knows no material.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heapwright.cli import place, screen, stored
from heapwright.cli.options import AsJson, At, GardenPath, Units, group, lists, reader_for
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.quantities import UnitSystem
    from heapwright.quantities.amounts import Amount
    from heapwright.workshop.answers import LogAnswer, StockLine
    from heapwright.workshop.garden import Garden

Three = tuple[float, float, float]
Measured = dict[str, Three]

stock_app = group("List what is on hand; add to it, throw away from it.")


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.add_typer(stock_app, name="stock")


@lists(stock_app)
def list_stock(
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """List the lots on hand, what spoils first at the top."""
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.stock import stock

    with place.opened(garden) as here:
        found = stock(here)
        reader = reader_for(here, units)
        if as_json:
            screen.put_json(to_plain(found, reader))
        else:
            screen.put(_lines(found, reader.units))


@stock_app.command("add")
def add(
    said: Annotated[
        list[str],
        typer.Argument(
            metavar="AMOUNT MATERIAL",
            help='Whole containers and what is in them: "6 leaf bags oak leaves".',
        ),
    ],
    keep_back: Annotated[
        int, typer.Option("--keep-back", metavar="N", help="Containers to leave in reserve.")
    ] = 0,
    weighs: Annotated[
        str | None,
        typer.Option(
            "--weighs",
            metavar="WEIGHT",
            help="What one filled container holds, weighed by you: 9 kg, 20 lb.",
        ),
    ] = None,
    squeeze: Annotated[
        str | None,
        typer.Option(
            "--squeeze",
            metavar="WORD",
            help="A squeezed handful of it: dusty, crumbly, no drops, drops, runs, soaked.",
        ),
    ] = None,
    moisture: Annotated[
        str | None,
        typer.Option("--moisture", metavar="SHARE", help="Water, measured: 62% of wet weight."),
    ] = None,
    nitrogen: Annotated[
        str | None,
        typer.Option("--nitrogen", metavar="SHARE", help="Nitrogen, measured: 2.1% of dry weight."),
    ] = None,
    carbon: Annotated[
        str | None,
        typer.Option("--carbon", metavar="SHARE", help="Carbon, measured: 45% of dry weight."),
    ] = None,
    at: At = None,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Write down some of a material on hand: a lot.

    What you measured yourself goes before the table, for this lot only. Stuff that must not go
    into a heap is refused with the reason and what to do instead.
    """
    from heapwright.cli import people
    from heapwright.workshop.stock import add_lot, own_containers

    with place.opened(garden, make=True) as here:
        reader = reader_for(here, units)
        phrase = " ".join(said)
        amount, _, material = people.amount_of(phrase, own_containers(here.state()), reader.units)
        container, count = _counted(amount, phrase)
        answer = add_lot(
            here,
            material=material,
            container=container,
            count=count,
            fullness=_three(amount.fullness) if amount.fullness_said else "",
            packing=str(amount.packing),
            keep_back=keep_back,
            measured=_measured(reader.units, weighs, squeeze, moisture, nitrogen, carbon),
            at=people.when_at(here, at),
            origin="command",
        )
        _tell(here, answer, reader, as_json)


@stock_app.command("throw-away")
def throw_away(
    lot: Annotated[str, typer.Argument(metavar="LOT", help="The lot's key, as in the list.")],
    count: Annotated[str, typer.Argument(metavar="COUNT", help="How many containers, or all.")],
    why: Annotated[str, typer.Option("--why", metavar="WORDS", help="Why, if you like.")] = "",
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Write down that containers of a lot are gone: thrown or given away."""
    from heapwright.cli import people
    from heapwright.workshop.stock import throw_away as throw

    with place.opened(garden) as here:
        left = here.lot(lot).left
        gone = left if count.strip().lower() == "all" else people.number(count, "Containers")
        answer = throw(here, lot, gone, why=why, origin="command")
        _tell(here, answer, reader_for(here, units), as_json)


def _counted(amount: Amount, phrase: str) -> tuple[str, int]:
    """Return the container and how many of it; stock is kept in whole containers."""
    from heapwright.errors import NotUnderstood, OutOfRange

    if amount.container is None:
        raise NotUnderstood(
            worded('"{phrase}" is a measure', phrase=phrase),
            why="what is on hand is counted in whole containers",
            instead='Say what it is in, such as "2 pails coffee grounds"',
        )
    if amount.count != int(amount.count):
        raise OutOfRange(
            f"{amount.count:g} {amount.container.plural}",
            why="what is on hand is counted in whole containers",
            instead="Enter the part-full one by itself, such as half a pail",
        )
    return amount.container.name, int(amount.count)


def _measured(
    system: UnitSystem,
    weighs: str | None,
    squeeze: str | None,
    moisture: str | None,
    nitrogen: str | None,
    carbon: str | None,
) -> Measured:
    from heapwright.errors import NotUnderstood
    from heapwright.materials.measured import squeeze_moisture
    from heapwright.quantities import parse_mass_kg, parse_share

    if squeeze is not None and moisture is not None:
        raise NotUnderstood(
            "--squeeze and --moisture both tell the water", instead="Give the better known of them"
        )
    found: Measured = {}
    if weighs is not None:
        found["container_mass_kg"] = (parse_mass_kg(weighs, system, what="Weight"),) * 3
    if squeeze is not None:
        found["moisture"] = _three(squeeze_moisture(squeeze))
    of_dry = "it is a share of the dry weight, so it lies between 0 and 100 %"
    if moisture is not None:
        found["moisture"] = (parse_share(moisture),) * 3
    if nitrogen is not None:
        found["nitrogen_dry"] = (parse_share(nitrogen, what="Nitrogen", why=of_dry),) * 3
    if carbon is not None:
        found["carbon_dry"] = (parse_share(carbon, what="Carbon", why=of_dry),) * 3
    return found


def _three(estimate: Any) -> Three:
    return (estimate.low, estimate.typical, estimate.high)


def _tell(garden: Garden, answer: LogAnswer, reader: Any, as_json: bool) -> None:
    from heapwright.workshop.stock import stock

    if as_json:
        screen.put_json(stored.as_plain(answer, reader))
        return
    keys = {entry.body.get("key") or entry.body.get("lot") for entry in answer.entries}
    lines = [line for line in stock(garden, also_empty=True) if line.lot.key in keys]
    screen.put(_lines(lines, reader.units))
    for line in lines:
        screen.put(screen.bullets([*line.cautions, *([line.refused] if line.refused else [])]))
    screen.put([stored.last_line(answer)])


def _lines(found: Any, system: UnitSystem) -> Iterator[str]:
    if not found:
        yield "Nothing is on hand."
        yield '`heapwright stock add "6 leaf bags oak leaves"` writes some down.'
        return
    rows = [_row(line, system) for line in found]
    yield from screen.table(rows, ("On hand", "What", "One weighs", "Moisture", "Keeps", "Lot"))


def _row(line: StockLine, system: UnitSystem) -> tuple[str, ...]:
    from heapwright import quantities as q
    from heapwright.mixing.words import containers

    low, likely, high = line.properties["container_mass_kg"]
    water = line.properties["moisture"]
    reserve = (
        worded(", keep {keep_back}", keep_back=line.lot.keep_back) if line.lot.keep_back else ""
    )
    return (
        containers(line.lot.left, line.lot.container_name) + reserve,
        line.material_name + (" (not as it is)" if line.refused else ""),
        worded("{low} to {high}", low=q.format_mass(low, system), high=q.format_mass(high, system))
        if low != high
        else q.format_mass(likely, system),
        worded(
            "{water} to {water_2}", water=q.format_share(water[0]), water_2=q.format_share(water[2])
        ),
        _keeps(line.spoils_in_days),
        line.lot.key,
    )


def _keeps(days: float | None) -> str:
    if days is None:
        return ""
    if days < 0:
        return "past its time"
    return screen.counted(round(days), "day")
