"""The options that many commands share, so that they read the same everywhere.

Knows their names and words. Knows nothing of single commands.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heapwright.cli.place import VARIABLE
from heapwright.errors import NotUnderstood
from heapwright.quantities.units import UnitSystem
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.sentences import Reader
    from heapwright.workshop.garden import Garden

#: What an option holds that may be said several times.
Words = list[str] | None
BinSaid = Annotated[str, typer.Argument(metavar="BIN", help="The bin's key or name.")]
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
_Listing = Callable[[Path | None, str | None, bool], None]
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
        raise NotUnderstood(
            worded('Units "{said}"', said=said), instead="Say us or metric"
        ) from problem


def reader_for(garden: Garden, units: str | None) -> Reader:
    """Return who the answer is for: the garden's own reader, or one with the units asked for."""
    from dataclasses import replace

    system = unit_system(units)
    reader = garden.reader()
    return reader if system is None else replace(reader, units=system)


def said_only(**values: Any) -> dict[str, Any]:
    """Return those of the values that were said."""
    return {name: value for name, value in values.items() if value is not None}


def group(words: str) -> typer.Typer:
    """Return a group of commands that lists when it is called by itself."""
    return typer.Typer(help=words, invoke_without_command=True, rich_markup_mode=None)


def lists(app: typer.Typer) -> Callable[[_Listing], _Listing]:
    """Let a function be the command `list` of a group, and what the group does by itself."""

    def put_in(listing: _Listing) -> _Listing:
        @app.callback()
        def root(
            context: typer.Context,
            garden: GardenPath = None,
            units: Units = None,
            as_json: AsJson = False,
        ) -> None:
            if is_alone(context):
                listing(garden, units, as_json)

        app.command("list")(listing)
        return listing

    return put_in


def is_alone(context: typer.Context) -> bool:
    """Return whether a group was called by itself, without one of its commands.

    Options between a group and its command are refused: they would be passed over unseen.

    Raises
    ------
    NotUnderstood
        If there are any.

    """
    if context.invoked_subcommand is None:
        return True
    for parameter in context.command.params:
        source = context.get_parameter_source(parameter.name or "")
        if source is not None and source.name == "COMMANDLINE":
            command = f"{context.command_path} {context.invoked_subcommand}"
            raise NotUnderstood(
                worded(
                    "{opts} stands before {invoked_subcommand}",
                    opts=parameter.opts[0],
                    invoked_subcommand=context.invoked_subcommand,
                ),
                instead=worded(
                    "Put it behind: `{command} {opts} ...`", command=command, opts=parameter.opts[0]
                ),
                kept="Nothing was done.",
            )
    return False
