"""Reads the form of a new lot: what it is, in which container, how full, and what was measured.

Knows its fields. Knows nothing of pages or of storing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from heapwright.errors import HeapwrightError, NotForCompost, NotUnderstood, OutOfRange
from heapwright.materials.hazards import check_allowed
from heapwright.materials.measured import (
    bulk_density_from_pail,
    laboratory_share,
    squeeze_moisture,
    squeeze_words,
)
from heapwright.materials.search import SeveralMaterials, find_material, suggestions
from heapwright.materials.types import Material, Packing, Permission
from heapwright.quantities import (
    UnitSystem,
    format_volume,
    fullness_levels,
    parse_mass_kg,
    parse_number,
    parse_share,
    parse_volume_m3,
)
from heapwright.quantities.containers import Container
from heapwright.tables import Estimate
from heapwright.web.forms import Filled, within
from heapwright.wording import worded
from heapwright.workshop.garden import Garden
from heapwright.workshop.stock import containers, whole

Three = tuple[float, float, float]
#: More than this many containers of one lot is a slip of the finger (limit of the journal).
_COUNT = "container_count"


@dataclass(frozen=True, slots=True)
class NewLot:
    """A lot as the person wrote it down; `own_container` is a container to be named first."""

    material: Material
    container: str
    own_container: tuple[str, float] | None
    count: int
    fullness: str | Three
    packing: str
    keep_back: int
    measured: Mapping[str, Three]


def container_choices(garden: Garden) -> list[Container]:
    """Return every container once, this person's own first, the usual ones in their order."""
    by_name = {one.name: one for one in containers(garden).values()}
    own = {name for name, _ in garden.state().containers.values()}
    return sorted(by_name.values(), key=lambda one: one.name not in own)


def materials_meant(form: Filled) -> list[Material]:
    """Return what the words for the material may mean, when they are not clear."""
    words = form.text("material")
    problem = form.problem("material")
    if isinstance(problem, SeveralMaterials):
        return list(problem.choices)
    return suggestions(words) if problem is not None and len(words) < 80 else []


def read_lot(form: Filled, garden: Garden) -> NewLot | None:
    """Return the new lot, None when something is wrong (held in the form)."""
    name = "material_is" if form.text("material_is") else "material"
    material = form.need(name, "What it is", allowed_material, "such as leaves or lawn clippings")
    own = _own_container(form, garden)
    container = "" if own else _container(form, garden)
    count = form.need("count", "How many", _some, "how many there are, such as 3")
    keep_back = form.read("keep_back", "Keep back", lambda text: whole(text, "Keep back")) or 0
    fullness = _fullness(form)
    packing = form.one_of("packing", "Packing", Packing) or str(Packing.LOOSE)
    measured = _measured(form, garden)
    if count is not None and keep_back > count:
        form.wrong(
            "keep_back",
            OutOfRange(
                worded("{keep_back} to keep back", keep_back=keep_back),
                why=worded("there are only {count}", count=count),
            ),
        )
    if form.problems or material is None or count is None:
        return None
    name_of_container = own[0] if own else container
    return NewLot(material, name_of_container, own, count, fullness, packing, keep_back, measured)


def allowed_material(words: str) -> Material:
    """Return the material, unless it is refused; a conditional one is asked about at building."""
    found = find_material(words)
    if found.hazard is not None and found.hazard.permission is Permission.REFUSED:
        check_allowed(found)
    return found


def is_refused(problem: HeapwrightError | None) -> bool:
    """Whether a mistake is that the material must not go in."""
    return isinstance(problem, NotForCompost)


def _some(text: str) -> int:
    count = whole(text, "How many")
    if count < 1:
        raise OutOfRange("None of it", instead="Write how many there are, such as 3")
    return int(within(_COUNT, "How many", count, lambda number: f"{number:g}"))


def _container(form: Filled, garden: Garden) -> str:
    names = [one.name for one in container_choices(garden)]
    chosen = form.text("container")
    if chosen in names:
        return chosen
    form.wrong(
        "container",
        NotUnderstood(
            worded('No container is called "{chosen}"', chosen=chosen[:40])
            if chosen
            else "No container is chosen",
            instead="Choose one, or give your own a name and its volume",
        ),
    )
    return ""


