"""The command `export`: the whole journal out, with its photos or without, or the readings.

Knows that no file is ever written over unasked, and that one is there whole or not at all. Knows no
file form itself.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, BinaryIO

import typer

from heapwright.cli import place, screen
from heapwright.cli.incoming import STANDARD_INPUT
from heapwright.cli.options import AsJson, GardenPath
from heapwright.errors import AlreadyThere, NotUnderstood, ServiceProblem
from heapwright.wording import worded


def export(
    file: Annotated[
        str,
        typer.Argument(metavar="FILE | -", help='Where to; "-" is the screen or a pipe.'),
    ] = STANDARD_INPUT,
    readings_csv: Annotated[
        bool, typer.Option("--readings-csv", help="The readings alone, as CSV for a spreadsheet.")
    ] = False,
    photos: Annotated[
        bool, typer.Option("--photos", help="The journal with its photos, as one zip file.")
    ] = False,
    force: Annotated[
        bool, typer.Option("--force", help="Write over a file that is there already.")
    ] = False,
    garden: GardenPath = None,
    as_json: AsJson = False,
) -> None:
    """Take out the whole journal, with its photos if you like, or the readings as CSV.

    `heapwright import FILE` reads the journal back to the same garden.
    """
    from heapwright.workshop.transfer import export_journal, export_readings_csv

    if photos:
        _export_with_photos(file, readings_csv, force, garden, as_json)
        return
    with place.opened(garden) as here:
        text = export_readings_csv(here) if readings_csv else export_journal(here)
        count = len(here.entries())
    if file == STANDARD_INPUT:
        typer.echo(text.encode("utf-8"), nl=False)
        return
    target = Path(file).expanduser()
    _write(target, text, force)
    if as_json:
        screen.put_json({"file": str(target), "entries_in_journal": count})
    else:
        screen.put([worded("Written: {target}", target=target)])


def _export_with_photos(
    file: str, readings_csv: bool, force: bool, garden: Path | None, as_json: bool
) -> None:
    from heapwright.workshop.transfer import export_with_photos

    if readings_csv:
        raise NotUnderstood("Photos do not go into a table", instead="Say one of the two")
    if file == STANDARD_INPUT:
        raise NotUnderstood(
            "A file with photos is not for the screen", instead="Name a file, such as garden.zip"
        )
    target = Path(file).expanduser()
    with place.opened(garden) as here, _written(target, force) as out:
        count = export_with_photos(here, out)
        entries = len(here.entries())
    if as_json:
        screen.put_json({"file": str(target), "entries_in_journal": entries, "photos": count})
    else:
        counted = screen.counted(count, "photo", "photos")
        screen.put([worded("Written: {target}, {counted}", target=target, counted=counted)])


def _write(target: Path, text: str, force: bool) -> None:
    """Write a text as a new file; see `_written`."""
    with _written(target, force) as out:
        out.write(text.encode("utf-8"))


@contextlib.contextmanager
def _written(target: Path, force: bool) -> Iterator[BinaryIO]:
    """Write a new file whole or not at all; what was there before stays until it is complete."""
    if target.exists() and not force:
        raise AlreadyThere(
            worded("The file {target} is there already", target=target),
            instead="Give another name, or --force to write over it",
            kept="It was left as it is.",
        )
    beside = target.with_name(f".{target.name}.{os.getpid()}")
    try:
        with beside.open("wb") as out:
            yield out
        beside.replace(target)
    except OSError as problem:
        raise ServiceProblem(
            worded(
                "The file {target} could not be written: {strerror}",
                target=target,
                strerror=problem.strerror or problem,
            ),
            instead="Check the folder and the room on the disk",
            kept="The journal is unharmed.",
        ) from problem
    finally:
        with contextlib.suppress(OSError):
            beside.unlink()
