"""Holds docs/measured-heaps.md and its pictures to the model as it is now.

When this fails: `python3 tools/write_measured_heaps.py`, and read what changed. Numbers may differ
in their last printed digit between processors.
"""

from __future__ import annotations

import re
from functools import cache

import pytest

from heapwright.validation.drawing import draw_case, drawable
from heapwright.validation.score import validate
from heapwright.validation.types import CaseResult
from tools import write_measured_heaps as writer

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@cache
def results() -> tuple[CaseResult, ...]:
    return validate()


def same(now: str, then: str, most: float) -> None:
    """Words alike, numbers within `most`."""
    assert NUMBER.sub("#", now) == NUMBER.sub("#", then)
    pairs = zip(NUMBER.findall(now), NUMBER.findall(then), strict=True)
    far = [(a, b) for a, b in pairs if abs(float(a) - float(b)) > most]
    assert not far


def test_page_tells_what_the_model_does_now() -> None:
    same(writer.page(results()), writer.PAGE.read_text(encoding="utf-8"), 0.11)


@pytest.mark.parametrize("case", [result.case.id for result in drawable(results())])
def test_picture_shows_what_the_model_does_now(case: str) -> None:
    result = next(result for result in results() if result.case.id == case)
    kept = (writer.PICTURES / f"{case}.svg").read_text(encoding="utf-8")
    same(draw_case(result) + "\n", kept, 0.31)


def test_no_picture_is_left_of_a_case_that_is_gone() -> None:
    drawn = {f"{result.case.id}.svg" for result in drawable(results())}
    assert {path.name for path in writer.PICTURES.iterdir()} == drawn
