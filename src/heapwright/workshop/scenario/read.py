"""Reads a whole scenario from its text: what the model is given, and what had to be assumed.

Knows how the parts of the document come together. The parts are read in `fill` and `weather`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pydantic import ValidationError

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.heap import checks
from heapwright.heap.types import ActionKind, BinShape, HeapAction
from heapwright.journal.entries import GardenSettings
from heapwright.json_text import cut, read_json
from heapwright.quantities import parse_length_m
from heapwright.sentences import length, say, share, word
from heapwright.wording import worded
from heapwright.workshop.scenario import faults
from heapwright.workshop.scenario.fill import added_fill, built_fill, water_kg
from heapwright.workshop.scenario.form import ScenarioForm
from heapwright.workshop.scenario.heap_form import (
    AddForm,
    CoverForm,
    MoveForm,
    ProbeForm,
    RoundBin,
    SquareBin,
)
from heapwright.workshop.scenario.types import Asker, ProbePlace, Said, Scenario, usual
from heapwright.workshop.scenario.weather import weather_of
from heapwright.workshop.scenario.weather_form import HOURS_A_DAY

_LOOKS_LIKE = '{"bin": { ... }, "fill": { ... }, "weather": { ... }}'


def read_scenario(document: str | dict[str, Any], asker: Asker | None = None) -> Scenario:
    """Return a scenario from its JSON text, or from what the text holds.

    Parameters
    ----------
    document : str or dict
        See `docs/how-to.md`.
    asker : Asker, optional

    Raises
    ------
    HeapwrightError
        Naming the place and the value that cannot be; nothing was run.

    """
    told = document
    if isinstance(document, str):
        told = read_json(document, "The scenario", _LOOKS_LIKE)
    return _whole(_form(told), asker or Asker())


def _form(told: Any) -> ScenarioForm:
    try:
        return ScenarioForm.model_validate(told)
    except ValidationError as problem:
        raise faults.sentence(problem) from problem


def _whole(form: ScenarioForm, asker: Asker) -> Scenario:
    said = Said()
    shape = _shape(form.bin, said)
    checks.check_shape(shape)
    fill = built_fill(form.fill, shape, asker, said)
    checks.check_fill(fill, shape)
    weather, start = weather_of(form.weather, form.days, asker, said)
    height_m = fill.volume_m3 / shape.plan_m2
    return Scenario(
        shape=shape,
        fill=fill,
        weather=weather,
        actions=tuple(_action(action, asker, said) for action in form.actions),
        probes=_probes(form.probes, height_m, said),
        fine=form.grid == "fine",
        start=start,
        said=said,
    )


def _shape(form: SquareBin | RoundBin, said: Said) -> BinShape:
    height_m = _length_m(form.height_m, form.height, "The bin's height")
    if isinstance(form, RoundBin):
        width_m = _length_m(form.diameter_m, form.diameter, "The bin's diameter")
        depth_m = width_m
    else:
        width_m = _length_m(form.width_m, form.width, "The bin's width")
        depth_m = width_m
        if form.depth_m is not None or form.depth is not None:
            depth_m = _length_m(form.depth_m, form.depth, "The bin's depth")
        else:
            said.assumed.append(say("The bin is as deep as wide, {m}.", m=length(width_m)))
    for name, words in _SITE.items():
        if name not in form.model_fields_set:
            said.assumed.append(say(words, what=word(str(getattr(form, name)))))
    shade = form.shade
    if shade is None:
        shade = usual()["shade"]
        said.assumed.append(say("Shade on the bin: {share}.", share=share(shade)))
    return BinShape(
        width_m=width_m,
        depth_m=depth_m,
        height_m=height_m,
        wall=form.wall,
        cover=form.cover,
        shade=shade,
        ground=form.ground,
        is_round=isinstance(form, RoundBin),
    )


_SITE = {
    "wall": "The bin's sides: {what}.",
    "cover": "On top: {what}.",
    "ground": "It stands on: {what}.",
}


def _length_m(metres: Any, words: str | None, what: str) -> float:
    return metres if words is None else parse_length_m(words, what=what)


def _action(form: Any, asker: Asker, said: Said) -> HeapAction:
    hour = form.hour if form.day is None else form.day * HOURS_A_DAY
    kind = ActionKind(form.do)
    if isinstance(form, CoverForm):
        return HeapAction(hour=hour, kind=kind, cover=form.cover)
    return HeapAction(
        hour=hour,
        kind=kind,
        water_kg=water_kg(form.water_l, form.water, asker),
        fill=added_fill(form.fill, asker, said) if isinstance(form, AddForm) else None,
        new_bin=_new_bin(form, said) if isinstance(form, MoveForm) else None,
    )


def _new_bin(form: MoveForm, said: Said) -> BinShape | None:
    return None if form.new_bin is None else _shape(form.new_bin, said)


def _probes(
    forms: Sequence[ProbeForm] | None, height_m: float, said: Said
) -> tuple[ProbePlace, ...]:
    if forms is None:
        depth_m = min(GardenSettings().probe_depth_m, usual()["core_probe_share"] * height_m)
        said.assumed.append(
            say("One thermometer in the middle, its tip {deep} deep.", deep=length(depth_m))
        )
        return (ProbePlace("thermometer", depth_m, 0.0),)
    places = tuple(
        ProbePlace(
            form.name,
            _length_m(
                form.depth_m, form.depth, worded('The depth of "{name}"', name=cut(form.name))
            ),
            form.radius_fraction,
        )
        for form in forms
    )
    _check_probes(places, height_m)
    return places


def _check_probes(places: Sequence[ProbePlace], height_m: float) -> None:
    names = [place.name for place in places]
    for place in places:
        if names.count(place.name) > 1:
            raise NotUnderstood(
                worded('Two thermometers are called "{name}"', name=cut(place.name)),
                why="their readings could not be told apart",
                instead="Give each a name of its own",
            )
        if not 0.0 < place.depth_m < height_m:
            raise OutOfRange(
                worded(
                    'The thermometer "{name}" is {depth_m:g} m deep',
                    name=cut(place.name),
                    depth_m=place.depth_m,
                ),
                why=worded("the heap is {height_m:.2f} m high when built", height_m=height_m),
                instead="Give a depth below the top that lies in the heap",
            )
