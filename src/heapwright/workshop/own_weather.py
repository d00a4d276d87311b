"""Keeps the weather files a person brings along, beside the journal, and reads them back.

Knows the folder and what was said about each file. The files themselves are kept as they came, so
that a better reader reads them better later.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from heapwright.errors import HeapwrightError, NotFound, StoreProblem
from heapwright.weather.raw import Place
from heapwright.weather_sources.climate import climate_place
from heapwright.weather_sources.files import FileHints, file_source
from heapwright.weather_sources.protocol import SeriesSource
from heapwright.wording import worded
from heapwright.workshop.garden import Garden

HINTS_ENDING = ".said.json"


@dataclass(frozen=True, slots=True)
class OwnFiles:
    """The weather a person brought: readable sources, and a sentence for each that is not."""

    sources: tuple[SeriesSource, ...]
    problems: tuple[str, ...]


def garden_place(garden: Garden) -> Place | None:
    """Return where the garden lies: its own place, else its climate's; None when neither is set."""
    settings = garden.state().settings
    if settings.latitude is not None and settings.longitude is not None:
        return Place(settings.name, settings.latitude, settings.longitude)
    return climate_place(settings.climate) if settings.climate else None


def preview_weather(
    garden: Garden, path: Path, *, zone: str = "", units: Mapping[str, str] | None = None
) -> SeriesSource:
    """Return what a weather file holds; nothing is kept.

    A file that names no place and has no sun is taken to be of the garden's place.

    Raises
    ------
    HeapwrightError
        If it is no weather, or a unit or zone must be said first.

    """
    return file_source(path, _hints(zone, dict(units or {}), garden_place(garden)))


def keep_weather(
    garden: Garden, path: Path, *, zone: str = "", units: Mapping[str, str] | None = None
) -> SeriesSource:
    """Keep a weather file for this garden; returns what it holds.

    A file of the same name takes the place of the one before.

    Raises
    ------
    HeapwrightError
        If it cannot be read as weather; then nothing is kept.
    StoreProblem
        If it cannot be written.

    """
    said = {"zone": zone, "units": dict(units or {})}
    source = preview_weather(garden, path, zone=zone, units=units)
    folder = garden.weather_folder / "own"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / path.name).write_bytes(path.read_bytes())
        (folder / (path.name + HINTS_ENDING)).write_text(json.dumps(said), encoding="utf-8")
    except OSError as problem:
        raise StoreProblem(
            worded(
                "The weather file could not be kept: {strerror}",
                strerror=problem.strerror or problem,
            ),
            instead="Make room on the disk, or check that the folder may be written",
        ) from problem
    return source


def forget_weather(garden: Garden, name: str) -> None:
    """Take a kept weather file away.

    Raises
    ------
    NotFound
        If none of that name is kept.

    """
    if name not in kept_names(garden):
        known = ", ".join(kept_names(garden)) or "none"
        raise NotFound(
            worded('No weather file "{name}" is kept', name=name),
            instead=worded("Kept are: {known}", known=known),
        )
    folder = garden.weather_folder / "own"
    (folder / name).unlink()
    (folder / (name + HINTS_ENDING)).unlink(missing_ok=True)


def kept_names(garden: Garden) -> list[str]:
    """Return the names of the weather files kept, in alphabetical order."""
    folder = garden.weather_folder / "own"
    if not folder.is_dir():
        return []
    names = [path.name for path in folder.iterdir() if path.is_file()]
    return sorted(name for name in names if not name.endswith(HINTS_ENDING))


def own_files(garden: Garden) -> OwnFiles:
    """Return the weather files kept, read; read anew only when one changed."""
    folder = garden.weather_folder / "own"
    names = kept_names(garden)
    if not names:
        return OwnFiles((), ())
    stamps = tuple((name, (folder / name).stat().st_mtime_ns) for name in names)
    place = garden_place(garden)
    key = ("own weather", stamps, place)
    return garden.remembered(key, lambda: _read_all(folder, names, place))


def _read_all(folder: Path, names: list[str], place: Place | None) -> OwnFiles:
    sources: list[SeriesSource] = []
    problems: list[str] = []
    for name in names:
        try:
            sources.append(file_source(folder / name, _kept_hints(folder, name, place)))
        except HeapwrightError as problem:
            problems.append(problem.sentence())
    return OwnFiles(tuple(sources), tuple(problems))


def _kept_hints(folder: Path, name: str, place: Place | None) -> FileHints:
    try:
        said = json.loads((folder / (name + HINTS_ENDING)).read_text(encoding="utf-8"))
        return _hints(str(said["zone"]), dict(said["units"]), place)
    except (OSError, ValueError, KeyError, TypeError):
        return FileHints(
            title=name, place=place
        )  # as if nothing had been said; the reader asks if it must


def _hints(zone: str, units: dict[str, str], place: Place | None) -> FileHints:
    return FileHints(zone=zone, units=units, place=place)
