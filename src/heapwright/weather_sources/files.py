"""Reads a weather file from the disk: tells its form by looking, then hands the text to a reader.

Knows paths, sizes and the order in which forms are tried. The forms themselves are read in the
floor below; nothing here knows what a column means.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from heapwright.errors import NotFound, UnreadableFile
from heapwright.weather.checks import series_from_hours
from heapwright.weather.columns import ColumnPlan, read_days, read_hours, split_table, time_texts
from heapwright.weather.days import hours_from_days
from heapwright.weather.headings import is_daily, plan_from_header, with_zone
from heapwright.weather.monthly_files import is_monthly, read_monthly
from heapwright.weather.normals import days_from_normals
from heapwright.weather.raw import Place, RawHours
from heapwright.weather.stamps import months_of_several_years, without_year
from heapwright.weather.text import text_of
from heapwright.weather.typical_year_files import is_epw, is_tmy3, read_epw, read_tmy3
from heapwright.weather_sources.protocol import SeriesSource
from heapwright.wording import worded

#: A year of hours in the widest form is under 2 MB; ten years in the plainest under 20.
LARGEST_BYTES = 60_000_000


@dataclass(frozen=True, slots=True)
class FileHints:
    """What a person says about a file that it does not say itself.

    Attributes
    ----------
    place : Place, optional
        Where; needed if the file has no sun.
    zone : str
        Zone of its times.
    units : mapping of str to str
        Units of headings that state none.
    plan : ColumnPlan, optional
        Which column is what; then nothing is worked out from the header.
    title : str
        Words for the source; the file's name otherwise.
    typical : bool, optional
        Whether its years mean nothing.

    """

    place: Place | None = None
    zone: str = ""
    units: Mapping[str, str] = field(default_factory=dict)
    plan: ColumnPlan | None = None
    title: str = ""
    typical: bool | None = None


def _bytes_of(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if path.is_dir():
            raise UnreadableFile(
                worded('"{name}" is a folder', name=path.name), instead="Name the file in it"
            )
        if size > LARGEST_BYTES:
            raise UnreadableFile(
                worded('"{name}" has {size:,.0f} MB', name=path.name, size=size / 1000000.0),
                why=f"More than {LARGEST_BYTES / 1e6:.0f} MB is no weather file for one garden",
                instead="Cut it to the years and the place you need",
            )
        return path.read_bytes()
    except FileNotFoundError as problem:
        raise NotFound(
            worded('There is no file "{name}"', name=path.name), instead="Check its name and folder"
        ) from problem
    except OSError as problem:
        raise UnreadableFile(
            worded(
                '"{name}" could not be read: {strerror}',
                name=path.name,
                strerror=problem.strerror or problem,
            ),
            instead="Check that you may read it",
        ) from problem


def _plan_of(header: Sequence[str], rows: Sequence[Sequence[str]], hints: FileHints) -> ColumnPlan:
    plan = plan_from_header(header, zone=hints.zone, units=hints.units)
    times = time_texts(header, rows, plan)
    typical = hints.typical
    if typical is None:
        typical = without_year(times) or months_of_several_years(times)
    return replace(with_zone(plan, times), typical=typical)


def _read_table(text: str, title: str, hints: FileHints) -> RawHours:
    header, rows, _ = split_table(text)
    if is_monthly(header, rows):
        normals = read_monthly(text, units=hints.units)
        return hours_from_days(days_from_normals(normals, source=title, place=hints.place))
    plan = hints.plan or _plan_of(header, rows, hints)
    if is_daily(plan):
        return hours_from_days(read_days(text, plan, source=title, place=hints.place))
    return read_hours(text, plan, source=title, place=hints.place)


def read_text(text: str, *, name: str, hints: FileHints) -> SeriesSource:
    """Return the weather in a text, whatever its form.

    Parameters
    ----------
    text : str
        The file.
    name : str
        Its name, for the person.
    hints : FileHints
        What the person says of it.

    Raises
    ------
    UnreadableFile, WeatherProblem
        If it is no weather, or something must be said first (a unit, a zone, a place).

    """
    title = hints.title or name
    if is_epw(text):
        reading = read_epw(text, typical=hints.typical)
    elif is_tmy3(text):
        reading = read_tmy3(text)
    else:
        reading = _read_table(text, title, hints)
    reading = replace(
        reading, place=hints.place or reading.place, source=hints.title or reading.source
    )
    return SeriesSource(series_from_hours(reading), reading.typical)


def file_source(path: str | os.PathLike[str], hints: FileHints | None = None) -> SeriesSource:
    """Return a weather file as a source: EPW, TMY3, hourly, daily or monthly table.

    Parameters
    ----------
    path : path
        The file.
    hints : FileHints, optional
        What the file does not say itself.

    Returns
    -------
    SeriesSource
        Its `whole` is the checked series; the notes say what was mended.

    Raises
    ------
    NotFound, UnreadableFile, WeatherProblem
        Each with what would be right.

    """
    path = Path(path)
    text, said = text_of(_bytes_of(path))
    found = read_text(text, name=path.name, hints=hints or FileHints())
    return replace(found, whole=replace(found.whole, notes=said + found.whole.notes))
