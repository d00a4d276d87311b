"""Laws of the fold: what entries make of the garden, whatever order they arrive in."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from heapwright.journal.fold import fold
from tests.laws.journal_cases import FILL, a_lot, a_row_of_bins


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
