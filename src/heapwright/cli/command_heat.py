"""The command `heat`: how much of a heap got hot, as read and, apart, as the model infers.

Knows how the two parts and the day's strip are set on a terminal. Knows no rule and no model.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, BinSaid, GardenPath, Units, reader_for
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.sentences import Reader, Sentence
    from heapwright.workshop.garden import Garden
    from heapwright.workshop.heat_answer import FindingShare, HeatProof, RuleProof

DAYS_IN_A_LINE = 7  # a week, as on the page


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("heat")(heat)


def heat(
    bin_said: BinSaid,
    everything: Annotated[
        bool,
        typer.Option("--all", help="Every rule, and what trials found of seeds and diseases."),
    ] = False,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Show how much of a heap got hot for how long: what was read, and apart what the model infers.

    Days without a reading never count as hot. It is no proof of hygiene.
    """
    from heapwright.cli import people
    from heapwright.workshop.heat_proof import heat_proof
    from heapwright.workshop.plain import to_plain

    with place.opened(garden) as here:
        key = people.bin_key(here, bin_said)
        proof = heat_proof(here, key)
        reader = reader_for(here, units)
        if as_json:
            screen.put_long_json({"bin": key, **to_plain(proof, reader)})
        else:
            screen.put(_lines(here, key, proof, reader, everything=everything))


def seen_in_short(garden: Garden, bin_key: str, reader: Reader) -> Iterator[str]:
    """Yield one bin's proven heat in a line, for the card of a bin; nothing without readings."""
    from heapwright.workshop.heat_proof import seen_in_a_word

    told = seen_in_a_word(garden, bin_key)
    if told is not None:
        more = worded("`heapwright heat {bin_key}` tells more.", bin_key=bin_key)
        yield from screen.labelled("Heat", [_text(told, reader), more])


def _lines(
    garden: Garden, key: str, proof: HeatProof, reader: Reader, *, everything: bool
) -> Iterator[str]:
    rules = [one for one in proof.rules if everything or one.rule.is_first]
    yield worded("How much of the heap in {name} got hot", name=garden.bin(key).name)
    yield ""
    yield "What the thermometer saw:"
    yield from _strip(proof, reader)
    yield from _seen(rules, reader)
    yield from screen.bullets((_text(note, reader) for note in proof.seen.notes), "  ")
    yield ""
    yield "What the model infers:"
    yield from _inferred(rules, reader)
    yield from screen.bullets((_text(one, reader) for one in proof.basis), "  ")
    if everything:
        yield from _trials(proof, reader)
    yield ""
    yield "Mind:"
    yield from screen.bullets(_text(one, reader) for one in proof.cautions)


def _strip(proof: HeatProof, reader: Reader) -> Iterator[str]:
    """Yield the days in weeks: the hottest reading, a star when each was hot, T for a turn."""
    from heapwright.quantities import format_temperature, temperature_in
    from heapwright.workshop.heat_words import telling_days

    unit = reader.units.temperature_unit
    cells = [
        (
            "-"
            if day.highest_c is None or day.lowest_c is None
            else f"{temperature_in(day.highest_c, unit):.0f}"
            + ("*" if day.lowest_c >= proof.hot_c else "")
        )
        + ("T" if day.turns else "")
        for day in telling_days(proof.days, proof.hot_c)
    ]
    for start in range(0, len(cells), DAYS_IN_A_LINE):
        week = cells[start : start + DAYS_IN_A_LINE]
        yield worded("  {start:>3}. week ", start=start // DAYS_IN_A_LINE + 1) + "".join(
            cell.rjust(6) for cell in week
        )
    limit = format_temperature(proof.hot_c, reader.units)
    key = worded(
        "The hottest of each day; * each reading {limit} or more, - not read, T turned.",
        limit=limit,
    )
    yield from screen.paragraph(key, "  ")


def _seen(rules: Iterable[RuleProof], reader: Reader) -> Iterator[str]:
    from heapwright.workshop.heat_words import seen_words

    for number, one in enumerate(rules):
        told = f"{_name(one)}: {_text(seen_words(one.rule, one.seen), reader)}"
        if one.seen.is_met:
            told = f"{told} {screen.told(worded('Met where the thermometer stood.'))}"
        yield from screen.paragraph(told, "  ")
        if number == 0:
            yield from screen.bullets(
                (
                    worded("Still to be seen: {lack}", lack=_text(lack, reader))
                    for lack in one.seen.missing
                ),
                "    ",
            )


def _inferred(rules: Iterable[RuleProof], reader: Reader) -> Iterator[str]:
    from heapwright.workshop.heat_words import (
        chance_words,
        inferred_words,
        start_words,
        turnings_words,
    )

    for one in rules:
        if one.inferred is None:
            continue
        told = (
            inferred_words(one.inferred),
            chance_words(one.inferred),
            turnings_words(one.rule, one.inferred),
            start_words(one.rule, one.inferred),
        )
        words = " ".join(_text(sentence, reader) for sentence in told if sentence is not None)
        yield from screen.paragraph(f"{_name(one)}: {words}", "  ")


def _trials(proof: HeatProof, reader: Reader) -> Iterator[str]:
    yield ""
    yield "Keep out of a home heap, however hot:"
    yield from screen.bullets(
        f"{one.organism}. {_text(one.found, reader)}." for one in proof.keep_out
    )
    yield ""
    yield "What trials found; the shares say what went through the same heat, not what died:"
    yield from screen.bullets(_trial(one, reader) for one in proof.findings)


def _trial(one: FindingShare, reader: Reader) -> str:
    from heapwright.sources import describe
    from heapwright.workshop.heat_words import finding_words

    finding = one.finding
    told = f"{finding.organism}. {_text(finding.found, reader)}."
    through = finding_words(one)
    if through is not None:
        told += f" {_text(through, reader)}"
    if finding.limits.template:
        told += f" {_text(finding.limits, reader)}."
    doubt = "" if finding.evidence.is_fact else ", not confirmed"
    return f"{told} ({describe(finding.source)}{doubt})"


def _name(one: RuleProof) -> str:
    name = screen.told(one.rule.name)
    if one.rule.is_benchmark:
        return f"{name} {screen.told(worded('(only a benchmark)'))}"
    return name


def _text(sentence: Sentence, reader: Reader) -> str:
    from heapwright.sentences import render

    return render(sentence, reader)
