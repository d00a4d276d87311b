"""The command `schema`: how a file for a command must look, for programs that write or read one.

Knows which commands read a file in JSON and where their schemas stand. Knows no field.
"""

from __future__ import annotations

from typing import Annotated, Any

import typer

from heapwright.cli import screen
from heapwright.errors import NotUnderstood
from heapwright.wording import worded

OF_WHAT = ("mix", "simulate")


def register(app: typer.Typer) -> None:
    """Add this module's command."""
    app.command("schema")(schema)


def schema(
    of_what: Annotated[
        str, typer.Argument(metavar="mix | simulate", help="Which command's file.")
    ] = "mix",
    output: Annotated[
        bool,
        typer.Option("--output", help="The schema of what `simulate --json` answers instead."),
    ] = False,
) -> None:
    """Print the JSON Schema of a file for `mix` or `simulate`."""
    screen.put_json(_schema(of_what.strip().lower(), output))


def _schema(of_what: str, output: bool) -> dict[str, Any]:
    if of_what not in OF_WHAT:
        raise NotUnderstood(
            worded('No schema is kept of "{of_what}"', of_what=of_what),
            instead=worded("Say one of: {of_what}", of_what=", ".join(OF_WHAT)),
            kept="Nothing was done.",
        )
    if of_what == "mix" and output:
        raise NotUnderstood(
            "The answer of `mix` has no schema",
            why="its few fields are told in docs/how-to.md",
            instead="`heapwright schema simulate --output` is there",
            kept="Nothing was done.",
        )
    if of_what == "mix":
        from heapwright.cli.mix_schema import MIX

        return MIX
    if output:
        from heapwright.workshop.simulation_plain import simulation_schema

        return simulation_schema()
    from heapwright.workshop.scenario.form import scenario_schema

    return scenario_schema()
