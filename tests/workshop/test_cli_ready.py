"""Ready or not at the command line: the answer, how a test is done, results and screenings."""

from __future__ import annotations

from pathlib import Path

import pytest

from heapwright.finish.types import RECORDED
from tests.workshop.cli_terminal import Terminal, a_copy, prepared


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return prepared(tmp_path_factory.mktemp("prepared"))


@pytest.fixture
def heap(tmp_path: Path, source: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Return a garden with a heap of four days in the left bin."""
    return a_copy(tmp_path, source, monkeypatch)


def test_ready_tells_stage_uses_date_and_cautions(heap: Terminal) -> None:
    told = heap.tell("ready", "left")
    for part in ("Not finished", "mulch: not", "potting mix: not", "When", "Gives", "Mind:"):
        assert part in told
    assert "no proof of hygiene" in told
    assert "Step" not in told and "Open it outdoors, slowly" not in told
    assert "Open it outdoors, slowly" in heap.tell("ready", "left", "--guides")


@pytest.mark.parametrize("procedure", list(RECORDED))
def test_without_a_result_it_is_told_how_a_test_is_done(heap: Terminal, procedure: str) -> None:
    told = heap.tell("test", "left", procedure)
    for part in ("Need", "Do", "Mind", "Source", "Passes"):
        assert f"\n  {part}" in told


def test_a_result_is_stored_told_and_taken_back(heap: Terminal) -> None:
    told = heap.tell("test", "left", "radish-pot", "--sown", "12", "--up", "10")
    assert "10 of 12 came up" in told and "Stored" in told
    assert "Radish pot" in heap.tell("ready", "left")
    done = heap.json("ready", "left")["done"]
    assert [one["judged"]["verdict"] for one in done] == ["passed"]
    heap.tell("undo", done[0]["entry_id"])
    assert heap.json("ready", "left")["done"] == []


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (("radish-pot", "--sown", "12", "--up", "13"), "13 of 12"),
        (("radish-pot", "--sown", "12"), "lacks"),
        (("radish-pot", "--smell", "earthy"), "lacks"),
        (("bag", "--smell", "nice", "--days", "6"), "Choose one of"),
        (("look", "--dark", "maybe", "--crumbly", "yes", "--food", "no"), "Say yes or no"),
        (("reheating",), "read from the log"),
        (("sniff",), "No test is called"),
        (("germination", "--root", "long"), "Mean root length"),
    ],
)
def test_a_result_that_cannot_be_is_refused(
    heap: Terminal, words: tuple[str, ...], reason: str
) -> None:
    problem = heap.refused("test", "left", *words)
    assert reason in problem
    assert heap.json("ready", "left")["done"] == []


def test_lengths_and_temperatures_are_read_in_their_units(heap: Terminal) -> None:
    seeds = ("--sown", "15", "--sprouted", "12", "--root", "24 mm")
    water = ("--control-sown", "15", "--control-sprouted", "15", "--control-root", "1 in")
    told = heap.tell("test", "left", "germination", *seeds, *water)
    assert "Index 76 %" in told  # 0.8 x 24 / 25.4
    told = heap.tell("test", "left", "self-heating", "--highest", "90F", "--air", "20C")
    assert "22 °F above the air" in told


def test_screening_makes_a_lot_for_the_next_heap(heap: Terminal) -> None:
    options = ("--through", "3 pails", "--leftovers", "2 pails", "--mesh", "1/2 in")
    assert "kept back" in heap.tell("screen", "left", *options)
    assert "Screened-out coarse compost" in heap.tell("stock")
    assert "measure" in heap.refused("screen", "left", "--leftovers", "20 L")
    assert "Neither" in heap.refused("screen", "left")
