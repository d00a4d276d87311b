"""Brings thermometer logs and whole journals in and out.

Knows how previews and exports reach the journal. Knows no file form (`journal`).
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import BinaryIO

from heapwright.errors import NotUnderstood
from heapwright.journal.csv_readings import BadRow
from heapwright.journal.entries import Entry, EntryKind
from heapwright.journal.fold import fold
from heapwright.journal.photo_zip import MARK, PhotoZip, write_zip
from heapwright.journal.thermometer_csv import ImportPreview, preview
from heapwright.journal.transfer import export_json, read_json, readings_csv
from heapwright.quantities import TemperatureUnit, UnitSystem
from heapwright.wording import worded
from heapwright.workshop.answers import LogAnswer
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log_many


@dataclass(frozen=True, slots=True)
class JournalImported:
    """What became of an exported journal that was read back."""

    answer: LogAnswer
    problems: tuple[str, ...]
    photos: int = 0


def preview_thermometer(
    garden: Garden,
    data: bytes,
    bin_key: str,
    *,
    columns: Mapping[str, str] | None = None,
    default_unit: TemperatureUnit | str | None = None,
    depth_unit: str = "",
    day_first: bool | None = None,
    time_zone: str = "",
) -> ImportPreview:
    """Return what a thermometer's CSV file says; nothing is kept.

    Parameters
    ----------
    garden : Garden
    data : bytes
    bin_key : str
        Whose readings these are where the file does not say.
    columns, default_unit, depth_unit, day_first
        As for `journal.thermometer_csv.preview`.
    time_zone : str
        Where the clock stood; the garden's own if not given.

    Raises
    ------
    NotFound, UnreadableFile
        If the bin is unknown or the file is no CSV.

    """
    garden.bin(bin_key)
    state = garden.state()
    # A log may reach back to a bin out of use; of two with one name the one in use is meant.
    row = sorted(state.bins.values(), key=lambda one: one.in_use)
    names = {one.name: one.key for one in row}
    keys = {key: key for key in state.bins}
    seen = preview(
        data,
        bin_key=bin_key,
        now=garden.now(),
        columns=columns,
        default_unit=default_unit,
        depth_unit=depth_unit,
        day_first=day_first,
        time_zone=time_zone or state.settings.time_zone,
        bins=keys | names,
        known_ids={entry.id for entry in garden.entries()},
    )
    return _with_a_heap(garden, seen)


def _with_a_heap(garden: Garden, seen: ImportPreview) -> ImportPreview:
    """Return the preview with those rows set apart that were read when no heap stood there.

    One such row must not keep the others out: a log often begins before its heap was built.
    """
    told = fold((*garden.entries(), *seen.entries))
    followed = {entry.id for batch in told.batches.values() for entry in batch.entries}
    fits = [row.already_stored or row.entry.id in followed for row in seen.good]
    alone = [
        BadRow(
            row.line,
            worded("{at:%Y-%m-%d %H:%M} UTC", at=row.entry.at),
            "nothing stood in the bin then",
        )
        for row, fit in zip(seen.good, fits, strict=True)
        if not fit
    ]
    good = tuple(row for row, fit in zip(seen.good, fits, strict=True) if fit)
    bad = tuple(sorted((*seen.bad, *alone), key=lambda row: row.line))
    return replace(seen, good=good, bad=bad)


def import_thermometer(garden: Garden, seen: ImportPreview) -> LogAnswer:
    """Store a preview's good readings; those stored already stay once.

    Raises
    ------
    NotUnderstood
        If the preview still asks something.
    OutOfRange
        If nothing lay in the bin when the readings were taken.

    """
    if seen.questions:
        raise NotUnderstood(seen.summary(), instead="Answer that first")
    return log_many(garden, seen.entries)


def export_journal(garden: Garden) -> str:
    """Return the whole journal as text that `import_journal` reads back."""
    return export_json(garden.entries())


def export_readings_csv(garden: Garden) -> str:
    """Return every reading as CSV, in the garden's own unit."""
    us = garden.state().settings.units == UnitSystem.US
    return readings_csv(garden.entries(), TemperatureUnit.F if us else TemperatureUnit.C)


def export_with_photos(garden: Garden, out: BinaryIO) -> int:
    """Write the whole journal with its photos as a zip file; return how many photos there were."""
    here = garden.photos.names()
    wanted = sorted(_named_photos(garden.entries()) & here)
    files = ((name, data) for name in wanted if (data := garden.photos.jpeg(name)) is not None)
    return write_zip(out, export_journal(garden), files)


def import_journal(garden: Garden, data: bytes | str | BinaryIO) -> JournalImported:
    """Store the entries of an exported journal, and its photos if it has them; each once.

    Parameters
    ----------
    garden : Garden
    data : bytes, str or binary file
        JSON, or a zip file with photos.

    Raises
    ------
    UnreadableFile
        If it is no exported journal.

    """
    if isinstance(data, bytes) and data.startswith(MARK):
        data = io.BytesIO(data)
    if not isinstance(data, str | bytes):
        return _import_with_photos(garden, PhotoZip(data))
    read = read_json(data)
    return JournalImported(log_many(garden, read.entries, must_make_sense=False), read.problems)


def _import_with_photos(garden: Garden, package: PhotoZip) -> JournalImported:
    read = read_json(package.journal())
    problems: list[str] = []
    wanted = _named_photos((*read.entries, *garden.entries())) - garden.photos.names()
    count = 0
    # Photos first: an entry that names one is not stored before it.
    for photo in package.photos(wanted, problems):
        garden.photos.take_in(photo, garden.now())
        count += 1
    answer = log_many(garden, read.entries, must_make_sense=False)
    return JournalImported(answer, (*read.problems, *problems), photos=count)


def _named_photos(entries: Iterable[Entry]) -> frozenset[str]:
    return frozenset(
        str(entry.body["sha256"]) for entry in entries if entry.kind is EntryKind.PHOTO
    )
