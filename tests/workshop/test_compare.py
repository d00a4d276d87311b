"""Heaps side by side: days known only within bounds, what stays missing, what worked here."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.testclient import TestClient

from heapwright.errors import NotFound, OutOfRange
from heapwright.journal.entries import EntryKind
from heapwright.quantities import UnitSystem
from heapwright.season.between import Between
from heapwright.sentences import Reader, render
from heapwright.web.app import create_app
from heapwright.workshop import build, stock
from heapwright.workshop.compare import compare
from heapwright.workshop.compare_answer import FinishedBy, HeapCompared, Outcome, Standing
from heapwright.workshop.compare_course import through_readings
from heapwright.workshop.compare_table import comparison_csv
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from tests.laws.journal_cases import FILL
from tests.workshop.conftest import NOW
from tests.workshop.heaps_compared import a_finished_heap

READER = Reader(UnitSystem.METRIC)
DAY = timedelta(days=1)
HOSTILE = "=<script>alert(1)</script>{{ 7*7 }}"


def built(garden: Garden, name: str = "Heap", days_ago: float = 60.0, bin: str = "left") -> None:
    at = NOW - days_ago * DAY
    stock.add_lot(garden, material="leaves", container="wheelbarrow", count=3, at=at, origin="page")
    counts = {line.lot.key: 3 for line in stock.stock(garden) if line.lot.left >= 3}
    build.record_build(garden, bin, counts, 60.0, name, at=at, origin="page")


def told(
    garden: Garden, kind: EntryKind, days_ago: float, bin: str = "left", **body: object
) -> None:
    log(garden, kind, {"bin": bin, **body}, at=NOW - days_ago * DAY, origin="page")


def read(garden: Garden, **by_day: float) -> None:
    """Readings of a heap built sixty days ago: `_3=41.0` on its third day."""
    for day, celsius in by_day.items():
        told(garden, EntryKind.READING, 60.0 - float(day[1:]), temperature_c=celsius)


def test_one_heap_is_told_as_one(garden: Garden) -> None:
    built(garden)
    notes = [render(one, READER) for one in compare(garden).notes]
    assert any("The weather of 1 heap is" in one for one in notes)


def only(garden: Garden) -> HeapCompared:
    (heap,) = compare(garden).heaps
    return heap


def bounds(found: Between | None) -> tuple[float, float | None] | None:
    return None if found is None else (found.low, found.high)


def test_days_to_hot_lie_between_the_last_cool_and_the_first_hot_reading(garden: Garden) -> None:
    built(garden)
    read(garden, _1=30.0, _2=41.0, _3=48.0, _7=58.0, _8=61.0)
    found = only(garden).days_to_hot
    assert found is not None and found.high is not None
    assert (found.low, found.high) == pytest.approx((3.0, 7.0))


def test_heat_that_nobody_watched_for_is_not_ruled_out(garden: Garden) -> None:
    """Once a week: it may have been hot and cool again before the first reading."""
    built(garden)
    read(garden, _7=44.0, _14=57.0)
    assert bounds(only(garden).days_to_hot) == (0.0, pytest.approx(14.0))


def test_never_read_hot_is_open_and_nobody_read_is_not_known(garden: Garden) -> None:
    built(garden)
    heap = only(garden)
    assert heap.days_to_hot is None and heap.hot.estimated_days is None and heap.days == ()
    assert "Nobody read its core." in [render(one, READER) for one in heap.missing]
    read(garden, _1=30.0, _2=36.0)
    heap = only(garden)
    assert bounds(heap.days_to_hot) == (pytest.approx(2.0), None)
    assert heap.hot.days_seen == 0 and heap.hot.days_read == 2


def test_days_hot_are_counted_and_between_readings_estimated(garden: Garden) -> None:
    built(garden)
    for day in range(1, 13):
        read(garden, **{f"_{day}": 62.0 if 2 <= day <= 9 else 40.0})
    hot = only(garden).hot
    assert (hot.days_seen, hot.days_read) == (8, 12)
    assert hot.estimated_days is not None
    assert hot.estimated_days.low <= hot.estimated_days.likely <= hot.estimated_days.high
    assert 6.0 <= hot.estimated_days.likely <= 9.5
    assert hot.covered_days == pytest.approx(12.0, abs=0.2)


def test_long_gaps_and_the_time_after_the_last_reading_stay_unknown(garden: Garden) -> None:
    built(garden)
    read(garden, _1=50.0, _2=60.0, _30=40.0)
    heap = only(garden)
    assert {one.day for one in heap.days} == {0, 1, 2, 30}
    assert [one.is_read for one in heap.days] == [False, True, True, True]


@given(
    st.lists(st.floats(5.0, 80.0), min_size=2, max_size=6),
    st.lists(st.integers(1, 150), min_size=6, max_size=6),
)
def test_the_estimate_goes_through_every_reading_and_errs_least_there(
    values: list[float], steps: list[int]
) -> None:
    hours = np.cumsum(steps)[: len(values)]
    model = 40.0 + 20.0 * np.sin(np.arange(hours[-1] + 50) / 60.0)
    likely, spread = through_readings(model, list(zip(hours.tolist(), values, strict=True)))
    assert likely[hours] == pytest.approx(values)
    assert spread[hours] == pytest.approx(0.0)
    assert np.isnan(likely[hours[-1] + 1 :]).all() and not np.isnan(likely[: hours[-1]]).any()
    same, _ = through_readings(model, [(int(hour), float(model[hour])) for hour in hours])
    assert same[: hours[-1]] == pytest.approx(model[: hours[-1]])


def test_finished_lies_after_the_last_word_against_and_before_the_first_for_it(
    garden: Garden,
) -> None:
    built(garden)
    assert bounds(only(garden).days_to_finished) == (pytest.approx(60.0), None)  # still worked
    told(garden, EntryKind.CURE, 30.0)
    assert bounds(only(garden).days_to_finished) == (pytest.approx(30.0), None)
    told(garden, EntryKind.TEST, 20.0, procedure="bag", days=4, smell="sour")
    told(garden, EntryKind.TEST, 15.0, procedure="bag", days=2, smell="earthy")  # too short to say
    told(garden, EntryKind.TEST, 5.0, procedure="bag", days=7, smell="earthy")
    heap = only(garden)
    assert bounds(heap.days_to_finished) == (pytest.approx(40.0), pytest.approx(55.0))
    assert heap.finished_by is FinishedBy.TEST and heap.cured_after_days == pytest.approx(30.0)


def test_a_yield_is_told_only_when_all_of_it_was_measured(garden: Garden) -> None:
    built(garden)
    told(garden, EntryKind.USE, 9.0, volume_m3=0.1)
    assert only(garden).yield_m3 is None  # some still lies there
    told(garden, EntryKind.USE, 8.0, all=True)
    heap = only(garden)
    assert heap.is_over and heap.yield_m3 is None and heap.finished_by is FinishedBy.USED
    assert "What it gave was not measured." in [render(one, READER) for one in heap.missing]


def test_a_heap_moved_onto_another_was_not_finished_and_gave_nothing(garden: Garden) -> None:
    built(garden, "Older", 60.0)
    told(garden, EntryKind.TURN, 50.0, how="move", to_bin="right")
    built(garden, "Younger", 40.0)
    told(garden, EntryKind.TURN, 20.0, how="move", to_bin="right", onto=True)
    older, younger = compare(garden).heaps
    assert bounds(younger.days_to_finished) == (pytest.approx(20.0), None)
    assert younger.yield_m3 is None and younger.turns == 0 and younger.is_over
    assert older.turns == 1 and older.early_turns == 1 and not older.is_over
    assert older.days_to_finished is not None and older.days_to_finished.high is None


def test_a_heap_that_was_there_before_the_log_is_shown_and_left_out(garden: Garden) -> None:
    body = {"batch": "old", "name": "Old", "bin": "left", "fill": FILL}
    log(garden, EntryKind.BUILD, body, at=NOW - 60 * DAY, origin="page")
    read(garden, _1=60.0)
    heap = only(garden)
    assert heap.was_there and heap.days_to_hot is None and heap.days_to_finished is None
    assert heap.c_to_n is None and heap.volume_m3 is not None
    assert heap.barrow_loads == pytest.approx(FILL["volume_m3"] / 0.1699, rel=0.01)


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    """A garden of six used-up heaps; the wetter it was built, the later hot."""
    from heapwright.workshop import setup
    from tests.workshop.conftest import StillClock

    path = tmp_path_factory.mktemp("many") / "garden.heapwright"
    with Garden.open(path, StillClock(NOW)) as opened:
        setup.settings(opened, origin="page", name="Test garden", climate="tucson")
        for name in ("Left", "Right"):
            setup.save_bin(
                opened, name=name, origin="page", width_m=0.92, depth_m=0.92, height_m=0.92
            )
        for number in range(6):
            a_finished_heap(opened, number, days_ago=80.0 * (6 - number), slow=1.0 * number)
        yield opened


def test_what_went_together_is_told_by_pairs_with_its_chance(many: Garden) -> None:
    answer = compare(many)
    found = next(
        one
        for one in answer.findings
        if (one.choice, one.outcome) == ("moisture", Outcome.DAYS_TO_HOT)
    )
    assert (found.agree, found.against, found.undecided) == (15, 0, 0)
    assert found.chance == pytest.approx(2 / 720)  # both plainest orders of 6!
    words = [render(one, READER) for one in found.told]
    assert words[0] == "Built wetter: later at 55 °C here, in 15 of 15 pairs of heaps."
    assert "Chance alone would do as much about 1 in 360 times." in words
    assert found.shift is not None and found.shift.likely > 0
    assert found.standing is (Standing.CLEAR if found.corrected <= 0.05 else Standing.HINT)


def test_the_correction_counts_everything_that_was_looked_at(many: Garden) -> None:
    findings = compare(many).findings
    assert findings == tuple(sorted(findings, key=lambda one: (one.chance, -abs(one.leaning))))
    first = findings[0]
    assert first.corrected == pytest.approx(min(1.0, first.chance * len(findings)))
    assert all(one.corrected >= one.chance for one in findings)
    late = {"early turns", "early water"}
    assert not any(
        one.outcome is Outcome.DAYS_TO_HOT and str(one.choice) in late for one in findings
    )


def test_no_pattern_is_told_as_a_cause_and_few_heaps_are_called_few(many: Garden) -> None:
    keys = [one.key for one in compare(many).heaps]
    few = compare(many, keys[:4])
    assert few.findings and all(one.standing is Standing.TOO_FEW for one in few.findings)
    assert "4 heaps are too few to tell what worked here." in [
        render(one, READER) for one in few.told
    ]
    assert compare(many, keys[:2]).findings == ()
    everything = [*compare(many).findings, *few.findings]
    for sentence in (one for found in everything for one in found.told):
        words = render(sentence, READER)
        assert "because" not in words and "makes" not in words and "{" not in words
    assert any("no cause" in render(one, READER) for one in few.told)


def test_heaps_are_chosen_by_key_or_name_and_each_counts_once(many: Garden) -> None:
    key = compare(many).heaps[2].key
    assert [one.key for one in compare(many, ["Heap 2", key]).heaps] == [key]
    with pytest.raises(NotFound):
        compare(many, ["nowhere"])
    with pytest.raises(OutOfRange):
        compare(many, ["Heap 1"] * 41)


def test_questions_for_a_class_come_from_these_heaps(many: Garden) -> None:
    asked = " ".join(render(one, READER) for one in compare(many).questions)
    assert "Heap 0 was read at 55 °C" in asked and "slips of paper" in asked
    assert "Built wetter" in asked and "of the volume it was built with" in asked


def test_the_table_holds_a_row_a_heap_and_no_formula(many: Garden, garden: Garden) -> None:
    rows = list(csv.DictReader(io.StringIO(comparison_csv(compare(many)))))
    heaps = compare(many).heaps
    assert [row["heap"] for row in rows] == [one.name for one in heaps]
    assert [float(row["yield (m3)"]) for row in rows] == pytest.approx(
        [one.yield_m3 for one in heaps]
    )
    built(garden, HOSTILE)
    (row,) = csv.DictReader(io.StringIO(comparison_csv(compare(garden))))
    assert row["heap"] == "'" + HOSTILE and row["days to 55 C, at most"] == ""


def test_pages_and_documents_say_the_same(many: Garden) -> None:
    with TestClient(create_app(many), base_url="http://localhost") as browser:
        page = browser.get("/compare").text
        assert page.count('class="side-plot"') == 6
        assert "Built wetter: later at 131 °F here, in 15 of 15 pairs of heaps." in page
        document = browser.get("/api/compare").json()
        assert document["findings"][0]["chance"] == compare(many).findings[0].chance
        chosen = browser.get("/compare", params={"heap": document["heaps"][0]["key"]}).text
        assert chosen.count('class="side-plot"') == 1 and "Patterns are looked for" in chosen
        sheet = browser.get("/compare/sheet").text
        assert "Questions for a class" in sheet and "slips of paper" in sheet
        assert browser.get("/api/compare.csv").headers["content-type"].startswith("text/csv")
        assert browser.get("/compare", params={"heap": "nowhere"}).status_code == 404
        for place in ("/timeline", f"/batches/{document['heaps'][0]['key']}/story"):
            assert 'href="/compare"' in browser.get(place).text


def test_an_empty_garden_and_a_hostile_name_are_shown(garden: Garden) -> None:
    with TestClient(create_app(garden), base_url="http://localhost") as browser:
        assert "No heap yet" in browser.get("/compare").text
        assert browser.get("/compare/sheet").status_code == 200
        built(garden, HOSTILE)
        page = browser.get("/compare").text
        assert "<script>alert" not in page and "{{ 7*7 }}" in page
