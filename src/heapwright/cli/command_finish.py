"""The commands `test` and `screen`: the result of a finish test, and what a sieve kept back.

Knows the options and how the outcome is told. How words become numbers is in
`workshop.finish_log`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen, stored
from heapwright.cli.command_ready import guide_lines
from heapwright.cli.options import AsJson, At, BinSaid, GardenPath, Units, reader_for
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.finish.types import Procedure
    from heapwright.sentences import Reader
    from heapwright.workshop.garden import Garden

Said = str | None


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("test")(write_test)
    app.command("screen")(write_screening)


def write_test(
    bin_said: BinSaid,
    procedure: Annotated[
        str,
        typer.Argument(
            metavar="TEST",
            help="bag, look, radish-pot, jar, germination, self-heating or bioassay.",
        ),
    ],
    days: Annotated[Said, typer.Option("--days", metavar="N", help="How long it ran.")] = None,
    smell: Annotated[
        Said,
        typer.Option(
            "--smell",
            metavar="WORD",
            help='bag, jar: earthy, sour, "rotten egg" or ammonia.',
        ),
    ] = None,
    sown: Annotated[Said, typer.Option("--sown", metavar="N", help="Seeds sown in it.")] = None,
    up: Annotated[
        Said, typer.Option("--up", metavar="N", help="radish-pot: seeds up and growing.")
    ] = None,
    sprouted: Annotated[
        Said, typer.Option("--sprouted", metavar="N", help="germination: seeds sprouted.")
    ] = None,
    root: Annotated[
        Said, typer.Option("--root", metavar="LENGTH", help="germination: mean root length.")
    ] = None,
    control_sown: Annotated[
        Said, typer.Option("--control-sown", metavar="N", help="Seeds in clean mix, or in water.")
    ] = None,
    control_up: Annotated[
        Said, typer.Option("--control-up", metavar="N", help="radish-pot: up in clean mix.")
    ] = None,
    control_sprouted: Annotated[
        Said,
        typer.Option("--control-sprouted", metavar="N", help="germination: sprouted in water."),
    ] = None,
    control_root: Annotated[
        Said,
        typer.Option("--control-root", metavar="LENGTH", help="germination: root in water."),
    ] = None,
    highest: Annotated[
        Said,
        typer.Option("--highest", metavar="TEMPERATURE", help="self-heating: most in the flask."),
    ] = None,
    air: Annotated[
        Said, typer.Option("--air", metavar="TEMPERATURE", help="self-heating: of the room.")
    ] = None,
    dark: Annotated[Said, typer.Option("--dark", metavar="yes|no", help="look: dark?")] = None,
    crumbly: Annotated[
        Said, typer.Option("--crumbly", metavar="yes|no", help="look: crumbly?")
    ] = None,
    food: Annotated[
        Said, typer.Option("--food", metavar="yes|no", help="look: can food be made out?")
    ] = None,
    left: Annotated[
        Said,
        typer.Option("--left", metavar="SHARE", help="look: share of the first volume left: 33%."),
    ] = None,
    pots: Annotated[
        Said, typer.Option("--pots", metavar="N", help="bioassay: pots with compost.")
    ] = None,
    hurt: Annotated[
        Said, typer.Option("--hurt", metavar="N", help="bioassay: those with cupped leaves.")
    ] = None,
    control_pots: Annotated[
        Said, typer.Option("--control-pots", metavar="N", help="bioassay: clean pots.")
    ] = None,
    control_hurt: Annotated[
        Said,
        typer.Option(
            "--control-hurt", metavar="N", help="bioassay: clean ones with cupped leaves."
        ),
    ] = None,
    note: Annotated[Said, typer.Option("--note", metavar="WORDS", help="In your words.")] = None,
    at: At = None,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Write down the result of a test of finished compost, or tell how it is done.

    Without a result it tells what you need, step by step, with cautions and sources.
    """
    said = {
        "days": days,
        "smell": smell,
        "sown": sown,
        "up": up,
        "sprouted": sprouted,
        "root_m": root,
        "control_sown": control_sown,
        "control_up": control_up,
        "control_sprouted": control_sprouted,
        "control_root_m": control_root,
        "highest_c": highest,
        "air_c": air,
        "dark": dark,
        "crumbly": crumbly,
        "food_seen": food,
        "left_share": left,
        "pots": pots,
        "pots_hurt": hurt,
        "control_pots": control_pots,
        "control_pots_hurt": control_hurt,
    }
    told = {name: text for name, text in said.items() if text is not None}
    with place.opened(garden) as here:
        reader = reader_for(here, units)
        if told or note:
            _record(here, bin_said, procedure, told, note, at, reader, as_json=as_json)
        else:
            _explain(procedure, reader, as_json=as_json)


def write_screening(
    bin_said: BinSaid,
    through: Annotated[
        str, typer.Option("--through", metavar="AMOUNT", help="What went through: 3 pails, 60 L.")
    ] = "",
    leftovers: Annotated[
        str,
        typer.Option(
            "--leftovers",
            metavar="AMOUNT",
            help="What was kept back, in whole containers: 1 pail. It becomes a lot.",
        ),
    ] = "",
    mesh: Annotated[
        str, typer.Option("--mesh", metavar="LENGTH", help="Mesh of the sieve: 1/2 in, 10 mm.")
    ] = "",
    at: At = None,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Write down that a heap was screened; what was too coarse goes into the next heap."""
    from heapwright.cli import people
    from heapwright.workshop.finish_log import record_screening

    with place.opened(garden) as here:
        reader = reader_for(here, units)
        answer = record_screening(
            here,
            people.bin_key(here, bin_said),
            through=through,
            leftovers=leftovers,
            mesh=mesh,
            at=people.when_at(here, at),
            origin="command",
        )
        stored.put(here, answer, reader, as_json=as_json)


def _procedure(said: str) -> Procedure:
    from heapwright.errors import NotUnderstood
    from heapwright.finish.types import RECORDED, Procedure

    plain = said.strip().lower().replace(" ", "-")
    if plain == Procedure.REHEATING:
        raise NotUnderstood(
            "Reheating is read from the log",
            instead="Log the turn, a squeeze and readings; `heapwright ready BIN` judges them",
        )
    if plain not in RECORDED:
        raise NotUnderstood(
            worded('No test is called "{said}"', said=said),
            instead=worded("There are: {recorded}", recorded=", ".join(RECORDED)),
        )
    return Procedure(plain)


def _record(
    here: Garden,
    bin_said: str,
    procedure_said: str,
    told: dict[str, str],
    note: str | None,
    at: str | None,
    reader: Reader,
    *,
    as_json: bool,
) -> None:
    from heapwright.cli import people
    from heapwright.workshop.finish_log import reader_of, record_test

    procedure = _procedure(procedure_said)
    numbers = {name: reader_of(name, reader.units)(text) for name, text in told.items()}
    key = people.bin_key(here, bin_said)
    when = people.when_at(here, at)
    said = numbers | ({"note": note} if note else {})
    answer = record_test(here, key, procedure, said, at=when, origin="command")
    stored.put(here, answer, reader, as_json=as_json)
    if not as_json:
        screen.put([worded("`heapwright ready {key}` tells what it is ready for now.", key=key)])


def _explain(procedure_said: str, reader: Reader, *, as_json: bool) -> None:
    from heapwright.finish.guides import load_guides
    from heapwright.workshop.plain import to_plain

    guide = load_guides()[_procedure(procedure_said)]
    if as_json:
        screen.put_json(to_plain(guide, reader))
    else:
        screen.put(guide_lines(guide))
