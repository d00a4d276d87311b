"""One heap teaches the next: only what was known by then, kept beside the journal, never truth."""

from __future__ import annotations

from datetime import timedelta
from hashlib import sha256

import numpy as np
import pytest

from heapwright.errors import NotFound
from heapwright.fitting.lesson import Lesson, lesson_of, taught
from heapwright.heap.parameters import PARAMETER_IDS, sample_deviations
from heapwright.journal.entries import EntryKind
from heapwright.workshop import taught as words
from heapwright.workshop.garden import Garden
from heapwright.workshop.lessons import taught_before
from heapwright.workshop.log import log
from heapwright.workshop.model import heap_model
from tests.workshop.conftest import NOW

FILL = {
    "wet_mass_kg": 300.0,
    "moisture": 0.56,
    "volume_m3": 0.7,
    "ash_dry": 0.12,
    "fast_share": 0.18,
    "medium_share": 0.4,
    "c_to_n": 28.0,
}


def _build(garden: Garden, name: str, bin_key: str, days_ago: float) -> None:
    body = {"batch": name, "name": name, "bin": bin_key, "fill": FILL}
    log(
        garden,
        EntryKind.BUILD,
        body,
        at=NOW - timedelta(days=days_ago),
        origin="page",
        entry_id=sha256(name.encode()).hexdigest()[:32],  # the members are drawn by it
    )


def _read(garden: Garden, bin_key: str, days_ago: float, value_c: float) -> None:
    body = {"bin": bin_key, "temperature_c": value_c}
    log(garden, EntryKind.READING, body, at=NOW - timedelta(days=days_ago), origin="page")


def _two_heaps(garden: Garden, readings: int = 9) -> None:
    """A first heap that stayed much cooler than expected, and a second one built after."""
    _build(garden, "first", "left", 20.0)
    for day in range(readings):
        _read(garden, "left", 19.0 - day, 38.0 - day)
    _build(garden, "second", "right", 5.0)


def _mean_ahead(garden: Garden) -> float:
    batch = garden.batch_in("right")
    assert batch is not None
    model = heap_model(garden, batch)
    assert model is not None
    return float(model.run.probe_c[: model.now_index].mean())


def test_a_second_heap_is_expected_to_be_more_like_the_first(garden: Garden) -> None:
    _two_heaps(garden, readings=0)
    untaught = _mean_ahead(garden)
    for day in range(9):
        _read(garden, "left", 19.0 - day, 38.0 - day)
    assert _mean_ahead(garden) < untaught - 1.0
    answer = words.taught(garden, "right")
    assert answer is not None and answer.basis.values["batches"].amount == "first"
    assert answer.basis.values["readings"].amount == 9
    assert answer.lessons


def test_what_comes_after_the_building_does_not_change_the_lesson(garden: Garden) -> None:
    _two_heaps(garden)
    batch = garden.batch_in("right")
    assert batch is not None
    before = taught_before(garden, batch)
    _read(garden, "left", 3.0, 60.0)
    after = taught_before(garden, batch)
    assert before is not None and after is not None
    np.testing.assert_array_equal(after.lesson.mean, before.lesson.mean)
    assert after.readings == before.readings == 9


@pytest.mark.parametrize("text", [None, "{", "[]", '{"x": {"mean": ["a"]}}'])
def test_a_lesson_lost_or_spoilt_on_disk_is_worked_out_anew(
    garden: Garden, text: str | None
) -> None:
    _two_heaps(garden)
    batch = garden.batch_in("right")
    assert batch is not None
    first = taught_before(garden, batch)
    kept = garden.path.with_suffix(".taught.json")
    assert kept.exists()
    kept.unlink() if text is None else kept.write_text(text, encoding="utf-8")
    with Garden.open(garden.path, garden.now) as again:
        second = taught_before(again, batch)
    assert first is not None and second is not None
    np.testing.assert_allclose(second.lesson.mean, first.lesson.mean, atol=1e-12)


def test_a_heap_hardly_read_teaches_nothing(garden: Garden) -> None:
    _two_heaps(garden, readings=3)
    assert words.taught(garden, "right") is None
    assert words.taught(garden, "left") is None
    log(garden, EntryKind.USE, {"bin": "left", "all": True}, at=NOW, origin="page")
    with pytest.raises(NotFound, match="empty"):
        words.taught(garden, "left")


def test_a_lesson_lies_between_the_tables_range_and_the_heap_itself(garden: Garden) -> None:
    _two_heaps(garden)
    first = garden.batch_in("left")
    assert first is not None
    model = heap_model(garden, first)
    assert model is not None
    lesson, own = lesson_of(model.followed), model.followed.deviations
    assert (np.abs(lesson.mean) <= np.abs(own.mean(axis=0)) + 1e-12).all()
    assert (lesson.spread <= 1.0).all() and (lesson.spread >= 0.1).all()
    moved = np.abs(own.mean(axis=0)) > 0.5
    assert moved.any()
    assert (np.sign(lesson.mean[moved]) == np.sign(own.mean(axis=0)[moved])).all() or (
        lesson.mean[moved] == 0
    ).any()


def test_nothing_taught_is_the_tables_range() -> None:
    drawn = sample_deviations(20, np.random.default_rng(1))
    count = len(PARAMETER_IDS)
    nothing = Lesson(np.zeros(count), np.ones(count), np.zeros(3))
    np.testing.assert_array_equal(taught(drawn, None), drawn)
    np.testing.assert_array_equal(taught(drawn, nothing), drawn)
