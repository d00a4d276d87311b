"""Sets a recipe and its layers on the terminal, bottom layer first, cautions last.

Knows the order in which a builder reads. Knows no number itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from heapwright import quantities as q
from heapwright.cli import screen
from heapwright.cli.command_mix import mixture_lines
from heapwright.mixing.types import Fetch, GivenWay, Layer, Recipe
from heapwright.mixing.words import containers, of_lot
from heapwright.quantities import UnitSystem
from heapwright.sentences import Reader, render
from heapwright.wording import worded
from heapwright.workshop.answers import BuildAnswer

_HEADINGS = ("No.", "Layer", "Contents", "Depth", "Water")


def lines(answer: BuildAnswer, reader: Reader, *, every_step: bool = False) -> Iterator[str]:
    """Yield the whole sheet in lines."""
    units = reader.units
    yield worded("{name}: what to put in", name=answer.bin.name)
    yield from screen.bullets(render(note, reader) for note in answer.notes)
    yield ""
    yield from _taken(answer.recipe, units)
    yield ""
    yield from mixture_lines(answer.recipe.mixture, units)
    yield worded(
        "Water      {total_water_kg} in all, layer by layer",
        total_water_kg=_water(answer.sheet.total_water_kg, units),
    )
    yield from _reasons(answer.recipe, reader)
    yield from _layers(answer, units, every_step=every_step)
    yield from _left_out(answer, reader)
    if answer.sheet.cautions:
        yield from ("", "Mind:")
        yield from screen.bullets(answer.sheet.cautions)


def _taken(recipe: Recipe, units: UnitSystem) -> Iterator[str]:
    rows = [
        (
            containers(line.count, line.lot.container_name),
            line.lot.material.name,
            q.format_mass(line.mass_kg, units),
            q.format_volume(line.volume_m3, units),
            worded("lot {key}", key=line.lot.key),
        )
        for line in recipe.lines
    ]
    yield from screen.table(rows, right=(2, 3))


def _water(kilograms: float, units: UnitSystem) -> str:
    return q.format_water(kilograms, units) if kilograms > 0 else "none"


def _reasons(recipe: Recipe, reader: Reader) -> Iterator[str]:
    yield ""
    yield from screen.bullets(recipe.reasons)
    if recipe.proven and not recipe.given_way:
        yield "- Every wish is met, and nothing on hand would meet them better."
    for way in recipe.given_way:
        yield from screen.paragraph(_given_way(way, reader), "- ")
    if recipe.fetch is not None:
        yield from screen.bullets(_to_fetch(recipe.fetch))
    if recipe.thumb_rule is not None:
        yield from screen.paragraph(recipe.thumb_rule.sentence, "- ")


def _given_way(way: GivenWay, reader: Reader) -> str:
    if way.said is not None:
        return render(way.said, reader)
    unit = f" {way.unit}" if way.unit else ""
    return worded(
        "A wish gives way: {wish}; it will be {got:.3g}{unit}.",
        wish=way.wish,
        got=way.got,
        unit=unit,
    )


def _to_fetch(fetch: Fetch) -> Iterator[str]:
    yield fetch.sentence
    for more in fetch.also:
        yield from _to_fetch(more)


def _layers(answer: BuildAnswer, units: UnitSystem, *, every_step: bool) -> Iterator[str]:
    yield from ("", "Layers, from the bottom up:")
    layers = answer.sheet.layers
    if every_step:
        for layer in layers:
            yield f"{layer.number:2}. " + ", ".join(cell for cell in _row(layer, units)[1:] if cell)
            yield from screen.bullets(layer.steps, "      ")
    else:
        yield from screen.table([_row(layer, units) for layer in layers], _HEADINGS, right=(0, 3))
        yield from _steps_by_kind(layers, units)
    height = q.format_length(answer.sheet.loose_height_m, units)
    yield worded("It stands about {height} high before it settles.", height=height)


def _row(layer: Layer, units: UnitSystem) -> tuple[str, ...]:
    contents = " and ".join(of_lot(count, lot) for lot, count in layer.contents)
    water = (
        ""
        if layer.water_kg <= 0
        else worded("water {water_kg}", water_kg=q.format_water(layer.water_kg, units))
    )
    if water and layer.hose_seconds is not None:
        water += worded(" ({hose_seconds:.0f} s of the hose)", hose_seconds=layer.hose_seconds)
    depth = worded("{depth_m} deep", depth_m=q.format_length(layer.depth_m, units))
    return (f"{layer.number}", str(layer.kind), contents, depth, water)


def _steps_by_kind(layers: Sequence[Layer], units: UnitSystem) -> Iterator[str]:
    """Yield what holds for every layer of a kind, once."""
    for kind in dict.fromkeys(layer.kind for layer in layers):
        same = [layer for layer in layers if layer.kind is kind]
        steps = [step for step in same[0].steps if all(step in one.steps for one in same)]
        margin = max(layer.margin_m for layer in same)
        if margin > 0:
            steps.insert(
                0,
                worded(
                    "Stay {margin} away from every side.", margin=q.format_length(margin, units)
                ),
            )
        if steps:
            yield (
                worded("Every {kind} layer:", kind=kind)
                if len(same) > 1
                else worded("The {kind} layer:", kind=kind)
            )
            yield from screen.bullets(steps, "  ")


def _left_out(answer: BuildAnswer, reader: Reader) -> Iterator[str]:
    if not answer.left_out:
        return
    yield from ("", "Left out:")
    yield from screen.bullets(
        worded("lot {key}: {why}", key=state.key, why=render(why, reader))
        for state, why in answer.left_out
    )