def _own_container(form: Filled, garden: Garden) -> tuple[str, float] | None:
    """Return the name and volume of a container named on this form, None if none is."""
    name = form.text("own_name")
    system = UnitSystem(garden.state().settings.units)
    if not name and not form.text("own_volume"):
        return None
    if not name:
        form.wrong("own_name", NotUnderstood("Your container has no name", instead="Such as tub"))
    volume = form.need(
        "own_volume",
        "Its volume",
        lambda text: within(
            "container_volume_m3",
            "Volume",
            parse_volume_m3(text, system),
            lambda m3: format_volume(m3, system),
        ),
        "such as 40 L or 10 gal",
    )
    return (name, volume) if name and volume else None


def _fullness(form: Filled) -> str | Three:
    chosen = form.text("fullness")
    level = fullness_levels().get(chosen)
    return (level.low, level.typical, level.high) if level else ""


def _measured(form: Filled, garden: Garden) -> dict[str, Three]:
    found: dict[str, Estimate | None] = {
        "bulk_density_kg_m3": _pail_density(form, garden),
        "moisture": _moisture(form),
    }
    found |= _laboratory(form, found["moisture"])
    return {name: (e.low, e.typical, e.high) for name, e in found.items() if e is not None}


def _pail_density(form: Filled, garden: Garden) -> Estimate | None:
    system = UnitSystem(garden.state().settings.units)

    def mass(text: str) -> float:
        return parse_mass_kg(text, system, what="Weight")

    if not form.text("pail_full") and not form.text("pail_empty"):
        return None
    full = form.need("pail_full", "The full pail's weight", mass, "what the full pail weighs")
    empty = form.need("pail_empty", "The empty pail's weight", mass, "what the empty pail weighs")
    pails = {one.name: one for one in container_choices(garden)}
    pail = pails.get(form.text("pail"))
    if pail is None:
        form.wrong("pail", NotUnderstood("Which pail was weighed is not said"))
    if full is None or empty is None or pail is None:
        return None
    return form.read_text(
        "pail_full",
        "The full pail's weight",
        form.text("pail_full"),
        lambda _: bulk_density_from_pail(full, empty, pail.volume_m3),
    )


def _moisture(form: Filled) -> Estimate | None:
    if form.text("lab_moisture"):
        return form.read("lab_moisture", "Moisture", lambda t: Estimate.exactly(parse_share(t)))
    squeezed = form.one_of("squeeze", "Squeeze", squeeze_words())
    return squeeze_moisture(squeezed) if squeezed else None


def _laboratory(form: Filled, moisture: Estimate | None) -> dict[str, Estimate | None]:
    basis = form.text("lab_basis") or "dry"
    wet = None if moisture is None else moisture.typical

    def nitrogen_of(text: str) -> Estimate:
        share = parse_share(
            text if "%" in text else f"{text} %",
            what="Nitrogen",
            why="it is a share of the weight, so it lies between 0 and 100 %",
        )
        return laboratory_share(share, basis=basis, moisture=wet)

    nitrogen = form.read("lab_nitrogen", "Nitrogen", nitrogen_of)
    ratio = form.read("lab_c_to_n", "C:N", _ratio)
    if ratio is not None and nitrogen is None:
        form.wrong(
            "lab_nitrogen",
            NotUnderstood("C:N alone tells no amounts", instead="Give nitrogen in per cent too"),
        )
    carbon = nitrogen.scaled(ratio) if nitrogen is not None and ratio is not None else None
    if carbon is not None and carbon.typical > 1:
        form.wrong(
            "lab_c_to_n",
            OutOfRange(
                worded("Carbon would be {typical:.0%} of the dry weight", typical=carbon.typical),
                why="it cannot be more than the whole",
                instead="Check nitrogen and C:N",
            ),
        )
    return {"nitrogen_dry": nitrogen, "carbon_dry": carbon}


def _ratio(text: str) -> float:
    ratio = parse_number(text.removesuffix(":1"), what="C:N")
    return within("c_to_n", "C:N", ratio, lambda number: f"{number:g}")


def known_names(materials: Mapping[str, Any]) -> list[str]:
    """Return the names and everyday words of every material that may go in, for the list."""
    words: dict[str, None] = {}
    for material in materials.values():
        if material.hazard is None:
            words |= dict.fromkeys([material.name, *material.words[:2]])
    return sorted(words, key=str.lower)
