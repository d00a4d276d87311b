"""How much of a heap got hot, from a real journal: seen and inferred stand apart."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.advice.types import Interval
from heapwright.errors import NotFound
from heapwright.journal.entries import EntryKind
from heapwright.sanitation.rules import load_rules
from heapwright.sanitation.seen import SeenRule
from heapwright.sentences import Reader, render
from heapwright.workshop import build, demo, heat_inferred, stock
from heapwright.workshop.garden import Garden
from heapwright.workshop.heat_answer import HeatProof, InferredRule, RuleProof
from heapwright.workshop.heat_inferred import chosen
from heapwright.workshop.heat_proof import heat_proof
from heapwright.workshop.heat_words import chance_words, inferred_words, seen_words
from heapwright.workshop.log import log
from heapwright.workshop.plain import to_plain
from tests.workshop.conftest import NOW, StillClock

TURNED = next(rule for rule in load_rules() if rule.id == "pfrp_turned")


@pytest.fixture(scope="module")
def demo_garden(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """Return the invented garden as it stands when it has just been made."""
    path: Path = tmp_path_factory.mktemp("demo") / "demo.heapwright"
    with Garden.open(path, StillClock(NOW)) as opened:
        demo.fill_demo_garden(opened)
        yield opened


def built(garden: Garden, days_ago: float) -> None:
    at = NOW - timedelta(days=days_ago)
    stock.add_lot(
        garden,
        material="leaves",
        container="39 gal leaf bag",
        count=3,
        packing="shredded",
        at=at,
        origin="page",
    )
    stock.add_lot(
        garden, material="grass clippings", container="wheelbarrow", count=2, at=at, origin="page"
    )
    counts = {line.lot.key: line.lot.count for line in stock.stock(garden)}
    build.record_build(garden, "left", counts, 10.0, "First heap", at=at, origin="page")


def read(garden: Garden, celsius: float, days_ago: float, where: str = "core") -> None:
    body = {"bin": "left", "temperature_c": celsius, "where": where}
    log(garden, EntryKind.READING, body, at=NOW - timedelta(days=days_ago), origin="page")


def rule_of(proof: HeatProof, rule_id: str) -> RuleProof:
    return next(one for one in proof.rules if one.rule.id == rule_id)


def test_every_demo_heap_has_both_parts_and_its_cautions(demo_garden: Garden) -> None:
    for key in demo_garden.state().bins:
        proof = heat_proof(demo_garden, key)
        assert [one.rule for one in proof.rules] == list(load_rules())
        for one in proof.rules:
            assert one.inferred is not None
            share = one.inferred.share
            assert 0.0 <= share.low <= share.likely <= share.high <= 1.0
            assert 0.0 <= one.inferred.chance_of_nine_tenths <= 1.0
            assert one.seen.is_met is (one.seen.missing == ())
        assert proof.members > 0 and proof.parcels > 0
        assert len(proof.cautions) >= 3 and len(proof.keep_out) == 5
        assert "no proof of hygiene" in proof.cautions[0].template
        assert "local codes come first" in proof.cautions[1].template
        assert proof.days[0].day <= proof.days[-1].day
        assert to_plain(proof)["rules"][0]["seen"]["rule_id"] == "pfrp_turned"


def test_a_stricter_rule_is_met_by_no_more_of_the_heap(demo_garden: Garden) -> None:
    proof = heat_proof(demo_garden, "middle")
    likely = {one.rule.id: one.inferred.share.likely for one in proof.rules if one.inferred}
    assert likely["pfrp_turned_in_a_row"] <= likely["pfrp_turned"]
    assert likely["organic_vessel"] <= likely["pfrp_vessel"] + 0.02
    assert likely["time_temperature"] <= likely["dose"] + 0.02


def test_what_was_not_read_is_not_proven_however_hot_the_model_is(garden: Garden) -> None:
    built(garden, days_ago=9.0)
    without = heat_proof(garden, "left")
    assert all(one.seen.days_proven == 0.0 for one in without.rules)
    assert without.seen.core_readings == 0
    inferred = rule_of(without, "pfrp_vessel").inferred
    assert inferred is not None and inferred.share.likely > 0.05
    assert "No reading yet" in render(without.basis[1], Reader())
    for day in (8, 6, 4, 2):
        read(garden, 62.0, day)
    apart = heat_proof(garden, "left")
    assert all(one.seen.days_proven == 0.0 for one in apart.rules)
    assert [day.highest_c is None for day in apart.days] == [True, False] * 4 + [True, True]
    for day in (7, 5, 3):
        read(garden, 61.0, day)
    daily = heat_proof(garden, "left")
    assert rule_of(daily, "pfrp_turned").seen.days_proven == pytest.approx(6.0)
    assert rule_of(daily, "pfrp_vessel").seen.is_met


def test_the_gardeners_day_and_not_londons_decides(garden: Garden) -> None:
    log(
        garden,
        EntryKind.GARDEN,
        {"time_zone": "America/Phoenix"},
        at=NOW - timedelta(days=20),
        origin="page",
    )
    built(garden, days_ago=9.0)
    # In Phoenix 7 June at 6:00 and 8 June at 20:00; in London the 7th and the 9th.
    for hours in (74.0, 36.0):
        read(garden, 60.0, hours / 24.0)
    proof = heat_proof(garden, "left")
    assert rule_of(proof, "pfrp_turned").seen.days_proven == pytest.approx(38.0 / 24.0)
    assert sum(day.highest_c is not None for day in proof.days) == 2


def test_readings_of_the_edge_and_before_an_addition_are_not_counted(garden: Garden) -> None:
    built(garden, days_ago=9.0)
    for day in (8, 7, 6, 5):
        read(garden, 60.0, day)
        read(garden, 58.0, day - 0.2, "edge")
    proof = heat_proof(garden, "left")
    assert rule_of(proof, "pfrp_turned").seen.days_proven == pytest.approx(3.0)
    assert (proof.seen.core_readings, proof.seen.other_readings) == (4, 4)
    at = NOW - timedelta(days=5.5)
    stock.add_lot(
        garden, material="coffee grounds", container="5 gal pail", count=1, at=at, origin="page"
    )
    lot = next(line.lot.key for line in stock.stock(garden) if line.lot.left > 0)
    body = {"bin": "left", "lines": [{"lot": lot, "count": 1}]}
    log(garden, EntryKind.ADD, body, at=NOW - timedelta(days=5.5), origin="page")
    fresh = heat_proof(garden, "left")
    assert rule_of(fresh, "pfrp_turned").seen.days_proven == 0.0
    assert fresh.seen.core_readings == 1
    assert "Something was added" in fresh.seen.notes[-1].template
    assert len(fresh.days) == len(proof.days)


def test_turns_count_between_hot_readings_and_a_move_is_one(garden: Garden) -> None:
    built(garden, days_ago=9.0)
    for day in (8, 7, 6):
        read(garden, 60.0, day)
    for how, day in (("stir", 6.5), ("stir", 8.5)):
        log(
            garden,
            EntryKind.TURN,
            {"bin": "left", "how": how},
            at=NOW - timedelta(days=day),
            origin="page",
        )
    seen = rule_of(heat_proof(garden, "left"), "pfrp_turned").seen
    assert (seen.turnings_proven, seen.turnings_wanted) == (1, 5)
    move = {"bin": "left", "how": "move", "to_bin": "right"}
    log(garden, EntryKind.TURN, move, at=NOW - timedelta(days=5.2), origin="page")
    for day in (5, 4):
        body = {"bin": "right", "temperature_c": 60.0}
        log(garden, EntryKind.READING, body, at=NOW - timedelta(days=day), origin="page")
    log(
        garden,
        EntryKind.TURN,
        {"bin": "right", "how": "stir"},
        at=NOW - timedelta(days=1),
        origin="page",
    )
    proof = heat_proof(garden, "right")
    assert rule_of(proof, "pfrp_turned").seen.turnings_proven == 2
    assert sum(day.turns for day in proof.days) == 4


def test_a_heap_too_old_for_the_model_keeps_what_was_seen(garden: Garden) -> None:
    built(garden, days_ago=300.0)
    for day in (299, 298, 297):
        read(garden, 60.0, day)
    proof = heat_proof(garden, "left")
    assert proof.members == 0
    assert all(one.inferred is None for one in proof.rules)
    assert all(one.share is None for one in proof.findings)
    assert rule_of(proof, "pfrp_turned").seen.days_proven == pytest.approx(2.0)
    assert "not followed hour by hour" in render(proof.basis[0], Reader())


def test_an_empty_or_unknown_bin_is_refused(garden: Garden) -> None:
    with pytest.raises(NotFound, match="Right is empty"):
        heat_proof(garden, "right")
    with pytest.raises(NotFound, match="left"):
        heat_proof(garden, "north")


def test_the_heaps_are_followed_once_and_the_same_way(
    garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    built(garden, days_ago=4.0)
    first = heat_proof(garden, "left")
    with monkeypatch.context() as patched:
        patched.setattr(heat_inferred, "follow", None)  # would fail if it were asked again
        again = heat_proof(garden, "left")
    assert to_plain(again) == to_plain(first)


@given(
    st.lists(st.floats(0.0, 1.0), min_size=1, max_size=60).filter(lambda all_: sum(all_) > 1e-3),
    st.integers(1, 60),
)
def test_chosen_members_stand_for_the_ensemble(raw: list[float], count: int) -> None:
    weight = np.array(raw) / np.sum(raw)
    members, kept = chosen(weight, count)
    assert kept.sum() == pytest.approx(1.0)
    assert members.size <= min(count, weight.size)
    assert len(set(members.tolist())) == members.size
    if count < weight.size:
        dense = np.zeros(weight.size)
        dense[members] = kept
        # The running sums are never a whole tooth apart, so no quantile is.
        assert np.abs(np.cumsum(dense) - np.cumsum(weight)).max() <= 1.0 / count + 1e-9
    else:
        assert np.array_equal(kept, weight)


def seen_with(days: float, turnings: int = 0) -> SeenRule:
    return SeenRule("pfrp_turned", "", False, days, 15.0, days / 15.0, turnings, 5, None, False, ())


@pytest.mark.parametrize(
    ("days", "turnings", "words"),
    [
        (0.0, 0, "0 of 15 days, 0 of 5 turnings."),
        (1.99, 1, "1.9 of 15 days, 1 of 5 turnings."),
        (14.99, 5, "14.9 of 15 days, 5 of 5 turnings."),
        (15.0, 7, "15 of 15 days, 5 of 5 turnings."),
        (40.0, 7, "15 of 15 days, 5 of 5 turnings."),
    ],
)
def test_proven_days_are_rounded_down(days: float, turnings: int, words: str) -> None:
    assert render(seen_words(TURNED, seen_with(days, turnings)), Reader()) == words


@pytest.mark.parametrize(
    ("share", "chance", "told"),
    [
        ((0.0, 0.0, 0.004), 0.0, ("None of the heap.", "Nine tenths of it: in none of the runs.")),
        (
            (0.35, 0.5, 0.67),
            0.25,
            (
                "35 % to 67 % of the heap, likely 50 %.",
                "Nine tenths of it and more: in 25 % of the runs.",
            ),
        ),
        (
            (1.0, 1.0, 1.0),
            1.0,
            ("100 % of the heap.", "Nine tenths of it and more: in all of the runs."),
        ),
    ],
)
def test_shares_and_chances_are_told_in_words(
    share: tuple[float, float, float], chance: float, told: tuple[str, str]
) -> None:
    inferred = InferredRule(Interval(*share), chance, 0, None, TURNED_NOTE)
    words = (inferred_words(inferred), chance_words(inferred))
    assert tuple(render(one, Reader()) for one in words) == told


TURNED_NOTE = seen_words(TURNED, seen_with(0.0))
