"""The command `materials`: find a material by words, with its numbers and whether it may go in.

Knows how a material is told. Knows no number itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, GardenPath, Units, unit_system
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.materials.types import Material
    from heapwright.quantities import UnitSystem
    from heapwright.tables import Estimate


def register(app: typer.Typer) -> None:
    """Add this module's command."""
    app.command("materials")(materials)


def materials(
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="WORDS",
            show_default=False,
            help='What people call it: "coffee grounds", oak leaves. Without words: all names.',
        ),
    ] = None,
    garden: GardenPath = None,
    units: Units = None,
    as_json: AsJson = False,
) -> None:
    """Find a material: its numbers, and whether it may go in.

    Numbers are ranges with their sources; what was not confirmed is marked.
    """
    from heapwright.materials.search import candidates, find_material
    from heapwright.materials.table import load_materials
    from heapwright.workshop.plain import to_plain

    said = " ".join(words or ())
    if not said:
        everything = list(load_materials().values())
        if as_json:
            screen.put_json([_named(material) for material in everything])
        else:
            screen.put(_name_lines(everything))
        return
    # Words that mean several are answered with all of them; unknown ones are refused with advice.
    found = candidates(said) or [find_material(said)]
    if as_json:
        screen.put_json([to_plain(material) for material in found])
        return
    system = _system(garden, units)
    if len(found) > 1:
        screen.put(
            [worded('"{said}" can mean {number} materials:', said=said, number=len(found)), ""]
        )
    for number, material in enumerate(found):
        screen.put([""] if number else [])
        screen.put(_material_lines(material, system))


def _named(material: Material) -> dict[str, str]:
    return {"key": material.key, "name": material.name, "role": str(material.role)}


def _system(garden: GardenPath, units: str | None) -> UnitSystem:
    from heapwright.quantities import UnitSystem

    said = unit_system(units)
    if said is not None:
        return said
    with place.opened_if_there(garden) as here:
        return UnitSystem.US if here is None else here.reader().units


def _name_lines(everything: list[Material]) -> Iterator[str]:
    by_role: dict[str, list[str]] = {}
    for material in everything:
        by_role.setdefault(str(material.role), []).append(material.name)
    for role, names in by_role.items():
        yield f"{role.capitalize()}:"
        yield from screen.paragraph("; ".join(sorted(names)), "  ")


def _material_lines(material: Material, system: UnitSystem) -> Iterator[str]:
    yield worded(
        "{name} ({role}; key {key})", name=material.name, role=material.role, key=material.key
    )
    yield from _permission_lines(material)
    if material.has_numbers:
        yield from ("  " + line for line in screen.table(_numbers(material, system)))
    yield from screen.bullets(material.cautions, "  ")
    if material.words != ("",):
        yield from screen.labelled("Also", [", ".join(material.words)])


def _permission_lines(material: Material) -> Iterator[str]:
    hazard = material.hazard
    if hazard is None:
        yield "  May go in."
        return
    words = {
        "allowed": "May go in.",
        "conditional": worded("Only on a condition: {condition}.", condition=hazard.condition),
        "refused": "Must not go into a home heap.",
    }
    yield from screen.paragraph(words[str(hazard.permission)], "  ")
    yield from screen.labelled("Why", [hazard.reason])
    yield from screen.labelled("Instead", [hazard.instead])
    yield from screen.labelled("Source", [hazard.source])


def _numbers(material: Material, system: UnitSystem) -> list[tuple[str, str, str]]:
    from heapwright import quantities as q

    def density(value: float) -> str:
        return q.format_density(value, system)

    def days(value: float) -> str:
        return worded("{value} days", value=q.format_number(value))

    rows = [
        ("Moisture", q.format_range(material.moisture, q.format_share), material.moisture),
        ("Nitrogen", q.format_range(material.nitrogen_dry, q.format_share), material.nitrogen_dry),
        ("Carbon", q.format_range(material.carbon_dry, q.format_share), material.carbon_dry),
        (
            "Density",
            q.format_range(material.bulk_density_kg_m3, density),
            material.bulk_density_kg_m3,
        ),
        ("Ash", q.format_range(material.ash_dry, q.format_share), material.ash_dry),
        ("Keeps", q.format_range(material.keeps_days, days), material.keeps_days),
    ]
    shown = [(label, text, _origin(estimate)) for label, text, estimate in rows]
    shown.insert(3, ("C:N", worded("likely {c_to_n}", c_to_n=q.format_number(material.c_to_n)), ""))
    return shown


def _origin(estimate: Estimate) -> str:
    """Return where a number comes from, with a mark when it is no fact."""
    mark = str(estimate.evidence)
    if estimate.evidence.is_fact or mark in estimate.source:
        return f"({estimate.source})"
    return f"({estimate.source}, {mark})" if estimate.source else f"({mark})"
