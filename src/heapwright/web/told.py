"""Says in one plain sentence what an entry stored, for the page after a form.

Knows wording only; what belongs to a heap's story is told by `workshop.story`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from heapwright.journal.entries import Entry, EntryKind, GardenState
from heapwright.materials.table import load_materials
from heapwright.mixing.words import low
from heapwright.sentences import Sentence, inside, say, volume, word
from heapwright.web.build_words import counted
from heapwright.workshop.garden import Garden
from heapwright.workshop.story import story


def telling(entry: Entry, state: GardenState) -> Sentence:
    """Return what an entry tells, as a sentence."""
    teller = _TELLERS.get(entry.kind)
    return teller(entry, state) if teller else story(entry, state.bins)


def found(garden: Garden, ids: list[str]) -> list[Entry]:
    """Return the journal's entries with these ids, in the order asked; unknown ones left out."""
    by_id = {entry.id: entry for entry in garden.entries() if entry.id in ids}
    return [by_id[one] for one in ids if one in by_id]


def authors(garden: Garden) -> Mapping[str, str]:
    """Return who wrote which entry, by its id; those where nobody signs in have none."""
    return {entry.id: entry.author for entry in garden.entries() if entry.author}


def _lot(entry: Entry, state: GardenState) -> Sentence:
    body = entry.body
    return say(
        "On the list: {amount} of {material}.",
        amount=word(counted(float(body["count"]), body["container_name"])),
        material=word(_material(body["material_key"])),
    )


def _lot_gone(entry: Entry, state: GardenState) -> Sentence:
    lot = state.lots.get(str(entry.body["lot"]))
    if lot is None:
        return say("{count} containers are gone.", count=word(f"{entry.body['count']:g}"))
    return say(
        "Gone: {amount} of {material}.",
        amount=word(counted(float(entry.body["count"]), lot.container_name)),
        material=word(_material(lot.material_key)),
    )


def _material(key: str) -> str:
    material = load_materials().get(key)
    return low(material.name) if material else key


def _bin(entry: Entry, state: GardenState) -> Sentence:
    return say("{bin} is saved.", bin=word(entry.body["name"]))


def _bin_gone(entry: Entry, state: GardenState) -> Sentence:
    key = str(entry.body["bin"])
    name = state.bins[key].name if key in state.bins else key
    return say("{bin} is out of use.", bin=word(name))


def _probe(entry: Entry, state: GardenState) -> Sentence:
    key = str(entry.body["bin"])
    name = state.bins[key].name if key in state.bins else key
    return say("Probe {probe} is in {bin}.", probe=word(entry.body["name"]), bin=word(name))


def _probe_gone(entry: Entry, state: GardenState) -> Sentence:
    probe = state.probes.get(str(entry.body["probe"]))
    name = probe.name if probe is not None else str(entry.body["probe"])
    return say("Probe {probe} is withdrawn.", probe=word(name))


def _spread(entry: Entry, state: GardenState) -> Sentence:
    return say(
        "{what}: {volume} on {bed}.",
        what=inside(_SPREAD_WORDS[entry.body["what"]]),
        volume=volume(float(entry.body["volume_m3"])),
        bed=word(_bed_name(str(entry.body["bed"]), state)),
    )


def _bed_name(key: str, state: GardenState) -> str:
    return state.year.beds[key].name if key in state.year.beds else key


def _bed(entry: Entry, state: GardenState) -> Sentence:
    return say("{bed} is on the list of beds.", bed=word(entry.body["name"]))


def _bed_gone(entry: Entry, state: GardenState) -> Sentence:
    return say("{bed} wants nothing more.", bed=word(_bed_name(str(entry.body["bed"]), state)))


def _arrival(entry: Entry, state: GardenState) -> Sentence:
    return say(
        "Expected every week in its season: {material}.",
        material=word(_material(entry.body["material_key"])),
    )


def _arrival_gone(entry: Entry, state: GardenState) -> Sentence:
    there = state.year.arrivals.get(str(entry.body["arrival"]))
    name = _material(there.material_key) if there else str(entry.body["arrival"])
    return say("No longer expected: {material}.", material=word(name))


def _away(entry: Entry, state: GardenState) -> Sentence:
    return say("The days away are kept.")


def _away_gone(entry: Entry, state: GardenState) -> Sentence:
    return say("Those days away are dropped.")


def _site(entry: Entry, state: GardenState) -> Sentence:
    return say("What you said of the site is kept.")


def _wishes(entry: Entry, state: GardenState) -> Sentence:
    return say("Your wishes for the year are kept.")


_SPREAD_WORDS = {
    "own compost": say("Own compost"),
    "bought compost": say("Bought compost"),
    "manure compost": say("Composted manure"),
    "manure": say("Manure"),
}


def _container(entry: Entry, state: GardenState) -> Sentence:
    return say(
        "{name} holds {volume}.",
        name=word(entry.body["name"]),
        volume=volume(float(entry.body["volume_m3"])),
    )


def _garden(entry: Entry, state: GardenState) -> Sentence:
    return say("The garden's settings are saved.")


def _note(entry: Entry, state: GardenState) -> Sentence:
    return say("Noted: {text}", text=word(entry.body["text"]))


def _correct(entry: Entry, state: GardenState) -> Sentence:
    of = str(entry.body["of"])
    told = (one for batch in state.batches.values() for one in batch.entries)
    now = next((one for one in (*told, *state.notes) if one.id == of), None)
    if now is None:
        return say("Corrected.")
    words = telling(now, state)
    return say("Corrected: " + words.template, **words.values)


_TELLERS: Mapping[EntryKind, Callable[[Entry, GardenState], Sentence]] = {
    EntryKind.LOT: _lot,
    EntryKind.LOT_GONE: _lot_gone,
    EntryKind.BIN: _bin,
    EntryKind.BIN_GONE: _bin_gone,
    EntryKind.CONTAINER: _container,
    EntryKind.PROBE: _probe,
    EntryKind.PROBE_GONE: _probe_gone,
    EntryKind.GARDEN: _garden,
    EntryKind.SPREAD: _spread,
    EntryKind.BED: _bed,
    EntryKind.BED_GONE: _bed_gone,
    EntryKind.ARRIVAL: _arrival,
    EntryKind.ARRIVAL_GONE: _arrival_gone,
    EntryKind.AWAY: _away,
    EntryKind.AWAY_GONE: _away_gone,
    EntryKind.SITE: _site,
    EntryKind.WISHES: _wishes,
    EntryKind.NOTE: _note,
    EntryKind.CORRECT: _correct,
}
