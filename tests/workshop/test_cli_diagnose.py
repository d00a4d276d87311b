"""Finding a heap's fault at the command line: the same answer as on the page, nothing stored."""

from __future__ import annotations

from pathlib import Path

import pytest

from heapwright.advice.phrases import FIRE
from heapwright.workshop.diagnose import JUDGEMENT
from tests.workshop.cli_terminal import Terminal, a_copy, prepared


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return prepared(tmp_path_factory.mktemp("prepared"))


@pytest.fixture
def heap(tmp_path: Path, source: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Return a garden with a heap of four days in the left bin."""
    return a_copy(tmp_path, source, monkeypatch)


def plain(text: str) -> str:
    return " ".join(text.split())


def test_causes_next_look_remedy_and_cautions_in_this_order(heap: Terminal) -> None:
    told = heap.tell("diagnose", "left", "--squeeze", "dusty", "--pest", "ants")
    parts = ["Too dry", "Fork it over and wet it", "\nThen:\n", "\nMind:\n"]
    places = [told.index(part) for part in parts]
    assert places == sorted(places)
    assert "For: " in told and "Ants live in it." in told
    assert plain(JUDGEMENT.template) in plain(told)
    asked = heap.tell("diagnose", "left", "--smell", "sour")
    assert "Look next:" in asked and "Then" in asked


def test_nothing_is_stored(heap: Terminal) -> None:
    with heap.opened() as garden:
        before = len(garden.entries())
    heap.tell("diagnose", "left", "--smell", "ammonia")
    with heap.opened() as garden:
        assert len(garden.entries()) == before


def test_all_tells_every_cause_and_what_was_weighed(heap: Terminal) -> None:
    short = heap.tell("diagnose", "left", "--smell", "sour")
    whole = heap.tell("diagnose", "left", "--smell", "sour", "--all")
    assert "Weedkiller carried over" in whole and "Weedkiller carried over" not in short
    assert "Weighed:" in whole and "It smells sour." in whole.split("Weighed:")[1]


def test_not_found_speaks_against_a_cause(heap: Terminal) -> None:
    def dry(*words: str) -> float:
        causes = heap.json("diagnose", "left", *words)["causes"]
        shares = {one["id"]: float(one["probability"]["likely"]) for one in causes}
        return shares["too_dry"]

    assert dry("--pest", "ants") > dry() > dry("--not", "ants")


def test_json_is_the_answer_in_si(heap: Terminal) -> None:
    answer = heap.json("diagnose", "left", "--squeeze", "dusty", "--pest", "ants")
    assert answer["bin_key"] == "left" and answer["causes"][0]["id"] == "too_dry"
    after = answer["remedy"]["after"]
    assert after is None or -20.0 < after["with_remedy_c"]["likely"] < 90.0


def test_units_are_the_readers(heap: Terminal) -> None:
    said = ("diagnose", "left", "--squeeze", "dusty", "--pest", "ants")
    assert "°F" in heap.tell(*said)
    metric = heap.tell(*said, "--units", "metric")
    assert "°C" in metric and "°F" not in metric


def test_danger_is_all_that_is_told(heap: Terminal) -> None:
    told = heap.tell("diagnose", "left", "--look", "smoking", "--smell", "sour")
    assert "do not open it" in told and "Look next" not in told and "%" not in told
    for caution in FIRE:
        assert plain(caution.template) in plain(told)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--smell", "fishy"), 'The smell "fishy" is not known'),
        (("--look", "wings"), 'The sign "wings" is not known'),
        (("--pest", "ants", "--not", "ants"), "to be there and not to be there"),
        (("--not", "earthy"), 'The sign "earthy" is not known'),
    ],
)
def test_a_word_that_is_none_is_refused_in_one_sentence(
    heap: Terminal, words: tuple[str, ...], said: str
) -> None:
    assert said in heap.refused("diagnose", "left", *words)


def test_an_empty_bin_is_refused_in_one_sentence(heap: Terminal) -> None:
    assert "is empty" in heap.refused("diagnose", "middle")
