"""Turns the Log form into entries: what was read, seen and done at one bin, in one visit.

Knows the form's fields and which entries they make. Knows nothing of pages or of storing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from typing import Any

from heapwright.errors import HeapwrightError, NotUnderstood, OutOfRange
from heapwright.heap.types import Cover
from heapwright.journal.bodies import checked_body
from heapwright.journal.entries import BinState, EntryKind, GardenState
from heapwright.journal.forms import LOOKS, PESTS, PLACES, SMELLS, SQUEEZES, TURNS
from heapwright.journal.picture import Photo
from heapwright.quantities import (
    TemperatureUnit,
    UnitSystem,
    format_length,
    parse_amount,
    parse_length_m,
    parse_number,
    parse_temperature_c,
)
from heapwright.quantities.containers import plural_of
from heapwright.web.doubt import written_in
from heapwright.web.forms import WHOLE_FORM, Filled, within
from heapwright.web.log_taken import where_taken
from heapwright.web.storing import Told
from heapwright.web.water_form import read_water
from heapwright.wording import worded
from heapwright.workshop.stock import own_containers

#: The field of a lot that something was added from: this and the lot's key.
ADDED = "added."
#: The field of the usual amounts of water, one tap each.
WATER_TAP = "water_tap"
#: Entries of one visit follow one another by this much, so that a cover laid after a move is laid
#: on the heap where it lies then.
STEP = timedelta(milliseconds=1)


def temperature_unit(form: Filled, state: GardenState) -> TemperatureUnit:
    """Return the degree chosen on the form, else the garden's own."""
    chosen = form.text("unit")
    if chosen in list(TemperatureUnit):
        return TemperatureUnit(chosen)
    return UnitSystem(state.settings.units).temperature_unit


def told(
    form: Filled, state: GardenState, *, waited: bool = False, photo: Photo | None = None
) -> list[Told]:
    """Return what the form tells, in the order in which it is done at the bin.

    What is wrong is held in the form; then the list is of no use. What `waited` in a phone is told
    of an earlier hour, as what has a moment of its own is.
    """
    earlier = waited or bool(form.text("at"))
    bin_state = _bin(form, state)
    if bin_state is None:
        return []
    key = bin_state.key
    # What is told of another day is judged by the journal: the bin may have been full then.
    if bin_state.batch_key is None and not earlier:
        return _of_empty_bin(form, bin_state, state, photo)
    found = [
        *_reading(form, key, state),
        *_look(form, key),
        *_photo(form, key, photo),
        *_added(form, key, state),
        *_turned_and_wetted(form, bin_state, state, earlier=earlier),
    ]
    # After a move it lies in another bin: what follows is done there.
    there = next((one.body["to_bin"] for one in found if "to_bin" in one.body), key)
    found += [*_used(form, there, state), *_covered(form, there), *_cured(form, there)]
    if not found and not form.problems:
        form.wrong(WHOLE_FORM, _nothing_told())
    return _sound(form, found)


def _nothing_told() -> HeapwrightError:
    return NotUnderstood(
        "Nothing is filled in yet",
        instead="Write the temperature, or tap what you saw or did",
        kept="",
    )


def _bin(form: Filled, state: GardenState) -> BinState | None:
    key = form.text("bin")
    if key in state.bins_in_use:
        return state.bins_in_use[key]
    said = worded('No bin is called "{key}"', key=key[:40]) if key else "No bin is chosen"
    form.wrong("bin", NotUnderstood(said, instead="Tap the bin you stand at"))
    return None


def _of_empty_bin(
    form: Filled, bin_state: BinState, state: GardenState, photo: Photo | None
) -> list[Told]:
    """Only a note can be kept of a bin with nothing in it; what else was filled in is held."""
    found = [
        *_reading(form, bin_state.key, state),
        *_look(form, bin_state.key),
        *_photo(form, bin_state.key, photo),
        *_turned_and_wetted(form, bin_state, state),
    ]
    only_note = all(set(one.body) <= {"bin", "note"} for one in found)
    if not only_note or not found:
        form.wrong(
            "bin",
            OutOfRange(
                worded("{name} is empty", name=bin_state.name),
                why="there is no heap in it to read, look at or turn",
                instead="Choose the bin you stand at, or write down first what was built in it",
            ),
        )
        return []
    note = found[0].body["note"]
    return _sound(form, [Told("note", EntryKind.NOTE, {"text": note, "bin": bin_state.key})])


