"""The command `validate`: the heap model held against heaps that were measured.

Knows how cases are drawn and tabled on a terminal, and which exit code says that the promise is
kept. Knows no measurement.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import screen
from heapwright.cli.options import AsJson, unit_system
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.quantities import UnitSystem
    from heapwright.validation.types import CaseResult
    from heapwright.workshop.validate import Validation

PROMISE_BROKEN = 1
_AIR = "."
_LETTERS = "abcdefgh"
_NO_SCORES = (
    "No scores of cases left out are kept for the model's present numbers. "
    "`python3 tools/calibrate_heap.py --help` tells how they are made."
)


def register(app: typer.Typer) -> None:
    """Add this module's command."""
    app.command("validate")(validate)


def validate(
    case: Annotated[
        list[str] | None,
        typer.Option("--case", metavar="ID", help="Only this case, such as O1; may be repeated."),
    ] = None,
    draw: Annotated[
        Path | None,
        typer.Option(
            "--draw",
            metavar="FOLDER",
            show_default=False,
            help="Write one SVG picture of each tested case there.",
        ),
    ] = None,
    leave_one_out: Annotated[
        bool,
        typer.Option(
            "--leave-one-out",
            help="Tell how each case did with numbers fitted to all the others, as was kept.",
        ),
    ] = False,
    units: Annotated[
        str | None,
        typer.Option(
            "--units",
            metavar="us|metric",
            show_default=False,
            help="Degrees of the pictures; metric if not given.",
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Hold the heap model against the measured heaps: both numbers, tolerance, pass or miss.

    Ends with 0 when as many cases pass as docs/validation.md promises (with --case: when these
    do) and no heap that must stay cool gets hot; else with 1 and the reason.
    """
    if leave_one_out:
        _tell_left_out(as_json)
        return
    from heapwright.quantities import UnitSystem
    from heapwright.workshop.validate import draw_cases, validation, validation_plain

    system = unit_system(units) or UnitSystem.METRIC
    answer = validation(case or ())
    drawn = [] if draw is None else draw_cases(answer.results, draw.expanduser())
    if as_json:
        screen.put_json(validation_plain(answer))
    else:
        screen.put(_lines(answer, system))
        if draw is not None:
            screen.put(
                [
                    worded(
                        "{counted} written to {draw}.",
                        counted=screen.counted(len(drawn), "picture"),
                        draw=draw,
                    )
                ]
            )
    if answer.broken:
        if not as_json:
            print(answer.broken, file=sys.stderr)
        raise typer.Exit(PROMISE_BROKEN)


def _tell_left_out(as_json: bool) -> None:
    from heapwright.quantities import format_share
    from heapwright.validation.leave_one_out import leave_one_out_sentence
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.validate import left_out_scores

    scores = left_out_scores()
    sentence = leave_one_out_sentence(scores) if scores else _NO_SCORES
    if as_json:
        screen.put_json({"leave_one_out": to_plain(scores), "sentence": sentence})
        return
    rows = [
        (score.case, "pass" if score.passed else "MISS", format_share(score.met_in_doubt))
        for score in scores
    ]
    screen.put(screen.table(rows, headings=("Case", "left out", "met in doubt"), right=(2,)))
    screen.put(screen.paragraph(sentence))


def _lines(answer: Validation, system: UnitSystem) -> Iterator[str]:
    for result in answer.results:
        yield from _drawn(result, system)
    yield from _table(answer.results)
    yield ""
    yield from screen.paragraph(answer.summary.sentence())


def _drawn(result: CaseResult, system: UnitSystem) -> Iterator[str]:
    """Yield a case's picture: small letters the model, capitals what was read."""
    from heapwright.cli import chart
    from heapwright.cli.simulate_words import signs_of
    from heapwright.validation.measures import probe_readings

    if not result.tested:
        return
    told = result.case.runs
    first = next(iter(told.values()))
    letters = dict(zip(told, _LETTERS, strict=False))
    drawn = {_AIR: first.weather.temperature_c}
    drawn |= {letters[name]: probe_readings(told[name], result.runs[name]) for name in letters}
    points = [(day, c, letters[name].upper()) for name in letters for day, c in told[name].readings]
    yield from screen.paragraph(f"{result.case.id} {result.case.title}")
    yield from chart.lines(chart.Picture(drawn, points, signs_of(first.actions)), system)
    key = ", ".join(
        f"{letter} {name}"
        + (worded(" ({letter} read)", letter=letter.upper()) if told[name].readings else "")
        for name, letter in letters.items()
    )
    yield from screen.paragraph(worded("{key}, {air} air", key=key, air=_AIR))
    yield ""


def _table(results: Sequence[CaseResult]) -> Iterator[str]:
    """Yield every check in a row, with the case's verdict at its first and the reason of a miss."""
    from heapwright.validation.report import mark, measured, modelled, verdict, what, why

    for result in results:
        yield from screen.paragraph(
            f"{result.case.id:<4} {verdict(result):<10} {result.case.title}"
        )
        if not result.tested:
            yield from screen.paragraph(result.case.not_tested, "     ")
        for check in result.checks:
            yield from screen.paragraph(
                worded(
                    "{check}: {check_2}: measured {check_3}, model {check_4}",
                    check=mark(check),
                    check_2=what(check.check),
                    check_3=measured(check.check),
                    check_4=modelled(check),
                ),
                "     ",
                "       ",
            )
            if reason := why(check):
                yield from screen.paragraph(reason, "       ")
