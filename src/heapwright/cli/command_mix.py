"""The command `mix`: what some materials are together.

Knows how a file of numbers is told from people's words, and how a mixture is told. Knows no
balance and no material.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heapwright.cli import place, screen
from heapwright.cli.incoming import STANDARD_INPUT, read_text
from heapwright.cli.options import AsJson, GardenPath, Units, unit_system
from heapwright.errors import NotUnderstood
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.mixing.types import MixtureRange
    from heapwright.quantities import UnitSystem
    from heapwright.quantities.containers import Container
    from heapwright.workshop.mix import MixAnswer

_ASKED_OF_TARGETS = "wish_moisture_temperate"


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.command("mix")(mix)


def mix(
    parts: Annotated[
        list[str],
        typer.Argument(
            metavar="FILE | - | PART...",
            help=(
                'A JSON file with explicit numbers ("-" reads it from standard input), or parts '
                'in words, each with its amount: "3 leaf bags leaves" "2 pails clippings".'
            ),
        ),
    ],
    target_moisture: Annotated[
        str | None,
        typer.Option(
            "--target-moisture",
            metavar="SHARE",
            show_default=False,
            help="Moisture to wet it to, such as 55%. For parts in words; a file has its own.",
        ),
    ] = None,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Tell what materials are together, and the water to add.

    C:N, moisture, weight, volume, density and air space, each with its range: the materials
    table is uncertain. Explicit numbers are taken as exact. JSON answers are in SI units;
    `heapwright schema` describes the file.
    """
    if _is_file(parts):
        _mix_file(parts[0], target_moisture, garden, units, as_json)
    else:
        _mix_words(parts, target_moisture, garden, units, as_json)


def _is_file(parts: Sequence[str]) -> bool:
    if len(parts) != 1:
        return False
    said = parts[0]
    return said == STANDARD_INPUT or said.lower().endswith(".json") or Path(said).is_file()


def _mix_file(
    said: str, target: str | None, garden: Path | None, units: str | None, as_json: bool
) -> None:
    from heapwright.workshop.mix import mix_explicit

    if target is not None:
        raise NotUnderstood(
            "--target-moisture beside a file",
            why="the file has a place for it",
            instead='Write "target_moisture": 0.55 in the file',
        )
    answer = mix_explicit(read_text(said))
    if as_json:
        screen.put_json(answer)
        return
    screen.put(_exact_lines(answer, _units(garden, units)))


def _mix_words(
    parts: Sequence[str],
    target: str | None,
    garden: Path | None,
    units: str | None,
    as_json: bool,
) -> None:
    from heapwright.cli import people
    from heapwright.sentences import Reader
    from heapwright.workshop.mix import mix_words
    from heapwright.workshop.plain import to_plain
    from heapwright.workshop.stock import own_containers

    with place.opened_if_there(garden) as here:
        own: tuple[Container, ...] = () if here is None else own_containers(here.state())
        system = unit_system(units) or _system_of(here)
    wanted = _target(target)
    spoken = [people.amount_of(part, own, system)[1:] for part in parts]
    answer = mix_words(spoken, wanted, own, system)
    reader = Reader(units=system)
    if as_json:
        plain = to_plain(answer, reader)
        screen.put_json({**_headline_numbers(answer.mixture), **plain, "target_moisture": wanted})
    else:
        screen.put(_range_lines(answer, wanted, reader))


def _target(said: str | None) -> float:
    from heapwright.mixing.checks import check_target_moisture
    from heapwright.mixing.targets import target
    from heapwright.quantities import parse_share

    if said is None:
        return target(_ASKED_OF_TARGETS).typical
    share = parse_share(said, what="Target moisture")
    check_target_moisture(share)
    return share


def _system_of(garden: Any) -> UnitSystem:
    from heapwright.quantities import UnitSystem

    return UnitSystem.US if garden is None else garden.reader().units


