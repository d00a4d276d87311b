"""The options that many commands share, so that they read the same everywhere.

Knows their names and words. Knows nothing of single commands.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from heapwright.cli.place import VARIABLE
from heapwright.errors import NotUnderstood
from heapwright.quantities.units import UnitSystem

GardenPath = Annotated[
    Path | None,
    typer.Option(
        "--garden",
        envvar=VARIABLE,
        metavar="PATH",
        show_default=False,
        help="The garden's file; if not given, the one in your data folder.",
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Answer in JSON, for programs.")]
Units = Annotated[
    str | None,
    typer.Option(
        "--units",
        metavar="us|metric",
        show_default=False,
        help="Units to read and show; the garden's own if not given.",
    ),
]
At = Annotated[
    str | None,
    typer.Option(
        "--at",
        metavar="WHEN",
        show_default=False,
        help=(
            "When it was: 7:30, yesterday 18:10, 2 hours ago, 2026-05-03 07:30; in the garden's "
            "time zone. Now, if not given."
        ),
    ),
]


def unit_system(said: str | None) -> UnitSystem | None:
    """Return the units asked for, None when not asked.

    Raises
    ------
    NotUnderstood
        If they are neither us nor metric.

    """
    if said is None:
        return None
    try:
        return UnitSystem(said.strip().lower())
    except ValueError as problem:
        raise NotUnderstood(f'Units "{said}"', instead="Say us or metric") from problem


def refuse_before_subcommand(context: typer.Context) -> None:
    """Refuse options between a group and its command: there they would be passed over unseen.

    Raises
    ------
    NotUnderstood
        If there are any.

    """
    for parameter in context.command.params:
        source = context.get_parameter_source(parameter.name or "")
        if source is not None and source.name == "COMMANDLINE":
            command = f"{context.command_path} {context.invoked_subcommand}"
            raise NotUnderstood(
                f"{parameter.opts[0]} stands before {context.invoked_subcommand}",
                instead=f"Put it behind: `{command} {parameter.opts[0]} ...`",
                kept="Nothing was done.",
            )
