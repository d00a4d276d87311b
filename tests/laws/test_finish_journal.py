"""Finish tests and screenings in the journal: folded in order, undone, carried out and back."""

from __future__ import annotations

from typing import Any

from heapwright.journal.entries import Entry, GardenState
from heapwright.journal.fold import fold
from heapwright.journal.transfer import export_json, read_json
from tests.laws.journal_cases import FILL, Writer, a_row_of_bins

LEFTOVERS = {"lot": "overs", "container_name": "pail", "container_volume_m3": 0.019, "count": 2}


def a_heap() -> Writer:
    writer = a_row_of_bins("left")
    writer.write("build", {"batch": "b", "name": "Heap", "bin": "left", "fill": FILL}, day=1)
    return writer


def kinds(state: GardenState) -> list[str]:
    return [str(entry.kind) for entry in state.batches["b"].entries]


def test_a_result_belongs_to_the_batch_and_can_be_taken_back() -> None:
    writer = a_heap()
    told: dict[str, Any] = {"bin": "left", "procedure": "radish-pot", "sown": 12, "up": 10}
    result = writer.write("test", told, day=60)
    assert kinds(fold(writer.entries)) == ["build", "test"]
    writer.write("undo", {"of": result.id}, day=61)
    assert kinds(fold(writer.entries)) == ["build"]


def test_leftovers_become_a_lot_that_goes_into_the_next_heap() -> None:
    writer = a_heap()
    screened = writer.write("screen", {"bin": "left", "through_m3": 0.2, **LEFTOVERS}, day=90)
    writer.write("use", {"bin": "left", "all": True}, day=91)
    lines = [{"lot": "overs", "count": 1}]
    writer.write("build", {"batch": "c", "name": "Next", "bin": "left", "lines": lines}, day=92)
    state = fold(writer.entries)
    lot = state.lots["overs"]
    assert (lot.material_key, lot.left, lot.got_at) == ("compost_oversize", 1.0, screened.at)
    assert state.problems == ()
    writer.write("undo", {"of": screened.id}, day=93)
    without = fold(writer.entries)
    assert "overs" not in without.lots
    assert any("overs" in problem for problem in without.problems)


def test_screening_an_empty_bin_makes_no_lot() -> None:
    writer = a_row_of_bins("left")
    writer.write("screen", {"bin": "left", **LEFTOVERS}, day=2)
    state = fold(writer.entries)
    assert state.lots == {}
    assert len(state.problems) == 1


def test_leftovers_never_take_the_key_of_another_lot() -> None:
    writer = a_heap()
    lot = {
        "key": "overs",
        "material_key": "leaves_mixed_dry",
        "container_name": "bag",
        "container_volume_m3": 0.1,
        "count": 3,
    }
    writer.write("lot", lot, day=2)
    writer.write("screen", {"bin": "left", **LEFTOVERS}, day=90)
    state = fold(writer.entries)
    assert state.lots["overs"].material_key == "leaves_mixed_dry"
    assert any("there already" in problem for problem in state.problems)


def test_an_export_carries_both_kinds_there_and_back() -> None:
    writer = a_heap()
    bag = {"bin": "left", "procedure": "bag", "days": 6, "smell": "earthy"}
    writer.write("test", bag, day=60)
    writer.write("screen", {"bin": "left", "through_m3": 0.2, **LEFTOVERS}, day=90)
    back = read_json(export_json(writer.entries))
    assert back.problems == ()
    assert list(map(_said, back.entries)) == list(map(_said, writer.entries))
    assert fold(back.entries) == fold(writer.entries)


def _said(entry: Entry) -> tuple[Any, ...]:
    return (entry.id, entry.kind, entry.at, dict(entry.body))
