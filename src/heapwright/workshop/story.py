"""Tells each entry of a batch in one plain sentence.

Knows wording only.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from heapwright.finish.guides import load_guides
from heapwright.finish.judge import judge
from heapwright.finish.types import Procedure
from heapwright.journal.entries import BinState, Entry, EntryKind
from heapwright.sentences import Sentence, inside, say, temperature, volume, water, word
from heapwright.wording import joined, worded

Bins = Mapping[str, BinState]


def story(entry: Entry, bins: Bins) -> Sentence:
    """Return what the entry tells, as a sentence."""
    teller = _TELLERS.get(entry.kind)
    return teller(entry, bins) if teller else say("{what}", what=word(str(entry.kind)))


def _name(bins: Bins, key: object) -> str:
    return bins[str(key)].name if str(key) in bins else str(key)


def _build(entry: Entry, bins: Bins) -> Sentence:
    where = word(_name(bins, entry.body["bin"]))
    given = float(entry.body.get("water_kg", 0.0))
    if given > 0:
        return say("Built in {bin}, with {water}.", bin=where, water=water(given))
    return say("Built in {bin}.", bin=where)


def _reading(entry: Entry, bins: Bins) -> Sentence:
    value = temperature(float(entry.body["temperature_c"]))
    where = entry.body.get("where", "core")
    if where == "core":
        return say("Read {value}.", value=value)
    return say("Read {value} at the {where}.", value=value, where=word(where))


def _look(entry: Entry, bins: Bins) -> Sentence:
    seen = [
        *(
            [worded("squeeze {squeeze}", squeeze=entry.body["squeeze"])]
            if entry.body.get("squeeze")
            else []
        ),
        *([worded("smell {smell}", smell=entry.body["smell"])] if entry.body.get("smell") else []),
        *entry.body.get("pests", []),
        *entry.body.get("looks", []),
        *([entry.body["note"]] if entry.body.get("note") else []),
    ]
    return say("Looked at it: {seen}.", seen=word(joined(seen, ", ") if seen else "level"))


def _turn(entry: Entry, bins: Bins) -> Sentence:
    given = float(entry.body.get("water_kg", 0.0))
    values = {"water": water(given)}
    if entry.body["how"] == "move":
        values["bin"] = word(_name(bins, entry.body["to_bin"]))
        if given > 0:
            return say("Moved to {bin}, outside in, with {water}.", **values)
        return say("Moved to {bin}, outside in.", **values)
    if given > 0:
        return say("Stirred where it stands, with {water}.", **values)
    return say("Stirred where it stands.", **values)


def _wet(entry: Entry, bins: Bins) -> Sentence:
    return say("Wetted with {water}.", water=water(float(entry.body["water_kg"])))


def _add(entry: Entry, bins: Bins) -> Sentence:
    count = sum(float(line["count"]) for line in entry.body["lines"])
    if count == 1:
        return say("Added one container.")
    return say("Added {count} containers.", count=word(f"{count:g}"))


def _cover(entry: Entry, bins: Bins) -> Sentence:
    cover = str(entry.body["cover"])
    if cover == "open":
        return say("Uncovered.")
    return say("Covered: {cover}.", cover=word(cover))


def _cure(entry: Entry, bins: Bins) -> Sentence:
    return say("Left to cure.")


def _test(entry: Entry, bins: Bins) -> Sentence:
    procedure = Procedure(entry.body["procedure"])
    judged = judge(procedure, entry.body)
    return say(
        "{test}, {verdict}: {reason}",
        test=word(load_guides()[procedure].name),
        verdict=word(str(judged.verdict)),
        reason=inside(judged.reason),
    )


def _screen(entry: Entry, bins: Bins) -> Sentence:
    values = {}
    if "through_m3" in entry.body:
        values["through"] = volume(float(entry.body["through_m3"]))
    if "lot" in entry.body:
        values["count"] = word(f"{entry.body['count']:g}")
        values["container"] = word(str(entry.body["container_name"]))
    if "lot" not in entry.body:
        return say("Screened: {through} through.", **values)
    if "through_m3" not in entry.body:
        return say("Screened: {count} × {container} kept back for the next heap.", **values)
    return say(
        "Screened: {through} through, {count} × {container} kept back for the next heap.", **values
    )


def _use(entry: Entry, bins: Bins) -> Sentence:
    where = entry.body.get("where", "")
    if entry.body.get("all"):
        return say(
            "Used all of it{where}.",
            where=word(worded(" on {where}", where=where) if where else ""),
        )
    return say(
        "Used {amount}{where}.",
        amount=volume(float(entry.body["volume_m3"])),
        where=word(worded(" on {where}", where=where) if where else ""),
    )


def _photo(entry: Entry, bins: Bins) -> Sentence:
    caption = entry.body.get("caption", "")
    return say("Photo: {caption}", caption=word(caption)) if caption else say("A photo.")


_TELLERS: Mapping[EntryKind, Callable[[Entry, Bins], Sentence]] = {
    EntryKind.BUILD: _build,
    EntryKind.READING: _reading,
    EntryKind.LOOK: _look,
    EntryKind.TURN: _turn,
    EntryKind.WET: _wet,
    EntryKind.ADD: _add,
    EntryKind.COVER: _cover,
    EntryKind.CURE: _cure,
    EntryKind.TEST: _test,
    EntryKind.SCREEN: _screen,
    EntryKind.USE: _use,
    EntryKind.PHOTO: _photo,
}
