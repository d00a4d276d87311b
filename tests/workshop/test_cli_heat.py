"""How much of a heap got hot, at the command line: the same two parts as on the page."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from heapwright.workshop.heat_proof import CAUTIONS
from tests.workshop.cli_terminal import Terminal, a_copy, prepared


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return prepared(tmp_path_factory.mktemp("prepared"))


@pytest.fixture
def heap(tmp_path: Path, source: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Return a garden with a heap of four days in the left bin."""
    return a_copy(tmp_path, source, monkeypatch)


def test_seen_and_inferred_stand_apart_and_cautions_end_it(heap: Terminal) -> None:
    told = heap.tell("heat", "left")
    seen, inferred = told.index("What the thermometer saw:"), told.index("What the model infers:")
    assert seen < told.index("Still to be seen:") < inferred < told.index("\nMind:\n")
    assert "of 15 days" in told[seen:inferred] and "of the heap" in told[inferred:]
    assert told.rstrip().endswith(CAUTIONS[-1].template)
    assert "Clubroot" not in told


def test_all_tells_every_rule_and_what_to_keep_out(heap: Terminal) -> None:
    short, whole = heap.tell("heat", "left"), heap.tell("heat", "left", "--all")
    for part in (
        "without a break",
        "Organic standard",
        "by the equation",
        "Clubroot",
        "not what died",
    ):
        assert part in whole and part not in short
    assert "0 % to 0 %" not in whole


def test_a_reading_moves_what_is_seen(heap: Terminal) -> None:
    before = json.loads(heap.tell("heat", "left", "--json"))
    heap.tell("log", "left", "141F")
    after = json.loads(heap.tell("heat", "left", "--json"))
    assert after["seen"]["core_readings"] == before["seen"]["core_readings"] + 1
    assert after["bin"] == "left" and after["days"][-1]["highest_c"] == pytest.approx(
        60.56, abs=0.01
    )
    assert after["rules"][0]["rule"]["id"] == "pfrp_turned"
    share = after["rules"][0]["inferred"]["share"]
    assert 0.0 <= share["low"] <= share["likely"] <= share["high"] <= 1.0


def test_units_are_the_readers(heap: Terminal) -> None:
    assert "131 °F" in heap.tell("heat", "left")
    metric = heap.tell("heat", "left", "--units", "metric")
    assert "55 °C" in metric and "°F" not in metric


def test_one_bins_card_ends_with_its_heat(heap: Terminal) -> None:
    heap.tell("log", "left", "141F")
    card = heap.tell("today", "left")
    assert "At 131 °F or more, as read:" in card and "`heapwright heat left`" in card
    assert "as read" not in heap.tell("today", "middle")


def test_an_empty_bin_is_refused_in_one_sentence(heap: Terminal) -> None:
    assert "is empty" in heap.refused("heat", "middle")
