"""Answers what is on hand, and writes down what comes and what is thrown away.

Knows how people's words for a material and a container become a lot. Knows nothing of forms.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from heapwright.errors import NotForCompost, NotUnderstood, OutOfRange
from heapwright.journal.entries import EntryKind, GardenState, LotState, new_entry_id
from heapwright.materials.hazards import check_allowed
from heapwright.materials.search import find_material
from heapwright.materials.types import Material, Packing, Permission
from heapwright.mixing.lots import lot_properties
from heapwright.quantities import parse_container, parse_number, parse_share
from heapwright.quantities.containers import (
    Container,
    container_words,
    fullness_levels,
    fullness_said,
    fullness_words,
    own_container,
    packing_words,
    plural_of,
)
from heapwright.tables import Estimate
from heapwright.wording import worded
from heapwright.workshop.answers import LogAnswer, StockLine
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.lots import material_of, mixing_lot
from heapwright.workshop.setup import free_key

Three = tuple[float, float, float]


def stock(garden: Garden, *, also_empty: bool = False) -> tuple[StockLine, ...]:
    """Return the lots on hand, what spoils first at the top."""
    lots = garden.state().lots.values()
    lines = [_line(garden, lot) for lot in lots if also_empty or lot.left > 0]
    return tuple(sorted(lines, key=lambda line: (line.spoils_in_days or 0.0, line.lot.key)))


def add_lot(
    garden: Garden,
    *,
    material: str,
    container: str,
    count: int,
    origin: str,
    fullness: str | float | Three = "",
    packing: str = "loose",
    keep_back: int = 0,
    measured: Mapping[str, Three] | None = None,
    at: datetime | None = None,
    entry_id: str | None = None,
) -> LogAnswer:
    """Write down some of a material on hand.

    Parameters
    ----------
    garden : Garden
    material : str
        In the words people use.
    container : str
        A shipped or own container.
    count : int
        Whole containers.
    origin : str
        Where it was written, see `Entry.origin`.
    fullness : str, float or (low, typical, high)
        A word ("heaped", "half"), a share, or ""; then the container's usual fullness is taken.
    packing : str
    keep_back : int
        Containers to leave in reserve.
    measured : mapping property -> (low, typical, high), optional
        This person's own values, see `Lot.measured`.

    Raises
    ------
    UnknownMaterial, NotForCompost, NotUnderstood, OutOfRange
        NotForCompost only when the material is refused; a conditional one is kept on the list and
        asked about when a heap is built.

    """
    found = find_material(material)
    _refuse_refused(found)
    held = find_container(garden, container)
    body = {
        "key": _lot_key(garden, found, entry_id),
        "material_key": found.key,
        "container_name": held.name,
        "container_volume_m3": held.volume_m3,
        "count": count,
        "fullness": list(_fullness(fullness, held)),
        "packing": str(_packing(packing)),
        "keep_back": keep_back,
        "measured": {name: list(three) for name, three in (measured or {}).items()},
    }
    return log(garden, EntryKind.LOT, body, at=at, entry_id=entry_id, origin=origin)


def throw_away(
    garden: Garden,
    lot_key: str,
    count: float,
    *,
    origin: str,
    why: str = "",
    entry_id: str | None = None,
) -> LogAnswer:
    """Write down that containers of a lot are gone; `origin` is that of the entry.

    Raises
    ------
    NotFound, OutOfRange
        If there is no such lot, or more is said than is left.

    """
    lot = garden.lot(lot_key)
    if count > lot.left:
        raise OutOfRange(
            worded(
                "{count:g} {container_name} are said to be gone",
                count=count,
                container_name=plural_of(lot.container_name),
            ),
            why=worded("only {left:g} are left", left=lot.left),
        )
    body: dict[str, object] = {"lot": lot_key, "count": count}
    if why:
        body["why"] = why
    return log(garden, EntryKind.LOT_GONE, body, entry_id=entry_id, origin=origin)


def own_containers(state: GardenState) -> tuple[Container, ...]:
    """Return the containers this garden has named itself."""
    return tuple(own_container(name, volume) for name, volume in state.containers.values())


def containers(garden: Garden) -> dict[str, Container]:
    """Return every container by each of its words, a person's own first."""
    return container_words(own_containers(garden.state()))


def find_container(garden: Garden, words: str) -> Container:
    """Return the container these words mean.

    Raises
    ------
    NotUnderstood
        If none is called so, or the word can mean several sizes; names the choices.

    """
    return parse_container(words, own_containers(garden.state()), garden.reader().units)


def _line(garden: Garden, lot: LotState) -> StockLine:
    material = material_of(lot)
    mixed = mixing_lot(lot, garden.now())
    known = lot_properties(mixed)
    shown = {
        "moisture": known.moisture,
        "nitrogen_dry": known.nitrogen_dry,
        "carbon_dry": known.carbon_dry,
        "container_mass_kg": known.container_mass_kg,
    }
    return StockLine(
        lot=lot,
        material_name=material.name,
        role=str(material.role),
        spoils_in_days=material.keeps_days.typical - mixed.age_days,
        cautions=material.cautions,
        refused=_refusal(material),
        properties={name: _three(estimate) for name, estimate in shown.items()},
    )


def _refusal(material: Material) -> str:
    try:
        check_allowed(material)
    except NotForCompost as refusal:
        return refusal.explanation()
    return ""


def _refuse_refused(material: Material) -> None:
    if material.hazard is not None and material.hazard.permission is Permission.REFUSED:
        check_allowed(material)


def _lot_key(garden: Garden, material: Material, entry_id: str | None) -> str:
    # From the entry's id, so that the same entry sent twice is the same lot.
    stem = material.key.replace("_", "-")
    return (
        f"{stem}-{(entry_id or new_entry_id())[:6]}"
        if entry_id
        else free_key(stem, garden.state().lots)
    )


def _fullness(said: str | float | Three, container: Container) -> Three:
    if isinstance(said, tuple):
        return said
    if isinstance(said, str):
        return _three(_fullness_word(said, container))
    return _three(fullness_said(said))


def _fullness_word(said: str, container: Container) -> Estimate:
    word = said.strip().lower()
    if not word:
        return container.usual_fullness
    found = fullness_words().get(word) or fullness_levels().get(word)
    if found is not None:
        return found
    return fullness_said(parse_share(word, what="Fullness", why="A container holds 0 to 100 %"))


def _packing(said: str) -> Packing:
    found = packing_words().get(said.strip().lower())
    if found is None:
        raise NotUnderstood(
            worded('"{said}" does not say how it is packed', said=said),
            instead="Say loose, pressed or shredded",
        )
    return found


def _three(estimate: Estimate) -> Three:
    return (estimate.low, estimate.typical, estimate.high)


def whole(text: str, what: str) -> int:
    """Return a whole number of containers from what a person wrote.

    Raises
    ------
    NotUnderstood, OutOfRange
        If it is no number or not whole.

    """
    value = parse_number(text, what=what)
    if value != int(value) or value < 0:
        raise OutOfRange(
            worded("{what} {value:g}", what=what, value=value),
            why="only whole containers count",
            instead="Round it",
        )
    return int(value)
