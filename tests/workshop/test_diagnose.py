"""What is wrong with a heap, from a real journal: looks, log, model, remedy, danger."""

from __future__ import annotations

from datetime import timedelta

import pytest

from heapwright.advice import phrases
from heapwright.diagnosis.tables import causes, limits
from heapwright.diagnosis.types import Seen
from heapwright.errors import NotFound
from heapwright.journal.entries import EntryKind
from heapwright.sentences import Reader, render
from heapwright.workshop import build, stock
from heapwright.workshop.diagnose import JUDGEMENT, diagnose
from heapwright.workshop.diagnose_amounts import brown_needed, green_needed, moisture_now
from heapwright.workshop.diagnose_answer import Diagnosis
from heapwright.workshop.diagnose_remedy import remedy
from heapwright.workshop.diagnose_texts import TEXTS
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.model import heap_model
from heapwright.workshop.plain import to_plain
from heapwright.workshop.today import heap_view
from tests.workshop.conftest import NOW, StillClock


def built(garden: Garden, days_ago: float, water_kg: float = 60.0) -> None:
    at = NOW - timedelta(days=days_ago)
    for material, container, count in (
        ("leaves", "39 gal leaf bag", 4),
        ("grass clippings", "wheelbarrow", 2),
    ):
        stock.add_lot(
            garden, material=material, container=container, count=count, at=at, origin="page"
        )
    counts = {line.lot.key: line.lot.count for line in stock.stock(garden)}
    build.record_build(garden, "left", counts, water_kg, "First heap", at=at, origin="page")


def read(garden: Garden, celsius: float, days_ago: float) -> None:
    body = {"bin": "left", "temperature_c": celsius}
    log(garden, EntryKind.READING, body, at=NOW - timedelta(days=days_ago), origin="page")


def noted(garden: Garden, **body: object) -> None:
    log(garden, EntryKind.LOOK, {"bin": "left", **body}, at=NOW, origin="page")


def first(answer: Diagnosis) -> str:
    return answer.causes[0].id


def told(answer: Diagnosis) -> str:
    return " ".join(render(one, Reader()) for one in answer.weighed)


def test_a_heap_without_any_look_still_gets_an_answer_and_a_next_look(garden: Garden) -> None:
    built(garden, days_ago=9.0)
    answer = diagnose(garden, "left")
    assert sum(one.probability.likely for one in answer.causes) == pytest.approx(1.0)
    assert len(answer.causes) == len(causes())
    assert answer.check is not None
    notes = " ".join(render(one, Reader()) for one in answer.notes)
    assert "No fresh reading" in notes and "smelt or squeezed" in notes
    assert answer.notes[-1] == JUDGEMENT


def test_what_is_ticked_now_and_what_was_written_down_weigh_the_same(garden: Garden) -> None:
    built(garden, days_ago=9.0)
    now = diagnose(garden, "left", Seen(smell="ammonia", present=frozenset({"flies"})))
    before = len(garden.entries())
    noted(garden, smell="ammonia", pests=["flies"])
    kept = diagnose(garden, "left")
    assert len(garden.entries()) == before + 1
    assert first(now) == first(kept)
    assert "It smells of ammonia." in told(now) and "It smells of ammonia." in told(kept)


def test_mice_and_raccoons_of_the_journal_are_scavengers(garden: Garden) -> None:
    built(garden, days_ago=9.0)
    noted(garden, pests=["raccoons"])
    assert first(diagnose(garden, "left")) == "scavengers"


def test_old_looks_and_those_before_a_turn_do_not_count(garden: Garden, clock: StillClock) -> None:
    built(garden, days_ago=9.0)
    noted(garden, smell="ammonia")
    clock.go_on(days=6)
    assert "ammonia" not in told(diagnose(garden, "left"))


def test_what_is_not_found_speaks_against_it(garden: Garden) -> None:
    built(garden, days_ago=9.0)
    there = diagnose(garden, "left", Seen(present=frozenset({"ants"})))
    gone = diagnose(garden, "left", Seen(absent=frozenset({"ants"})))
    none = diagnose(garden, "left")

    def dry(answer: Diagnosis) -> float:
        return next(x.probability.likely for x in answer.causes if x.id == "too_dry")

    assert dry(there) > dry(none) > dry(gone)


def test_a_wrong_reading_is_not_believed(garden: Garden) -> None:
    built(garden, days_ago=9.0)
    for day in (7, 6, 5, 4, 3, 2):
        read(garden, 62.0, day)
    read(garden, 17.0, 1.0)
    read(garden, 61.0, 0.5)
    assert "it is hot" in told(diagnose(garden, "left"))