def _units(garden: Path | None, units: str | None) -> UnitSystem:
    said = unit_system(units)
    if said is not None:
        return said
    with place.opened_if_there(garden) as here:
        return _system_of(here)


def _headline_numbers(mixture: MixtureRange) -> dict[str, Any]:
    """Return the likely numbers under the same names as for a file, for programs."""
    likely = mixture.likely
    return {
        "c_to_n": None if likely.nitrogen_kg == 0 else likely.c_to_n,
        "moisture": likely.moisture,
        "mass_kg": likely.mass_kg,
        "volume_m3": likely.volume_m3,
        "bulk_density_kg_m3": likely.bulk_density_kg_m3,
        "free_air_space": likely.free_air_space,
        "water_to_add_kg": likely.water_to_add_kg,
    }


def _range_lines(answer: MixAnswer, target: float, reader: Any) -> Iterator[str]:
    from heapwright.sentences import render

    yield from screen.table([(amount, material.name) for amount, material in answer.parts])
    yield ""
    yield from mixture_lines(answer.mixture, reader.units)
    yield from _water_lines(answer.mixture, target, reader.units)
    if answer.notes:
        yield ""
        yield from screen.bullets(
            dict.fromkeys(
                [
                    *(render(note, reader) for note in answer.notes),
                    *answer.mixture.likely.notes,
                    *(caution for _, material in answer.parts for caution in material.cautions),
                ]
            )
        )


def mixture_lines(mixture: MixtureRange, system: UnitSystem) -> Iterator[str]:
    """Yield a mixture's properties with their ranges, in the reader's units."""
    from heapwright import quantities as q

    yield from screen.table(
        [
            ("C:N", q.format_range(mixture.c_to_n)),
            ("Moisture", q.format_range(mixture.moisture, q.format_share)),
            ("Weight", q.format_range(mixture.mass_kg, lambda x: q.format_mass(x, system))),
            ("Volume", q.format_range(mixture.volume_m3, lambda x: q.format_volume(x, system))),
            (
                "Density",
                q.format_range(mixture.bulk_density_kg_m3, lambda x: q.format_density(x, system)),
            ),
            ("Air space", q.format_range(mixture.free_air_space, q.format_share)),
        ]
    )


def _water_lines(mixture: MixtureRange, target: float, system: UnitSystem) -> Iterator[str]:
    from dataclasses import replace

    from heapwright import quantities as q

    share = q.format_share(target)
    need = mixture.water_to_add_kg
    if need.high <= 0:
        yield worded(
            "Water      none: it is wetter than {share} already. Add dry brown.", share=share
        )
        return
    # A mix is never dried by taking water away: below nothing is nothing.
    shown = replace(need, low=max(0.0, need.low), typical=max(0.0, need.typical))
    text = q.format_range(shown, lambda x: q.format_water(x, system) if x > 0 else "none")
    yield worded("Water      {text}, to bring it to {share}", text=text, share=share)


def _exact_lines(answer: Mapping[str, Any], system: UnitSystem) -> Iterator[str]:
    from heapwright import quantities as q

    rows = (
        ("C:N", "c_to_n", lambda x: q.format_number(x, 3)),
        ("Moisture", "moisture", q.format_share),
        ("Weight", "mass_kg", lambda x: q.format_mass(x, system)),
        ("Volume", "volume_m3", lambda x: q.format_volume(x, system)),
        ("Density", "bulk_density_kg_m3", lambda x: q.format_density(x, system)),
        ("Air space", "free_air_space", q.format_share),
    )
    shown = [(label, _or_unknown(answer[name], show)) for label, name, show in rows]
    water = answer["water_to_add_kg"]
    if water is not None:
        shown.append(("Water", q.format_water(water, system) if water > 0 else "none"))
    yield from screen.table(shown)
    if answer["notes"]:
        yield ""
        yield from screen.bullets(answer["notes"])


def _or_unknown(value: float | None, show: Any) -> str:
    return "not known" if value is None else show(value)
