"""Results of finish tests and screenings that cannot be: refused in a gardener's words."""

from __future__ import annotations

from typing import Any

import pytest

from heapwright.errors import HeapwrightError, OutOfRange
from heapwright.finish.judge import germination_index
from heapwright.finish.types import RECORDED
from heapwright.journal.bodies import checked_body
from heapwright.journal.entries import EntryKind
from heapwright.journal.finish_forms import FIELDS

GOOD: dict[str, dict[str, Any]] = {
    "bag": {"days": 6, "smell": "earthy"},
    "jar": {"days": 7, "smell": "sour"},
    "look": {"dark": True, "crumbly": True, "food_seen": False, "left_share": 0.33},
    "radish-pot": {"sown": 12, "up": 10, "control_sown": 12, "control_up": 12},
    "germination": {
        "sown": 15,
        "sprouted": 12,
        "root_m": 0.02,
        "control_sown": 15,
        "control_sprouted": 14,
        "control_root_m": 0.03,
    },
    "self-heating": {"highest_c": 28.0, "air_c": 20.0},
    "bioassay": {
        "pots": 3,
        "pots_hurt": 0,
        "control_pots": 3,
        "control_pots_hurt": 0,
        "days": 18,
    },
}


def body(procedure: str, **changes: Any) -> dict[str, Any]:
    told = {"bin": "left", "procedure": procedure, **GOOD[procedure], **changes}
    return {name: value for name, value in told.items() if value is not None}


def test_every_test_that_can_be_written_down_has_its_fields() -> None:
    assert set(FIELDS) == set(RECORDED) == set(GOOD)


@pytest.mark.parametrize("procedure", list(GOOD))
def test_a_good_result_is_taken_and_checked_again_the_same(procedure: str) -> None:
    once = checked_body(EntryKind.TEST, body(procedure))
    assert checked_body(EntryKind.TEST, once) == once


@pytest.mark.parametrize("procedure", list(GOOD))
def test_what_a_test_needs_is_asked_for_by_name(procedure: str) -> None:
    for name in FIELDS[next(one for one in RECORDED if one == procedure)][0]:
        with pytest.raises(HeapwrightError, match="lacks"):
            checked_body(EntryKind.TEST, body(procedure, **{name: None}))


@pytest.mark.parametrize(
    ("procedure", "changes", "words"),
    [
        ("radish-pot", {"up": 13}, "13 of 12"),
        ("radish-pot", {"up": -1}, "-1"),
        ("radish-pot", {"sown": 0, "up": 0}, "Seeds sown"),
        ("radish-pot", {"up": 2.5}, "whole numbers"),
        ("radish-pot", {"up": "ten"}, "not a number"),
        ("radish-pot", {"control_up": None}, "only one number"),
        ("radish-pot", {"smell": "earthy"}, "does not belong"),
        ("germination", {"root_m": 2.0}, "Mean root length"),
        ("germination", {"control_sprouted": 16}, "16 of 15"),
        ("bag", {"smell": "nice"}, "Choose one of"),
        ("bag", {"days": 400}, "Days it ran"),
        ("self-heating", {"highest_c": 130.0}, "Highest temperature"),
        ("look", {"left_share": 33}, "Share"),
        ("look", {"dark": "yes"}, "neither yes nor no"),
        ("bioassay", {"pots_hurt": 4}, "4 of 3"),
    ],
)
def test_a_result_that_cannot_be_is_refused(
    procedure: str, changes: dict[str, Any], words: str
) -> None:
    with pytest.raises(HeapwrightError, match=words):
        checked_body(EntryKind.TEST, body(procedure, **changes))


def test_reheating_is_read_from_the_log_and_never_typed() -> None:
    with pytest.raises(HeapwrightError, match="Choose one of"):
        checked_body(EntryKind.TEST, {"bin": "left", "procedure": "reheating"})


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({}, "Neither what went through"),
        ({"lot": "overs", "count": 2}, "Of the leftovers is missing"),
        ({"through_m3": 0.1, "mesh_m": 0.0}, "Mesh"),
        ({"through_m3": -0.1}, "What went through"),
    ],
)
def test_a_screening_that_tells_nothing_is_refused(told: dict[str, Any], words: str) -> None:
    with pytest.raises(HeapwrightError, match=words):
        checked_body(EntryKind.SCREEN, {"bin": "left", **told})


@pytest.mark.parametrize("numbers", [(0, 0, 0, 10, 10, 0.03), (10, 9, 0.02, 10, 0, 0.0)])
def test_an_index_without_anything_to_compare_with_is_refused(numbers: tuple[float, ...]) -> None:
    with pytest.raises(OutOfRange, match="nothing to compare with"):
        germination_index(*numbers)
