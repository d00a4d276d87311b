"""A heap's story and all heaps by week, at the command line: the same as on the pages."""

from __future__ import annotations

import json
from inspect import signature
from pathlib import Path

import pytest

from heapwright.cli import command_timeline
from heapwright.workshop.timeline import MOST_WEEKS, USUAL_WEEKS
from tests.workshop.cli_terminal import Terminal, a_copy, prepared


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return prepared(tmp_path_factory.mktemp("prepared"))


@pytest.fixture
def heap(tmp_path: Path, source: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Return a garden with a heap of four days in the left bin."""
    return a_copy(tmp_path, source, monkeypatch)


def test_the_weeks_tell_each_heap_with_its_bin_and_what_was_read(heap: Terminal) -> None:
    heap.tell("log", "left", "141F")
    told = heap.tell("timeline")
    assert "141 °F R" in told and "Bin: " in told
    answer = json.loads(heap.tell("timeline", "--json"))
    (line,) = answer["batches"]
    assert line["pieces"][-1]["is_read"] is True
    assert line["pieces"][-1]["hottest_c"] == pytest.approx(60.56, abs=0.01)


def test_a_story_is_told_by_heap_or_by_bin_with_its_parts_in_order(heap: Terminal) -> None:
    told = heap.tell("story", "left")
    key = json.loads(heap.tell("story", "left", "--json"))["key"]
    assert heap.tell("story", key) == told
    parts = ["What went in:", "How hot:", "What was done", "Questions for a class:", "Mind:"]
    places = [told.index(part) for part in parts]
    assert places == sorted(places)
    assert "carbon to nitrogen" in told and "no proof of hygiene" in told


def test_a_story_is_told_in_the_gardens_language(heap: Terminal) -> None:
    heap.tell("setup", "--language", "es")
    told = heap.tell("story", "left")
    for words in ("Lo que entró:", "carbono a nitrógeno: ", "agua, del peso: ", "Según el modelo:"):
        assert words in told
    for words in ("What ", "How hot", "Questions", "Mind", "loose", "By the model"):
        assert words not in told


def test_the_weeks_the_command_takes_are_those_of_the_answer() -> None:
    asked = signature(command_timeline.timeline, eval_str=True).parameters["weeks"]
    (option,) = asked.annotation.__metadata__
    assert asked.default == USUAL_WEEKS and option.max == MOST_WEEKS


def test_a_heap_that_is_not_there_names_those_that_are(heap: Terminal) -> None:
    answer = heap.run("story", "nothing")
    assert answer.exit_code != 0
    assert 'No heap is called "nothing"' in answer.output and "The heaps are:" in answer.output
