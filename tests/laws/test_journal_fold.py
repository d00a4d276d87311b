"""Laws of the fold: what entries make of the garden, whatever order they arrive in."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from heapwright.journal.entries import Entry, EntryKind
from heapwright.journal.fold import fold
from heapwright.journal.undo import order, settle
from tests.laws.journal_cases import FILL, a_lot, a_row_of_bins, journals


def a_reading(temperature_c: float) -> dict[str, Any]:
    return {"bin": "one", "temperature_c": temperature_c}


def test_fold_batch_follows_moves_and_ends_when_used_up():
    told = a_row_of_bins("one", "two")
    told.write("build", {"batch": "april", "name": "April", "bin": "one", "fill": FILL}, day=1)
    told.write("reading", {"bin": "one", "temperature_c": 61}, day=3)
    told.write("turn", {"bin": "one", "how": "move", "to_bin": "two"}, day=10)
    told.write("reading", {"bin": "two", "temperature_c": 55}, day=11)
    garden = fold(told.entries)
    assert garden.problems == ()
    assert garden.bins["one"].batch_key is None
    assert garden.bins["two"].batch_key == "april"
    assert [e.kind for e in garden.batches["april"].entries] == [
        "build",
        "reading",
        "turn",
        "reading",
    ]
    told.write("cure", {"bin": "two"}, day=40)
    assert fold(told.entries).batches["april"].stage == "curing"
    told.write("use", {"bin": "two", "all": True}, day=90)
    april = fold(told.entries).batches["april"]
    assert (april.stage, april.bin_key) == ("used", None)


def test_fold_takes_containers_from_lots():
    told = a_row_of_bins("one")
    told.write("lot", a_lot("bags", 10))
    lines = [{"lot": "bags", "count": 4}]
    told.write("build", {"batch": "a", "name": "A", "bin": "one", "lines": lines}, day=1)
    told.write("add", {"bin": "one", "lines": [{"lot": "bags", "count": 0.5}]}, day=2)
    told.write("lot_gone", {"lot": "bags", "count": 1, "why": "given away"}, day=3)
    assert fold(told.entries).lots["bags"].left == pytest.approx(4.5)
    told.write("lot", a_lot("bags", 8), day=4)
    garden = fold(told.entries)
    assert garden.lots["bags"].left == 8
    assert garden.lots["bags"].got_at == told.start
    assert garden.problems == ()


def test_fold_bin_put_out_of_use_stays_in_the_story_of_its_heaps():
    told = a_row_of_bins("one", "two")
    told.write("build", {"batch": "a", "name": "A", "bin": "one", "fill": FILL}, day=1)
    told.write("turn", {"bin": "one", "how": "move", "to_bin": "two"}, day=5)
    before = fold(told.entries)
    gone = told.write("bin_gone", {"bin": "one", "why": "rotten pallets"}, day=6)
    garden = fold(told.entries)
    assert garden.problems == ()
    assert list(garden.bins_in_use) == ["two"]
    assert garden.bins["one"] == replace(before.bins["one"], in_use=False)
    assert garden.batches == before.batches
    told.write("undo", {"of": gone.id}, day=7)
    assert fold(told.entries) == before


def test_fold_bin_saved_again_is_in_use_again():
    told = a_row_of_bins("one")
    told.write("bin_gone", {"bin": "one"}, day=1)
    again = {"key": "one", "name": "One", "width_m": 1.0, "depth_m": 1.0, "height_m": 1.2}
    told.write("bin", again, day=2)
    told.write("build", {"batch": "a", "name": "A", "bin": "one", "fill": FILL}, day=3)
    garden = fold(told.entries)
    assert garden.problems == ()
    assert (garden.bins["one"].in_use, garden.bins["one"].batch_key) == (True, "a")


def test_fold_leaves_a_bin_in_use_that_a_heap_stands_in_and_says_so():
    told = a_row_of_bins("one", "two")
    told.write("build", {"batch": "a", "name": "April", "bin": "one", "fill": FILL}, day=1)
    told.write("bin_gone", {"bin": "one"}, day=2)
    garden = fold(told.entries)
    assert garden.bins["one"].in_use
    (problem,) = garden.problems
    assert "Bin one was put out of use while April stood in it" in problem
    told.write("use", {"bin": "one", "all": True}, day=1.5)  # told late: it was empty by then
    garden = fold(told.entries)
    assert (garden.problems, garden.bins["one"].in_use) == ((), False)


@pytest.mark.parametrize("gone_first", [True, False])
def test_fold_bin_emptied_and_put_out_of_use_in_one_moment_is_out_of_use(gone_first):
    """The ids, which break the tie otherwise, must not decide."""
    told = a_row_of_bins("one")
    told.write("build", {"batch": "a", "name": "A", "bin": "one", "fill": FILL}, day=1)
    said = [("use", {"bin": "one", "all": True}), ("bin_gone", {"bin": "one"})]
    for kind, body in reversed(said) if gone_first else said:
        told.write(kind, body, day=2)
    garden = fold(told.entries)
    assert (garden.problems, garden.bins["one"].in_use) == ((), False)


@pytest.mark.parametrize(
    "kind, body",
    [
        ("build", {"batch": "b", "name": "B", "bin": "one", "fill": FILL}),
        ("turn", {"bin": "two", "how": "move", "to_bin": "one"}),
        ("bin_gone", {"bin": "four"}),
    ],
)
def test_fold_tells_what_cannot_be_done_in_a_bin_out_of_use(kind, body):
    told = a_row_of_bins("one", "two")
    told.write("build", {"batch": "a", "name": "A", "bin": "two", "fill": FILL}, day=1)
    told.write("bin_gone", {"bin": "one"}, day=2)
    before = fold(told.entries)
    told.write(kind, body, day=3)
    garden = fold(told.entries)
    (problem,) = garden.problems
    assert "put out of use" in problem or "no bin four is known" in problem
    assert (garden.bins, garden.batches) == (before.bins, before.batches)


def test_fold_undo_takes_back_and_undo_of_undo_restores():
    told = a_row_of_bins("one")
    told.write("build", {"batch": "a", "name": "A", "bin": "one", "fill": FILL}, day=1)
    reading = told.write("reading", {"bin": "one", "temperature_c": 61}, day=2)
    before = fold(told.entries)
    undo = told.write("undo", {"of": reading.id}, day=3)
    assert len(fold(told.entries).batches["a"].entries) == 1
    told.write("undo", {"of": undo.id}, day=4)
    assert fold(told.entries) == before


def test_fold_ignores_the_order_of_arrival():
    told = a_row_of_bins("one", "two")
    told.write("build", {"batch": "a", "name": "A", "bin": "one", "fill": FILL}, day=1)
    for day in range(2, 30):
        told.write("reading", {"bin": "one", "temperature_c": 40 + day}, day=day)
    told.write("turn", {"bin": "one", "how": "move", "to_bin": "two"}, day=10.5)
    expected = fold(told.entries)
    mixed = list(told.entries)
    random.Random(1).shuffle(mixed)
    assert fold(mixed) == expected
    assert fold(replace(entry) for entry in mixed + told.entries) == expected


@given(journals(), st.randoms())
def test_fold_of_any_journal_ignores_the_order_of_arrival(entries, chance):
    expected = fold(entries)
    mixed = entries + chance.sample(entries, len(entries) // 2)
    chance.shuffle(mixed)
    assert fold(mixed) == expected


@given(journals())
def test_fold_state_holds_together(entries):
    garden = fold(entries)
    for lot in garden.lots.values():
        assert 0 <= lot.left <= lot.count
    for key, one in garden.bins.items():
        assert (one.key, one.batch_key is None or garden.batches[one.batch_key].bin_key == key) == (
            key,
            True,
        )
        assert one.in_use or one.batch_key is None
    assert set(garden.bins_in_use) == {key for key, one in garden.bins.items() if one.in_use}
    for key, batch in garden.batches.items():
        assert batch.bin_key is None or garden.bins[batch.bin_key].batch_key == key
        assert (batch.stage == "used") == (batch.bin_key is None)
        assert batch.entries[0].kind is EntryKind.BUILD
        assert list(batch.entries) == sorted(batch.entries, key=order)
        lines = [line for e in batch.entries for line in e.body.get("lines", ())]
        assert {line["lot"] for line in lines} <= garden.lots.keys()
    for problem in garden.problems:
        assert problem.endswith(".")


@given(journals())
def test_fold_forgets_nothing_silently(entries):
    """A deed at a bin is in a batch, or a problem tells of it (an undone one is neither)."""
    garden = fold(entries)
    placed = {e.id for batch in garden.batches.values() for e in batch.entries}
    quiet = {"garden", "container", "bin", "bin_gone", "lot", "lot_gone", "note", "cover"}
    quiet |= {"site", "wishes", "bed", "bed_gone", "arrival", "arrival_gone", "away", "away_gone"}
    placed |= {one.entry_id for one in garden.year.spreads}
    counted = [e for e in settle(entries).entries if e.kind not in quiet]
    assert len(garden.problems) >= len([e for e in counted if e.id not in placed])


@given(journals(), st.data())
def test_fold_undo_of_an_entry_is_as_if_it_had_not_been_written(entries, data):
    entry = data.draw(st.sampled_from(entries))
    speaks_of = [e for e in entries if e.body.get("of") == entry.id]
    assume(not speaks_of and entry.kind is not EntryKind.UNDO)
    undo = Entry(
        "f" * 32, EntryKind.UNDO, entry.at, {"of": entry.id}, entry.written_at, origin="page"
    )
    assert fold([*entries, undo]) == fold([e for e in entries if e is not entry])
    again = Entry(
        "e" * 32, EntryKind.UNDO, entry.at, {"of": undo.id}, entry.written_at, origin="page"
    )
    assert fold([*entries, undo, again]) == fold(entries)


@given(journals(), st.data())
def test_fold_correction_is_as_if_it_had_been_written_so(entries, data):
    entry = data.draw(st.sampled_from(entries))
    speaks_of = [e for e in entries if e.body.get("of") == entry.id]
    assume(not speaks_of and entry.kind not in (EntryKind.UNDO, EntryKind.CORRECT))
    body = {"of": entry.id, "at": "2026-04-03T00:00:00+00:00", "body": dict(entry.body)}
    correction = Entry("f" * 32, EntryKind.CORRECT, entry.at, body, entry.written_at, origin="page")
    moved = replace(entry, at=datetime(2026, 4, 3, tzinfo=UTC))
    assert fold([*entries, correction]) == fold([moved if e is entry else e for e in entries])


def test_fold_last_written_correction_counts_and_undoing_it_brings_the_other_back():
    told = a_row_of_bins("one")
    told.write("build", {"batch": "a", "name": "A", "bin": "one", "fill": FILL}, day=1)
    reading = told.write("reading", {"bin": "one", "temperature_c": 16}, day=2)
    first = told.write("correct", {"of": reading.id, "body": a_reading(60)}, day=3)
    # A correction of the correction corrects the same reading; it arrives with an earlier date.
    second = told.write("correct", {"of": first.id, "body": a_reading(61)}, day=2.5, written=4)
    assert fold(told.entries).batches["a"].entries[1].body["temperature_c"] == 61
    told.write("undo", {"of": second.id}, day=5)
    assert fold(told.entries).batches["a"].entries[1].body["temperature_c"] == 60


def test_fold_undos_in_a_ring_do_not_count_and_are_told():
    told = a_row_of_bins("one")
    one, other = "a" * 32, "b" * 32
    ring = [
        Entry(one, EntryKind.UNDO, told.start, {"of": other}, told.start, origin="page"),
        Entry(other, EntryKind.UNDO, told.start, {"of": one}, told.start, origin="page"),
    ]
    garden = fold([*told.entries, *ring])
    assert garden.bins.keys() == {"one"}
    assert len(garden.problems) == 2


def test_fold_long_chain_of_undos_is_followed_to_its_end():
    told = a_row_of_bins("one")
    last = told.entries[0].id
    for _ in range(5001):
        last = told.write("undo", {"of": last}).id
    assert fold(told.entries).bins == {}
    told.write("undo", {"of": last})
    assert fold(told.entries).bins.keys() == {"one"}


def test_fold_tells_what_cannot_be_and_counts_it_when_the_missing_entry_arrives():
    told = a_row_of_bins("one")
    told.write("reading", {"bin": "one", "temperature_c": 60}, day=2)
    assert "nothing stood in Bin one" in fold(told.entries).problems[0]
    told.write("build", {"batch": "a", "name": "A", "bin": "one", "fill": FILL}, day=1)
    garden = fold(told.entries)
    assert garden.problems == ()
    assert len(garden.batches["a"].entries) == 2


def test_fold_does_not_build_where_a_heap_stands():
    told = a_row_of_bins("one")
    build = {"batch": "a", "name": "April", "bin": "one", "fill": FILL}
    told.write("build", build, day=1)
    told.write("build", build | {"batch": "b", "name": "May"}, day=2)
    garden = fold(told.entries)
    assert garden.batches.keys() == {"a"}
    assert "where April stands" in garden.problems[0]


def test_fold_moving_onto_a_heap_joins_them_only_when_said_so():
    told = a_row_of_bins("one", "two")
    for batch, place in (("a", "one"), ("b", "two")):
        told.write("build", {"batch": batch, "name": batch, "bin": place, "fill": FILL}, day=1)
    refused = told.write("turn", {"bin": "one", "how": "move", "to_bin": "two"}, day=2)
    garden = fold(told.entries)
    assert garden.bins["one"].batch_key == "a"
    assert "Say that it went onto that heap" in garden.problems[0]
    told.write("correct", {"of": refused.id, "body": {**refused.body, "onto": True}}, day=3)
    garden = fold(told.entries)
    assert garden.problems == ()
    assert (garden.bins["one"].batch_key, garden.bins["two"].batch_key) == (None, "b")
    assert garden.batches["a"].stage == "used"
    assert [e.kind for e in garden.batches["b"].entries] == ["build", "turn"]


def test_fold_lines_of_unknown_lots_are_left_out_and_told():
    told = a_row_of_bins("one")
    told.write("lot", a_lot("bags", 5))
    lines = [{"lot": "bags", "count": 2}, {"lot": "gone", "count": 1}]
    told.write("build", {"batch": "a", "name": "A", "bin": "one", "lines": lines}, day=1)
    garden = fold(told.entries)
    assert garden.batches["a"].entries[0].body["lines"] == [{"lot": "bags", "count": 2.0}]
    assert "no lot gone is known" in garden.problems[0]


def test_fold_lot_never_holds_less_than_nothing():
    told = a_row_of_bins("one")
    told.write("lot", a_lot("bags", 3))
    lines = [{"lot": "bags", "count": 4}]
    told.write("build", {"batch": "a", "name": "A", "bin": "one", "lines": lines}, day=1)
    garden = fold(told.entries)
    assert garden.lots["bags"].left == 0
    assert garden.batches.keys() == {"a"}
    assert "4 containers of lot bags were taken but 3 were left" in garden.problems[0]


def test_fold_lot_cannot_become_another_material():
    told = a_row_of_bins("one")
    told.write("lot", a_lot("bags", 3))
    told.write("lot", a_lot("bags", 5) | {"material_key": "straw"}, day=1)
    garden = fold(told.entries)
    assert (garden.lots["bags"].material_key, garden.lots["bags"].left) == ("leaves", 3)
    assert "cannot become another material" in garden.problems[0]


def test_fold_altered_bin_and_settings_keep_what_was_not_said_again():
    told = a_row_of_bins("one")
    told.write("bin", {**told.entries[0].body, "wall": "wire", "shade": 0.5})
    told.write("bin", {**told.entries[0].body, "name": "Left"}, day=1)
    told.write("garden", {"units": "metric", "hose_kg_s": 0.2})
    told.write("garden", {"hose_kg_s": None, "time_zone": "America/Phoenix"}, day=1)
    garden = fold(told.entries)
    one = garden.bins["one"]
    assert (one.name, one.wall, one.shade) == ("Left", "wire", 0.5)
    settings = garden.settings
    assert (settings.units, settings.hose_kg_s) == ("metric", None)
    assert settings.time_zone == "America/Phoenix"


def test_fold_cover_is_the_bins_and_the_batchs():
    told = a_row_of_bins("one")
    told.write("build", {"batch": "a", "name": "A", "bin": "one", "fill": FILL}, day=1)
    told.write("cover", {"bin": "one", "cover": "tarp"}, day=2)
    garden = fold(told.entries)
    assert garden.bins["one"].cover == "tarp"
    assert [e.kind for e in garden.batches["a"].entries] == ["build", "cover"]


def test_fold_tells_a_heap_in_an_unknown_bin_or_under_a_taken_key():
    told = a_row_of_bins("one", "two")
    build = {"batch": "a", "name": "A", "bin": "one", "fill": FILL, "cover": "lid"}
    told.write("build", build, day=1)
    told.write("build", build | {"bin": "two"}, day=2)
    told.write("build", build | {"bin": "three", "batch": "b"}, day=3)
    told.write("turn", {"bin": "one", "how": "move", "to_bin": "three"}, day=4)
    told.write("cover", {"bin": "three", "cover": "tarp"}, day=5)
    told.write("lot_gone", {"lot": "bags", "count": 1}, day=6)
    garden = fold(told.entries)
    assert garden.batches.keys() == {"a"}
    assert garden.bins["one"].cover == "lid"
    said = [problem.split(": ", 1)[1] for problem in garden.problems]
    assert said == [
        "two heaps carry the key a. The entry was left out.",
        "a heap was built in bin three, which is not known. The entry was left out.",
        "A was moved to bin three, which is not known. The entry was left out.",
        "no bin three is known. The entry was left out.",
        "no lot bags is known. The entry was left out.",
    ]


def test_fold_keeps_what_was_measured_of_a_lot_when_it_is_counted_again():
    told = a_row_of_bins()
    measured = {"measured": {"moisture": [0.1, 0.2, 0.3]}, "fullness": [0.5, 0.6, 0.7]}
    told.write("lot", a_lot("bags", 3) | measured | {"packing": "pressed", "keep_back": 1})
    told.write("lot", a_lot("bags", 7), day=1)
    bags = fold(told.entries).lots["bags"]
    assert (bags.count, bags.packing, bags.keep_back) == (7, "pressed", 1)
    assert (bags.fullness, bags.measured["moisture"]) == ((0.5, 0.6, 0.7), (0.1, 0.2, 0.3))
    told.write("lot", a_lot("bags", 7) | {"fullness": [1, 1, 1]}, day=2)
    assert fold(told.entries).lots["bags"].fullness == (1.0, 1.0, 1.0)


def test_fold_of_two_entries_under_one_id_tells_it_whichever_came_first():
    told = a_row_of_bins("one")
    first = told.entries[0]
    other = replace(first, body={**first.body, "name": "Other"})
    later = replace(first, written_at=first.written_at + timedelta(days=1))
    assert fold([first, other]) == fold([other, first])
    assert "Two different entries carry the id" in fold([first, other]).problems[0]
    # The same told twice, written down at another time, is no trouble.
    assert fold([first, later]) == fold([later, first]) == fold([first])


def test_fold_of_one_moment_goes_by_when_things_were_written_down():
    """At one time of day an old heap is used up and a new one built in the same bin."""
    told = a_row_of_bins("one")
    build = {"batch": "a", "name": "A", "bin": "one", "fill": FILL}
    told.write("build", build, day=1)
    told.write("build", build | {"batch": "b", "name": "B"}, day=5, written=7)
    told.write("use", {"bin": "one", "all": True}, day=5, written=6)
    garden = fold(told.entries)
    assert garden.problems == ()
    assert garden.bins["one"].batch_key == "b"
