"""The command `simulate`: how a heap told in a file would go.

Knows how a scenario comes in and how its answer goes out. What is said in words stands in
`simulate_words`. Knows no heap.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.incoming import STANDARD_INPUT, read_text
from heapwright.cli.options import AsJson, GardenPath, Units, unit_system

if TYPE_CHECKING:
    from heapwright.quantities import UnitSystem
    from heapwright.workshop.scenario.types import Asker


def register(app: typer.Typer) -> None:
    """Add this module's command."""
    app.command("simulate")(simulate)


def simulate(
    file: Annotated[
        str,
        typer.Argument(
            metavar="FILE | -",
            help='A JSON file with bin, fill, weather and actions; "-" reads standard input.',
        ),
    ],
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Tell how a heap would go, hour by hour, by the heap model.

    The file tells the bin, what goes in, the weather and what is done to it; `heapwright schema
    simulate` describes it. JSON answers are in SI units. Nothing is stored.
    """
    from heapwright.sentences import Reader
    from heapwright.workshop.simulate import simulate_document

    text = read_text(file)
    folder = Path() if file == STANDARD_INPUT else Path(file).expanduser().parent
    asker, system = _asker(garden, units, folder)
    answer = simulate_document(text, asker)
    reader = Reader(units=system)
    if as_json:
        from heapwright.workshop.simulation_plain import simulation_plain

        screen.put_long_json(simulation_plain(answer, reader))
    else:
        from heapwright.cli.simulate_words import lines

        screen.put(lines(answer, reader))


def _asker(garden: Path | None, units: str | None, folder: Path) -> tuple[Asker, UnitSystem]:
    """Return whose words the scenario is in, and the units to answer in."""
    from heapwright.quantities import UnitSystem
    from heapwright.workshop.scenario.types import Asker

    said = unit_system(units)
    with place.opened_if_there(garden) as here:
        if here is None:  # the journal need not even be loaded
            system = said or UnitSystem.US
            return Asker(system=system, folder=folder), system
        from heapwright.workshop.stock import own_containers

        system = said or here.reader().units
        own = tuple(own_containers(here.state()))
    return Asker(own_containers=own, system=system, folder=folder), system
