"""The commands `probe list`, `add`, `move`, `token` and `remove`: thermometers that report.

Knows how they are typed and told. A token is written once, where it is made.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen, stored
from heapwright.cli.options import AsJson, BinSaid, GardenPath, Units, group, lists, reader_for
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.sentences import Reader
    from heapwright.workshop.garden import Garden
    from heapwright.workshop.probes import ProbeShown

probe_app = group("List the thermometers that report by themselves; enter, move, withdraw one.")
_Probe = Annotated[str, typer.Argument(metavar="PROBE", help="The probe's key or name.")]


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.add_typer(probe_app, name="probe")


@lists(probe_app)
def list_probes(garden: GardenPath = None, units: Units = None, as_json: AsJson = False) -> None:
    """List the probes: where each is, its last value, and what is wrong with it."""
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.probes import probes

    with place.opened(garden) as here:
        reader = reader_for(here, units)
        found = probes(here)
        if as_json:
            screen.put_json(to_plain(found, reader))
        else:
            screen.put(_lines(here, found, reader))


@probe_app.command("add")
def add(
    name: Annotated[str, typer.Argument(metavar="NAME", help='What you call it: "Core left".')],
    bin_said: BinSaid,
    depth: Annotated[
        str | None,
        typer.Option("--depth", metavar="LENGTH", show_default=False, help="Of its tip: 18 in."),
    ] = None,
    where: Annotated[
        str,
        typer.Option("--where", metavar="WORD", help="core, edge, top, bottom or side."),
    ] = "core",
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Enter a probe and write its token, this once."""
    from heapwright.cli import people
    from heapwright.workshop.probes import add_probe

    with place.opened(garden) as here:
        reader = reader_for(here, units)
        made = add_probe(
            here,
            name,
            people.bin_key(here, bin_said),
            origin="command",
            depth_m=_depth_m(depth, reader),
            where="" if where == "core" else where,
        )
        if as_json:
            told = stored.as_plain(made.answer, reader)
            screen.put_json({**told, "key": made.key, "token": made.token})
        else:
            screen.put(_token_lines(made.key, made.token))
            screen.put([stored.last_line(made.answer)])


@probe_app.command("move")
def move(
    probe: _Probe,
    bin_said: BinSaid,
    depth: Annotated[
        str | None,
        typer.Option("--depth", metavar="LENGTH", show_default=False, help="Of its tip, if new."),
    ] = None,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Put a probe into another bin, or deeper; what it reports from now on belongs there."""
    from heapwright.cli import people
    from heapwright.workshop.probes import move_probe

    with place.opened(garden) as here:
        reader = reader_for(here, units)
        answer = move_probe(
            here,
            people.probe_key(here, probe),
            people.bin_key(here, bin_said),
            origin="command",
            depth_m=_depth_m(depth, reader),
        )
        stored.put(here, answer, reader, as_json=as_json)


@probe_app.command("token")
def token(probe: _Probe, garden: GardenPath = None, as_json: AsJson = False) -> None:
    """Make a new token for a probe and write it, this once; the old one no longer counts."""
    from heapwright.cli import people
    from heapwright.workshop.probes import renew_token

    with place.opened(garden) as here:
        key = people.probe_key(here, probe)
        made = renew_token(here, key)
        if as_json:
            screen.put_json({"key": key, "token": made})
        else:
            screen.put(_token_lines(key, made))


@probe_app.command("remove")
def remove(
    probe: _Probe,
    why: Annotated[str, typer.Option("--why", metavar="WORDS", help="Why, if you like.")] = "",
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Withdraw a probe and its token; what it reported stays in the journal."""
    from heapwright.cli import people
    from heapwright.workshop.probes import withdraw_probe

    with place.opened(garden) as here:
        key = people.probe_key(here, probe)
        answer = withdraw_probe(here, key, origin="command", why=why)
        stored.put(here, answer, reader_for(here, units), as_json=as_json)


def _depth_m(said: str | None, reader: Reader) -> float | None:
    from heapwright.quantities import parse_length_m

    return None if said is None else parse_length_m(said, reader.units, what="Depth")


def _token_lines(key: str, made: str) -> Iterator[str]:
    yield worded("Key:   {key}", key=key)
    yield worded("Token: {made}", made=made)
    yield "Copy the token now: it is shown this once. Over HTTP the board sends"
    yield worded(
        "  POST /api/probes/{key}/readings with the header  Authorization: Bearer TOKEN", key=key
    )
    yield "and over MQTT, heard by `heapwright listen --broker HOST`, the topic"
    yield worded("  heapwright/{key}/reading", key=key)
    yield "docs/probes.md tells the rest."


def _lines(garden: Garden, found: tuple[ProbeShown, ...], reader: Reader) -> Iterator[str]:
    from heapwright.cli import people
    from heapwright.quantities import format_length, format_temperature
    from heapwright.sentences import render

    if not found:
        yield 'No probe yet: `heapwright probe add "Core left" left-bin` enters one.'
        return
    zone, now = people.zone_of(garden), garden.now()
    rows = [
        (
            one.key,
            one.name,
            one.bin_name,
            format_length(one.depth_m, reader.units),
            "" if one.last_c is None else format_temperature(one.last_c, reader.units),
            "never" if one.last_at is None else screen.when(one.last_at, zone, now),
        )
        for one in found
    ]
    yield from screen.table(rows, ("Key", "Name", "Bin", "Depth", "Last value", "When"))
    for one in found:
        for ill in one.ills:
            words = f"{render(ill.told, reader)} {render(ill.to_do, reader)}"
            yield from screen.paragraph(words, "Look: ")
        if one.last_refusal is not None:
            yield from screen.paragraph(
                worded(
                    "{name} reported, but this was not stored: {why}",
                    name=one.name,
                    why=one.last_refusal.why,
                ),
                "Look: ",
            )
