"""Puts the commands together into one program.

Knows which commands there are and in what order the help lists them. Knows nothing of what they
do.
"""

from __future__ import annotations

from typing import Annotated

import typer

from heapwright import __version__
from heapwright.cli import (
    command_arrivals,
    command_beds,
    command_bins,
    command_build,
    command_compare,
    command_diagnose,
    command_files,
    command_finish,
    command_heat,
    command_ledger,
    command_listen,
    command_log,
    command_materials,
    command_mix,
    command_people,
    command_probe,
    command_ready,
    command_schema,
    command_serve,
    command_setup,
    command_simulate,
    command_site,
    command_stock,
    command_story,
    command_taught,
    command_timeline,
    command_today,
    command_validate,
    command_weather,
    command_whatif,
    command_year,
)
from heapwright.cli.calm import CalmGroup

app = typer.Typer(
    name="heapwright",
    cls=CalmGroup,
    help="Hot compost in bins at home: what to put in, what to do today, how much, and why.",
    epilog=(
        "Start with `heapwright demo`, which makes an invented garden to look at. "
        "`heapwright COMMAND --help` tells all about one command."
    ),
    no_args_is_help=False,
    invoke_without_command=True,
    add_completion=False,
    rich_markup_mode=None,  # plain text reads well everywhere and is there at once
    context_settings={"help_option_names": ["-h", "--help"]},
)


@app.callback()
def root(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", help="Tell which version this is.", is_eager=True)
    ] = False,
) -> None:
    """Show the help when no command is given."""
    if version:
        typer.echo(f"heapwright {__version__}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())
        raise typer.Exit


for module in (
    command_today,
    command_year,
    command_timeline,
    command_story,
    command_compare,
    command_taught,
    command_whatif,
    command_heat,
    command_diagnose,
    command_log,
    command_ready,
    command_finish,
    command_build,
    command_mix,
    command_simulate,
    command_schema,
    command_stock,
    command_arrivals,
    command_beds,
    command_ledger,
    command_site,
    command_bins,
    command_setup,
    command_people,
    command_probe,
    command_listen,
    command_materials,
    command_weather,
    command_files,
    command_validate,
    command_serve,
):
    module.register(app)
