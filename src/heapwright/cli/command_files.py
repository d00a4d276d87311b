"""The command `import`: thermometer logs and whole journals in.

Knows how a file's kind is told and how a preview is set on a terminal. Knows no file form itself.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, BinaryIO

import typer

from heapwright.cli import command_export, place, screen
from heapwright.cli.incoming import STANDARD_INPUT, read_bytes
from heapwright.cli.options import AsJson, GardenPath
from heapwright.errors import NotUnderstood, UnreadableFile
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.journal.thermometer_csv import ImportPreview

_JOURNAL_MARK = b"heapwright-journal"
_HOW_TO_ANSWER = {
    "columns": '--column temperature="its heading" (also date, time, depth, note, bin)',
    "day_first": "--day-first or --month-first",
    "default_unit": "--unit F or --unit C",
    "depth_unit": "--depth-unit in (or cm, ft, m)",
    "bins": '--bin KEY, or name the bins as the file does, or --column bin=""',
}


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("import")(import_file)
    app.command("export")(command_export.export)


def import_file(
    file: Annotated[
        str,
        typer.Argument(
            metavar="FILE",
            help='A thermometer\'s CSV, or a journal made by `export`; "-" is standard input.',
        ),
    ],
    bin_said: Annotated[
        str | None,
        typer.Option("--bin", metavar="BIN", help="Whose readings they are: key or name."),
    ] = None,
    unit: Annotated[
        str | None,
        typer.Option("--unit", metavar="F|C", help="Degree meant where the file names none."),
    ] = None,
    depth_unit: Annotated[
        str,
        typer.Option("--depth-unit", metavar="UNIT", help="Unit meant for depths without one."),
    ] = "",
    day_first: Annotated[
        bool | None,
        typer.Option(
            "--day-first/--month-first",
            show_default=False,
            help="How to read 3/4/2026 where the file's dates do not tell.",
        ),
    ] = None,
    column: Annotated[
        list[str] | None,
        typer.Option(
            "--column",
            metavar="ROLE=HEADING",
            help=(
                'Which column holds what: temperature="core temp". Roles are date, time, '
                "temperature, unit, depth, note, bin, where, probe. May be said again."
            ),
        ),
    ] = None,
    time_zone: Annotated[
        str,
        typer.Option(
            "--time-zone", metavar="ZONE", help="Where its clock stood; the garden's if not given."
        ),
    ] = "",
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what was understood; store nothing.")
    ] = False,
    garden: GardenPath = None,
    as_json: AsJson = False,
) -> None:
    """Bring in a thermometer's log or an exported journal.

    Nothing is stored twice. Rows that are not understood are listed with the reason, the others
    are kept. What kind of file it is, its content tells.
    """
    from heapwright.journal.photo_zip import LARGEST_JOURNAL_BYTES

    if _is_zip(file):
        _import_zip(Path(file).expanduser(), garden, dry_run, as_json)
        return
    data = read_bytes(file, LARGEST_JOURNAL_BYTES)  # a thermometer's log has its own, lower limit
    if _is_journal(data):
        _import_journal(data, garden, dry_run, as_json)
        return
    options = {
        "columns": dict(_columns(column or [])),
        "default_unit": _degree(unit),
        "depth_unit": depth_unit,
        "day_first": day_first,
        "time_zone": time_zone,
    }
    _import_readings(data, bin_said, options, garden, dry_run, as_json)


def _is_journal(data: bytes) -> bool:
    beginning = data[:4096].removeprefix(b"\xef\xbb\xbf").lstrip()
    return beginning.startswith(b"{") and _JOURNAL_MARK in beginning


def _columns(said: list[str]) -> Iterator[tuple[str, str]]:
    """Yield role and heading; an empty heading says that the file has no such column."""
    for text in said:
        role, equals, heading = text.partition("=")
        if not equals or not role.strip():
            raise NotUnderstood(
                worded('"{text}" does not say a column', text=text),
                instead='Write --column temperature="core temp"',
            )
        yield role.strip().lower(), heading.strip()


def _degree(said: str | None) -> str | None:
    if said is None:
        return None
    degree = said.strip().upper().lstrip("°")
    if degree not in ("F", "C"):
        raise NotUnderstood(
            worded('The unit "{said}"', said=said), instead="Say --unit F or --unit C"
        )
    return degree


def _is_zip(file: str) -> bool:
    """Whether a file holds a journal with photos; such a one is too large to be read at once."""
    from heapwright.journal.photo_zip import MARK, is_with_photos

    path = Path(file).expanduser()
    if file == STANDARD_INPUT or not path.is_file():
        return False
    with contextlib.suppress(OSError), path.open("rb") as opened:
        if path.suffix.lower() == ".zip":
            return opened.read(len(MARK)) == MARK
        # A workbook is a zip file too, and is told of where readings are read.
        return is_with_photos(opened)
    return False


def _import_zip(path: Path, garden: Path | None, dry_run: bool, as_json: bool) -> None:
    from heapwright.journal.photo_zip import PhotoZip

    with path.open("rb") as opened:
        if dry_run:
            _import_journal(PhotoZip(opened).journal(), garden, dry_run, as_json)
        else:
            _import_journal(opened, garden, dry_run, as_json)


def _import_journal(
    data: bytes | BinaryIO, garden: Path | None, dry_run: bool, as_json: bool
) -> None:
    from heapwright.journal.transfer import read_json
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.transfer import import_journal

    photos = 0
    if isinstance(data, bytes) and dry_run:
        read = read_json(data)
        stored, already, problems = 0, 0, read.problems
        screen_text = worded(
            "{counted} can be read.", counted=screen.counted(len(read.entries), "entry", "entries")
        )
    else:
        with place.opened(garden, make=True) as here:
            done = import_journal(here, data)
        stored, already = len(done.answer.stored), len(done.answer.already_there)
        problems, photos = done.problems, done.photos
        counted = screen.counted(stored, "entry", "entries")
        screen_text = worded("Stored: {counted}.", counted=counted)
        if already:
            screen_text = worded(
                "Stored: {counted}; {already} were there already.", counted=counted, already=already
            )
    if as_json:
        plain = {"stored": stored, "already_there": already, "problems": problems}
        screen.put_json(to_plain(plain | ({"photos": photos} if photos else {})))
        return
    screen.put([screen_text])
    if photos:
        counted = screen.counted(photos, "photo", "photos")
        screen.put([worded("Photos: {counted}.", counted=counted)])
    screen.put(screen.bullets(problems))


def _import_readings(
    data: bytes,
    bin_said: str | None,
    options: dict[str, Any],
    garden: Path | None,
    dry_run: bool,
    as_json: bool,
) -> None:
    from heapwright.cli import people
    from heapwright.workshop.transfer import import_thermometer, preview_thermometer

    if bin_said is None:
        raise NotUnderstood(
            "Whose readings these are is not said", instead="Say --bin with the bin's key or name"
        )
    with place.opened(garden) as here:
        seen = preview_thermometer(here, data, people.bin_key(here, bin_said), **options)
        _refuse_open_questions(seen)
        _refuse_nothing_understood(seen)
        stored = () if dry_run else import_thermometer(here, seen).stored
        zone = people.zone_of(here)
    if as_json:
        screen.put_json(_preview_as_plain(seen, len(stored), dry_run))
        return
    screen.put(_preview_lines(seen, zone))
    told = (
        "Nothing was stored (--dry-run)."
        if dry_run
        else worded("Stored: {number}.", number=len(stored))
    )
    screen.put([told])


def _refuse_open_questions(seen: ImportPreview) -> None:
    if not seen.questions:
        return
    how = [_HOW_TO_ANSWER[question.answer] for question in seen.questions]
    raise NotUnderstood(
        seen.summary(),
        instead=worded("Answer with {fromkeys}", fromkeys="; and with ".join(dict.fromkeys(how))),
    )


def _refuse_nothing_understood(seen: ImportPreview) -> None:
    if seen.good or not seen.bad:
        return
    first = seen.bad[0]
    raise UnreadableFile(
        worded("None of the {number} rows can be stored", number=len(seen.bad)),
        why=worded("line {line}: {reason}", line=first.line, reason=first.reason),
        instead="Look at the bin, the dates and the columns (--column says which is which)",
    )


def _preview_as_plain(seen: ImportPreview, stored: int, dry_run: bool) -> dict[str, Any]:
    from heapwright.workshop.plain import to_plain

    plain: dict[str, Any] = {
        name: to_plain(getattr(seen, name))
        for name in ("columns", "headings", "encoding", "unit", "date_form", "bad", "blank", "said")
    }
    readings = [(row.line, row.entry, row.already_stored) for row in seen.good]
    plain["good"] = [
        {
            "line": line,
            "id": entry.id,
            "at": to_plain(entry.at),
            "body": to_plain(dict(entry.body)),
            "already_stored": already,
        }
        for line, entry, already in readings
    ]
    return {**plain, "summary": seen.summary(), "stored": stored, "dry_run": dry_run}


def _preview_lines(seen: ImportPreview, zone: Any) -> Iterator[str]:
    taken = ", ".join(
        worded('{role} from "{heading}"', role=role, heading=heading)
        for role, heading in seen.columns.items()
    )
    yield from screen.paragraph(worded("Understood: {taken}.", taken=taken))
    if seen.good:
        first, last = (row.entry.at.astimezone(zone) for row in (seen.good[0], seen.good[-1]))
        yield worded(
            "From {first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M}.", first=first, last=last
        )
    yield from screen.bullets(seen.said)
    if seen.bad:
        yield "Not understood, and left out:"
        for row in seen.bad:
            yield from screen.paragraph(
                f"{row.reason}  ({row.text})", worded("  line {line}: ", line=row.line)
            )
    yield seen.summary()