def test_a_dry_heap_is_told_the_water_to_its_moisture_and_what_comes_of_it(garden: Garden) -> None:
    built(garden, days_ago=9.0, water_kg=0.0)
    for day in (6, 4, 2, 0.5):
        read(garden, 31.0, day)
    answer = diagnose(garden, "left", Seen(squeeze="dusty"))
    assert first(answer) == "too_dry" and answer.is_sure
    assert answer.remedy.kind == "wet"
    amount = answer.remedy.amounts[0]
    assert amount.values["target"].amount == limits()["target_moisture"]
    assert float(amount.values["likely"].amount) > 4.0
    assert float(amount.values["now"].amount) < limits()["target_moisture"]
    assert all(one in answer.remedy.cautions for one in phrases.WETTING)
    after = answer.remedy.after
    assert after is not None
    assert after.with_remedy_c.likely > after.left_alone_c.likely
    assert after.with_remedy_c.low <= after.with_remedy_c.likely <= after.with_remedy_c.high


def test_amounts_close_the_balance_and_keep_to_what_is_on_hand(garden: Garden) -> None:
    built(garden, days_ago=3.0)
    stock.add_lot(garden, material="straw", container="5 gal pail", count=2, at=NOW, origin="page")
    model = heap_model(garden, garden.state().batches[garden.bin("left").batch_key or ""])
    assert model is not None
    now = moisture_now(model)
    wished = now.likely - 0.05
    found = brown_needed(garden, model, wished)
    assert found is not None and found.lot.key
    assert found.containers.high <= 2.0
    assert found.before > found.after
    if not found.is_all:
        assert found.after == pytest.approx(wished, abs=1e-6)
    lean = green_needed(garden, model, 12.0)
    assert lean is None or lean.after < lean.before


@pytest.mark.parametrize("kind", sorted(TEXTS))
def test_every_remedy_can_be_told_with_and_without_a_model(garden: Garden, kind: str) -> None:
    from heapwright.advice.signs import read_signs

    built(garden, days_ago=5.0)
    batch = garden.batch_in("left")
    assert batch is not None
    model = heap_model(garden, batch)
    signs = read_signs(heap_view(garden, batch, model))
    for one in (remedy(kind, garden, model, signs), remedy(kind, garden, None, signs)):
        words = [render(s, Reader()) for s in (one.headline, *one.amounts, *one.expected)]
        assert all(words)
        if TEXTS[kind].is_turning:
            assert all(caution in one.cautions for caution in phrases.FORKING)


def test_every_cause_has_a_remedy() -> None:
    assert {cause.remedy for cause in causes()} == set(TEXTS)


@pytest.mark.parametrize("seen", [Seen(present=frozenset({"smoking"})), None])
def test_a_heap_that_may_burn_is_never_opened(garden: Garden, seen: Seen | None) -> None:
    built(garden, days_ago=9.0)
    read(garden, 60.0 if seen else limits()["burning_c"], 0.2)
    answer = diagnose(garden, "left", seen)
    assert answer.is_danger and answer.check is None
    assert answer.remedy.kind == "stand back" and answer.remedy.amounts == ()
    assert answer.remedy.cautions == phrases.FIRE
    assert "do not open" in render(answer.headline, Reader())


def test_nobody_is_sent_to_fork_open_a_heap_watched_for_fire(garden: Garden) -> None:
    built(garden, days_ago=9.0)
    read(garden, limits()["watch_fire_c"] + 1.0, 0.2)
    answer = diagnose(garden, "left")
    assert not answer.is_danger and answer.check is None
    assert first(answer) == "too_hot"


def test_a_heap_too_old_for_the_model_is_judged_by_what_was_seen(garden: Garden) -> None:
    built(garden, days_ago=300.0)
    answer = diagnose(garden, "left", Seen(present=frozenset({"cupped leaves"})))
    assert first(answer) == "herbicide"
    assert answer.remedy.after is None
    assert "By the model" not in told(answer)
    assert any("not followed" in render(one, Reader()) for one in answer.notes)


def test_an_empty_or_unknown_bin_is_refused(garden: Garden) -> None:
    with pytest.raises(NotFound, match="Right is empty"):
        diagnose(garden, "right")
    with pytest.raises(NotFound, match="left"):
        diagnose(garden, "north")


def test_the_answer_is_plain_for_programs(garden: Garden) -> None:
    built(garden, days_ago=9.0)
    plain = to_plain(diagnose(garden, "left", Seen(smell="sour")))
    assert plain["causes"][0]["probability"]["likely"] <= 1.0
    assert plain["check"]["outcomes"]
