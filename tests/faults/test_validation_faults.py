"""A measured case that is written wrongly is refused with the word that is wrong."""

from __future__ import annotations

from typing import Any

import pytest

from heapwright.errors import NotFound, NotUnderstood
from heapwright.validation import load
from heapwright.validation.climate import case_weather
from heapwright.validation.load import find_case

RUN: dict[str, Any] = {
    "bin": {"width_m": 1, "depth_m": 1, "height_m": 1, "wall": "wire", "cover": "open"},
    "fill": {"parts": {"leaves_mixed_dry": 1}, "moisture": 0.6, "volume_m3": 0.9},
    "weather": {"days": 2, "mean_c": 15},
}
CHECK = {"quantity": "peak_c", "run": "heap", "measured": 60}


def case(**changes: Any) -> dict[str, Any]:
    told = {"title": "a", "source": "b", "grade": "C", "runs": {"heap": RUN}, "checks": [CHECK]}
    return told | changes


def refused(told: dict[str, Any], word: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(load, "read_toml", lambda package, name: {"X1": told})
    load.load_cases.cache_clear()
    try:
        with pytest.raises(NotUnderstood, match=word):
            load.load_cases()
    finally:
        load.load_cases.cache_clear()


def test_unknown_case_is_not_found() -> None:
    with pytest.raises(NotFound, match="O1 to O31"):
        find_case("O99")


def test_unknown_word_in_a_run_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    refused(case(runs={"heap": RUN | {"colour": 1}}), "colour", monkeypatch)


def test_unknown_word_in_a_fill_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    run = RUN | {"fill": RUN["fill"] | {"weight": 1}}
    refused(case(runs={"heap": run}), "weight", monkeypatch)


def test_unknown_word_in_an_action_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    run = RUN | {"actions": [{"day": 1, "kind": "stir", "force": 2}]}
    refused(case(runs={"heap": run}), "force", monkeypatch)


def test_unknown_word_in_a_check_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    refused(case(checks=[CHECK | {"mood": "good"}]), "mood", monkeypatch)


def test_unknown_quantity_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    refused(case(checks=[CHECK | {"quantity": "smell"}]), "smell", monkeypatch)


def test_check_of_a_run_that_is_not_told_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    refused(case(checks=[CHECK | {"against": "other"}]), "other", monkeypatch)


def test_run_like_one_that_is_not_told_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    refused(case(runs={"heap": RUN, "twin": {"like": "nothing"}}), "twin", monkeypatch)


def test_unknown_word_in_the_weather_is_named() -> None:
    with pytest.raises(NotUnderstood, match="hail"):
        case_weather({"days": 2, "mean_c": 10, "hail": 3})