def _sound(form: Filled, found: list[Told]) -> list[Told]:
    """Hold beside its field what the journal would refuse."""
    for one in found:
        try:
            checked_body(one.kind, one.body)
        except HeapwrightError as problem:
            form.wrong(one.what, problem)
    return found


def _reading(form: Filled, bin_key: str, state: GardenState) -> Iterator[Told]:
    unit = temperature_unit(form, state)
    sure = form.text("sure")

    def read(text: str) -> float:
        in_unit = written_in(text, TemperatureUnit(sure)) if sure in list(TemperatureUnit) else text
        return parse_temperature_c(in_unit, unit)

    celsius = form.read("temperature", "Temperature", read)
    depth_m = _depth_m(form, state)
    where = form.one_of("where", "Where", PLACES)
    if celsius is None:
        return
    body: dict[str, Any] = {"bin": bin_key, "temperature_c": celsius}
    if depth_m is not None:
        body["depth_m"] = depth_m
    yield Told("temperature", EntryKind.READING, body | ({"where": where} if where else {}))


def _depth_m(form: Filled, state: GardenState) -> float | None:
    system = UnitSystem(state.settings.units)
    name = "depth_other" if form.text("depth_other") else "depth"

    def read(text: str) -> float:
        depth = parse_length_m(text, system, what="Depth")
        return within("probe_depth_m", "Depth", depth, lambda m: format_length(m, system))

    return form.read(name, "Depth", read)


def _look(form: Filled, bin_key: str) -> Iterator[Told]:
    seen: dict[str, Any] = {
        "squeeze": form.one_of("squeeze", "Squeeze", SQUEEZES),
        "smell": form.one_of("smell", "Smell", SMELLS),
        "pests": form.several_of("pests", "Pests", PESTS),
        "looks": form.several_of("looks", "Look", LOOKS),
        "note": form.note("note"),
    }
    body = {name: value for name, value in seen.items() if value}
    if body:
        # Only the note can still be refused here.
        yield Told("note", EntryKind.LOOK, {"bin": bin_key, **body})


def _photo(form: Filled, bin_key: str, photo: Photo | None) -> Iterator[Told]:
    caption = form.note("photo_caption", "What the photo shows")
    if photo is None:
        return
    body = {"bin": bin_key, **photo.named}
    yield Told("photo", EntryKind.PHOTO, body | ({"caption": caption} if caption else {}))


def _turned_and_wetted(
    form: Filled, bin_state: BinState, state: GardenState, *, earlier: bool = False
) -> Iterator[Told]:
    water_kg = _water_kg(form, state)
    how = form.one_of("turned", "Turned", TURNS)
    water: Mapping[str, Any] = {"water_kg": water_kg} if water_kg else {}
    if how is None:
        if water:
            yield Told("water", EntryKind.WET, {"bin": bin_state.key, **water})
        return
    body: dict[str, Any] = {"bin": bin_state.key, "how": how, **water}
    if how == "move" and not _moved_to(form, bin_state, state, body, earlier):
        return
    yield Told("turned", EntryKind.TURN, body)


def _water_kg(form: Filled, state: GardenState) -> float | None:
    """Return the water given: as written, else as tapped ("pail:2"). [kg]"""
    unit, _, count = form.text(WATER_TAP).partition(":")
    if form.text("water") or not count:
        return read_water(form, state.settings)
    tapped = Filled([("water", count), ("water_unit", unit)])
    water_kg = read_water(tapped, state.settings)
    for problem in tapped.problems.values():
        form.wrong("water", problem)
    return water_kg


