"""The command `build`: what to put into a bin from what is on hand, and writing down what went in.

Knows the options of building and when a heap is written down. How the sheet is told is in
`sheet`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heapwright.cli import place, screen, stored
from heapwright.cli.options import AsJson, At, BinSaid, GardenPath, Units, Words, reader_for
from heapwright.wording import dated, worded

if TYPE_CHECKING:
    from heapwright.quantities import UnitSystem
    from heapwright.sentences import Reader
    from heapwright.workshop.answers import BuildAnswer, LogAnswer
    from heapwright.workshop.garden import Garden


def register(app: typer.Typer) -> None:
    """Add this module's command."""
    app.command("build")(build)


def build(
    bin_said: BinSaid,
    record: Annotated[
        bool, typer.Option("--record", help="Write down that the heap was built so.")
    ] = False,
    count: Annotated[
        Words,
        typer.Option(
            "--count",
            metavar="LOT=N",
            help=(
                "With --record: containers of a lot that really went in, in place of the sheet's; "
                "0 for none. May be said again."
            ),
        ),
    ] = None,
    water: Annotated[
        str | None,
        typer.Option(
            "--water",
            metavar="AMOUNT",
            help="With --record: water that really went in: 20 gal, 80 L, or 200 s of the hose.",
        ),
    ] = None,
    name: Annotated[
        str | None,
        typer.Option("--name", metavar="NAME", help="With --record: what to call this heap."),
    ] = None,
    capped: Annotated[
        str,
        typer.Option("--capped", metavar="WORD", help="With --record: brown, tarp, lid or open."),
    ] = "brown",
    at: At = None,
    steps: Annotated[
        bool, typer.Option("--steps", help="Give every step of every layer, in order.")
    ] = False,
    keep_back: Annotated[
        Words,
        typer.Option(
            "--keep-back",
            metavar="LOT=N",
            help="Containers of a lot to leave in reserve. May be said again.",
        ),
    ] = None,
    use_conditional: Annotated[
        Words,
        typer.Option(
            "--use-conditional",
            metavar="LOT",
            help="Use this lot too: its condition is met. May be said again.",
        ),
    ] = None,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Choose what to put into a bin, and in which layers.

    Whole containers of what is on hand, with the water for each layer. The recipe takes first
    what spoils first, keeps reserves, and is proven the best for the wishes; if a wish cannot be
    met it says which one and the smallest thing to fetch. Nothing is written down without
    --record.
    """
    from heapwright.cli import people
    from heapwright.workshop.build import plan_build
    from heapwright.workshop.plain import to_plain

    _refuse_without_record(record, count, water, name, at)
    with place.opened(garden) as here:
        reader = reader_for(here, units)
        key = people.bin_key(here, bin_said)
        answer = plan_build(
            here,
            key,
            keep_back=_whole(here, keep_back),
            use_conditional=frozenset(use_conditional or ()),
        )
        logged = None
        if record:
            counts = people.lot_counts(here, count or ())
            given = _water_kg(here, water, answer, reader.units)
            logged = _record(here, key, answer, counts, given, name, at, capped)
        if as_json:
            plain = to_plain(answer, reader)
            screen.put_json({**plain, "recorded": to_plain(logged, reader)})
        else:
            _tell(answer, logged, reader, steps)


def _refuse_without_record(record: bool, count: Words, *others: str | None) -> None:
    from heapwright.errors import NotUnderstood

    if record or not (count or any(other is not None for other in others)):
        return
    raise NotUnderstood(
        "--count, --water, --name and --at tell of a heap that was built",
        instead="Add --record to write it down",
    )


def _whole(garden: Garden, said: Words) -> dict[str, int]:
    from heapwright.cli import people
    from heapwright.errors import OutOfRange

    counts = people.lot_counts(garden, said or ())
    for lot, count in counts.items():
        if count != int(count):
            raise OutOfRange(
                worded("{count:g} containers of {lot}", count=count, lot=lot),
                why="only whole ones can be kept",
            )
    return {lot: int(count) for lot, count in counts.items()}


def _water_kg(garden: Garden, said: str | None, answer: BuildAnswer, system: UnitSystem) -> float:
    from heapwright.cli import people

    return answer.recipe.water_kg if said is None else people.water_kg(garden, said, system)


def _record(
    garden: Garden,
    key: str,
    answer: BuildAnswer,
    said: Mapping[str, float],
    water_kg: float,
    name: str | None,
    at: str | None,
    capped: str,
) -> LogAnswer:
    from heapwright.cli import people, visit
    from heapwright.workshop.build import record_build

    counts = {line.lot.key: float(line.count) for line in answer.recipe.lines} | dict(said)
    moment = people.when_at(garden, at)
    built = (moment or garden.now()).astimezone(people.zone_of(garden))
    return record_build(
        garden,
        key,
        counts,
        water_kg,
        name or screen.told(worded("Heap of {day}", day=dated(built, "d MMMM y"))),
        at=moment,
        cover=visit.cover(capped),
        origin="command",
    )


def _tell(answer: BuildAnswer, logged: Any, reader: Reader, steps: bool) -> None:
    from heapwright.cli import sheet

    screen.put(sheet.lines(answer, reader, every_step=steps))
    if logged is not None:
        screen.put(
            [
                "",
                worded(
                    "Written down. To take it back: {undo_command}",
                    undo_command=stored.undo_command(logged),
                ),
            ]
        )
