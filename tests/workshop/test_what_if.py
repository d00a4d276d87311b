"""What else could be done, from a real journal: good, wrong and no readings; rules go first."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from heapwright.advice.types import Job, Sureness
from heapwright.decisions.types import Doing
from heapwright.errors import NotFound
from heapwright.journal.entries import EntryKind
from heapwright.sentences import Reader, render
from heapwright.workshop import build, demo, setup, stock
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.today import bin_today, today
from heapwright.workshop.whatif import stock_parts, what_if_in
from tests.workshop.conftest import NOW, StillClock


@pytest.fixture(scope="module")
def demo_garden(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    path: Path = tmp_path_factory.mktemp("what-if") / "demo.heapwright"
    with Garden.open(path, StillClock(NOW)) as opened:
        demo.fill_demo_garden(opened)
        yield opened


def built(garden: Garden, days_ago: float, water_kg: float = 45.0) -> None:
    at = NOW - timedelta(days=days_ago)
    stock.add_lot(
        garden,
        material="leaves",
        container="39 gal leaf bag",
        count=7,
        packing="loose",
        at=at,
        origin="page",
    )
    stock.add_lot(garden, material="grass", container="pail", count=8, at=at, origin="page")
    counts = {lot_of(garden, "lea"): 5.0, lot_of(garden, "grass"): 8.0}
    build.record_build(garden, "left", counts, water_kg, "The heap", at=at, origin="page")


def lot_of(garden: Garden, word: str) -> str:
    return next(key for key in garden.state().lots if word in key)


def read(garden: Garden, days_ago: float, temperature_c: float) -> None:
    body = {"bin": "left", "temperature_c": temperature_c, "depth_m": 0.45}
    at = NOW - timedelta(days=days_ago)
    log(garden, EntryKind.READING, body, at=at, origin="page")


def look(garden: Garden, **seen: object) -> None:
    at = NOW - timedelta(hours=1)
    log(garden, EntryKind.LOOK, {"bin": "left", **seen}, at=at, origin="page")


def text(sentences: tuple[object, ...]) -> str:
    return " ".join(render(one, Reader()) for one in sentences)  # type: ignore[arg-type]


def test_every_answer_is_complete(demo_garden: Garden) -> None:
    for shown in today(demo_garden).bins:
        advice = shown.advice
        assert render(advice.headline, Reader())
        assert text(advice.reasons)
        assert advice.expected
    # Compared ones say how clear they are.
    left = bin_today(demo_garden, "left").advice
    assert left.confidence


def test_rows_are_in_order_of_worth_and_one_is_chosen(demo_garden: Garden) -> None:
    answer = what_if_in(demo_garden, "left")
    assert sum(row.is_chosen for row in answer.rows) == 1
    assert {row.doing for row in answer.rows} | {one.doing for one in answer.not_possible} == {
        str(doing) for doing in Doing
    }
    alone = next(row for row in answer.rows if row.doing == "leave")
    assert alone.better_days.low == alone.better_days.high == 0.0
    assert alone.work_minutes == alone.water_kg == alone.barrows == 0.0
    assert 0 <= answer.best_in <= answer.members


def test_a_good_reading_is_compared_and_agrees_with_today(garden: Garden) -> None:
    built(garden, 6.0)
    for day, value in ((4.0, 62.0), (2.0, 60.0), (0.2, 55.0)):
        read(garden, day, value)
    card, answer = bin_today(garden, "left").advice, what_if_in(garden, "left")
    assert answer.stands_before is None
    assert card == answer.best
    assert "runs of the model" in text(card.confidence) or "As good as" in text(card.confidence)
    doings = {row.doing for row in answer.rows}
    assert {"leave", "stir", "move"} <= doings


def test_without_a_reading_the_first_job_is_to_read(garden: Garden) -> None:
    built(garden, 6.0)
    assert bin_today(garden, "left").advice.job is Job.READ
    answer = what_if_in(garden, "left")
    assert answer.stands_before is not None
    assert "temperature" in render(answer.stands_before, Reader())
    assert len(answer.rows) > 2


def test_a_heap_that_may_burn_is_never_dug_into(garden: Garden) -> None:
    built(garden, 6.0)
    read(garden, 2.0, 60.0)
    read(garden, 0.1, 88.0)
    assert bin_today(garden, "left").advice.job is Job.STAND_BACK
    answer = what_if_in(garden, "left")
    assert [row.doing for row in answer.rows] == ["leave"]
    assert "burning" in text(tuple(one.reason for one in answer.not_possible))


def test_a_reading_in_the_wrong_unit_changes_no_heap_for_the_worse(garden: Garden) -> None:
    built(garden, 6.0)
    for day, value in ((4.0, 60.0), (3.0, 59.0), (1.0, 14.0), (0.2, 55.0)):  # 14: 58 read as F
        read(garden, day, value)
    answer = what_if_in(garden, "left")
    assert answer.rows
    assert all(row.finished_in_days.low > 0 for row in answer.rows)


def test_smells_and_pests_go_before_the_comparison(garden: Garden) -> None:
    built(garden, 6.0)
    read(garden, 0.1, 50.0)
    look(garden, smell="rotten egg")
    advice = bin_today(garden, "left").advice
    assert advice.job is Job.MIX_IN_BROWN
    assert advice.confidence == ()
    assert advice.sureness is Sureness.SEEN
    stands = what_if_in(garden, "left").stands_before
    assert stands is not None and "brown" in render(stands, Reader())


def test_brown_on_hand_is_named_in_containers_for_a_wet_heap(garden: Garden) -> None:
    built(garden, 6.0, water_kg=90.0)
    read(garden, 0.1, 40.0)
    look(garden, smell="sour")
    amounts = text(bin_today(garden, "left").advice.amounts)
    assert "leaf bag" in amounts
    assert "water to" in amounts


def test_ammonia_offers_no_green_and_keeps_the_rule(garden: Garden) -> None:
    built(garden, 6.0)
    read(garden, 0.1, 50.0)
    look(garden, smell="ammonia")
    answer = what_if_in(garden, "left")
    assert not {"stir with green", "move with green"} & {row.doing for row in answer.rows}


def test_moving_is_told_not_to_be_possible_when_the_next_bin_is_full(garden: Garden) -> None:
    built(garden, 6.0)
    read(garden, 0.1, 50.0)
    at = NOW - timedelta(days=1)
    counts = {lot_of(garden, "lea"): 2.0}
    build.record_build(garden, "right", counts, 10.0, "Another", at=at, origin="page")
    answer = what_if_in(garden, "left")
    reasons = {one.doing: render(one.reason, Reader()) for one in answer.not_possible}
    assert reasons["move"] == "Right is full."
    assert all(row.barrows == 0 for row in answer.rows)


def test_kept_back_refused_and_used_up_lots_are_not_offered(garden: Garden) -> None:
    built(garden, 6.0)
    parts = {part.key: part for part in stock_parts(garden)}
    leaves = lot_of(garden, "lea")
    assert parts[leaves].count == 2 and parts[leaves].is_brown
    assert not any("grass" in key for key in parts)  # all eight pails went into the heap


def test_same_question_twice_is_answered_from_memory(garden: Garden) -> None:
    built(garden, 6.0)
    read(garden, 0.1, 50.0)
    first = what_if_in(garden, "left")
    assert what_if_in(garden, "left") == first
    read(garden, 0.05, 35.0)
    assert what_if_in(garden, "left") != first


def test_an_empty_or_unknown_bin_is_told(garden: Garden) -> None:
    with pytest.raises(NotFound, match="empty"):
        what_if_in(garden, "right")
    with pytest.raises(NotFound):
        what_if_in(garden, "nowhere")


def test_a_heap_too_old_to_be_followed_is_told(garden: Garden) -> None:
    built(garden, 400.0)
    with pytest.raises(NotFound, match="hour by hour"):
        what_if_in(garden, "left")
    assert bin_today(garden, "left").advice.job is Job.READ


def test_bales_are_offered_in_the_cold(garden: Garden, clock: StillClock) -> None:
    clock.now = NOW + timedelta(days=215)
    setup.settings(garden, origin="page", climate="newark")
    at = clock.now - timedelta(days=5)
    stock.add_lot(
        garden, material="leaves", container="39 gal leaf bag", count=3, at=at, origin="page"
    )
    lot = next(iter(garden.state().lots))
    build.record_build(garden, "left", {lot: 3.0}, 30.0, "Winter", at=at, origin="page")
    answer = what_if_in(garden, "left")
    row = next(row for row in answer.rows if row.doing == "insulate")
    assert "bales" in render(row.headline, Reader())