def _moved_to(
    form: Filled, bin_state: BinState, state: GardenState, body: dict[str, Any], earlier: bool
) -> bool:
    """Put where it was moved into the body; False when that is wrong."""
    target = state.bins_in_use.get(form.text("to_bin"))
    if target is None:
        form.wrong(
            "to_bin", NotUnderstood("Where it was moved to is missing", instead="Tap the bin")
        )
        return False
    if target.key == bin_state.key:
        form.wrong(
            "to_bin",
            NotUnderstood(
                worded("{name} is the bin it was in", name=target.name),
                instead='Tap the other bin, or "Stirred" if it stayed',
            ),
        )
        return False
    body["to_bin"] = target.key
    if form.has("onto", "yes"):
        body["onto"] = True
    elif target.batch_key is not None and not earlier:
        standing = state.batches[target.batch_key].name
        form.wrong(
            "to_bin",
            OutOfRange(
                worded("{standing} stands in {name}", standing=standing, name=target.name),
                instead='Tap "onto the heap there" if the two are one heap now, or another bin',
            ),
        )
        return False
    return True


def _added(form: Filled, bin_key: str, state: GardenState) -> Iterator[Told]:
    lines = []
    for lot_key, _ in form.beginning_with(ADDED).items():
        name = ADDED + lot_key
        lot = state.lots.get(lot_key)
        if lot is None:
            form.wrong(
                name, NotUnderstood(worded('No lot is called "{lot_key}"', lot_key=lot_key[:40]))
            )
            continue
        count = form.read(name, "Containers", lambda text: parse_number(text, what="Containers"))
        if count is None or count == 0:
            continue
        if not 0 < count <= lot.left:
            form.wrong(
                name,
                OutOfRange(
                    f"{count:g} {plural_of(lot.container_name)}",
                    why=worded("{left:g} are left of this lot", left=lot.left),
                    instead="Count them again",
                ),
            )
        lines.append({"lot": lot_key, "count": count})
    if lines:
        yield Told("added", EntryKind.ADD, {"bin": bin_key, "lines": lines})


def _used(form: Filled, bin_key: str, state: GardenState) -> Iterator[Told]:
    taken = form.one_of("taken", "Compost taken out", ("some", "all"))
    if taken is None:
        return
    body: dict[str, Any] = {"bin": bin_key, **where_taken(form, state)}
    example = "it such as 2 wheelbarrows, 3 pails or 40 L"

    def amount(text: str) -> float:
        return volume_of(text, state)

    if taken == "all":
        amount_m3 = form.read("taken_amount", "How much was taken out", amount)
        measured = {} if amount_m3 is None else {"volume_m3": amount_m3}
        yield Told("taken", EntryKind.USE, body | {"all": True} | measured)
        return
    amount_m3 = form.need("taken_amount", "How much was taken out", amount, example)
    if amount_m3 is not None:
        yield Told("taken_amount", EntryKind.USE, body | {"volume_m3": amount_m3})


def volume_of(text: str, state: GardenState) -> float:
    """Return the volume of an amount in people's words, such as "2 wheelbarrows". [m³]

    Raises
    ------
    NotUnderstood, OutOfRange
        Also when it is a weight: compost is measured by volume here.

    """
    amount = parse_amount(text, own_containers(state), UnitSystem(state.settings.units))
    if amount.volume_m3 is None:
        raise NotUnderstood(
            worded('"{text}" is a weight', text=text),
            instead="Say it by volume, such as 2 wheelbarrows or 40 L",
        )
    return amount.volume_m3.typical


def _covered(form: Filled, bin_key: str) -> Iterator[Told]:
    cover = form.one_of("cover", "Cover", Cover)
    if cover is not None:
        yield Told("cover", EntryKind.COVER, {"bin": bin_key, "cover": cover})


def _cured(form: Filled, bin_key: str) -> Iterator[Told]:
    if form.has("cure", "yes"):
        yield Told("cure", EntryKind.CURE, {"bin": bin_key})


def moments(first: datetime, count: int) -> list[datetime]:
    """Return the times of the entries of one visit, each a moment after the one before."""
    return [first + number * STEP for number in range(count)]
