"""What the journal says of the year adds up: compost put by and spread, beds said anew."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.errors import HeapwrightError
from heapwright.journal.bodies import checked_body
from heapwright.journal.entries import EntryKind
from heapwright.journal.fold import fold
from tests.laws.journal_cases import Writer

BED = {"key": "beans", "name": "Bean bed", "use": "top-up", "area_m2": 6.0, "due": "2026-05-03"}


def standing_heap() -> Writer:
    diary = Writer()
    diary.write(
        "bin", {"key": "one", "name": "One", "width_m": 0.9, "depth_m": 0.9, "height_m": 0.9}
    )
    fill = {"wet_mass_kg": 300.0, "moisture": 0.5, "volume_m3": 0.6, "ash_dry": 0.2}
    fill |= {"fast_share": 0.1, "medium_share": 0.3, "c_to_n": 20.0}
    diary.write("build", {"batch": "b", "name": "B", "bin": "one", "fill": fill})
    diary.write("bed", BED)
    return diary


@given(
    st.lists(st.floats(0.01, 0.4), min_size=1, max_size=5),
    st.lists(st.floats(0.01, 0.4), max_size=5),
)
def test_compost_put_by_is_what_came_out_less_what_was_spread(
    stored: list[float], spread: list[float]
) -> None:
    diary = standing_heap()
    for day, volume_m3 in enumerate(stored):
        diary.write("use", {"bin": "one", "volume_m3": volume_m3, "store": True}, day=day)
    for day, volume_m3 in enumerate(spread):
        body = {"bed": "beans", "volume_m3": volume_m3, "what": "own compost"}
        diary.write("spread", body, day=10 + day)
    diary.write("spread", {"bed": "beans", "volume_m3": 0.3, "what": "manure"}, day=20)
    year = fold(diary.entries).year
    assert year.store_m3 == pytest.approx(max(0.0, sum(stored) - sum(spread)))
    assert len(year.spreads) == len(spread) + 1


def test_what_goes_from_a_bin_onto_a_bed_names_its_heap() -> None:
    diary = standing_heap()
    diary.write("use", {"bin": "one", "volume_m3": 0.1, "bed": "beans"}, day=1)
    diary.write("use", {"bin": "one", "all": True, "bed": "beans"}, day=2)
    first, last = fold(diary.entries).year.spreads
    assert (first.batch_key, first.volume_m3) == ("b", 0.1)
    assert (last.batch_key, last.volume_m3) == ("b", None)


def test_a_bed_of_which_nobody_knows_is_told_and_left_out() -> None:
    diary = standing_heap()
    diary.write("spread", {"bed": "moon", "volume_m3": 0.1, "what": "manure"}, day=1)
    diary.write("bed_gone", {"bed": "moon"}, day=1)
    diary.write("arrival_gone", {"arrival": "moon"}, day=1)
    diary.write("away_gone", {"away": "moon"}, day=1)
    state = fold(diary.entries)
    assert state.year.spreads == () and len(state.problems) == 4


def test_said_anew_replaces_and_taken_away_stays_known() -> None:
    diary = standing_heap()
    diary.write("bed", BED | {"area_m2": 8.0, "due": "2026-06-01"}, day=1)
    diary.write("site", {"people": 3, "lawn_m2": 50.0}, day=1)
    diary.write("site", {"lawn_m2": None, "beds_m2": 20.0}, day=2)
    year = fold(diary.entries).year
    assert (year.beds["beans"].area_m2, year.beds["beans"].due) == (8.0, date(2026, 6, 1))
    assert year.site == {"people": 3, "beds_m2": 20.0}
    diary.write("bed_gone", {"bed": "beans"}, day=3)
    year = fold(diary.entries).year
    assert year.beds_in_use == {} and "beans" in year.beds
    diary.write("bed", BED, day=4)
    assert "beans" in fold(diary.entries).year.beds_in_use


@pytest.mark.parametrize(
    "kind, body, said",
    [
        ("bed", BED | {"volume_m3": 0.1}, "one of the two"),
        ("bed", {k: v for k, v in BED.items() if k != "area_m2"}, "one of the two"),
        ("bed", BED | {"due": "2026-02-30"}, "is not a day"),
        ("away", {"key": "x", "from_date": "2026-07-02", "to_date": "2026-07-01"}, "ends before"),
        ("site", {}, "Nothing is said"),
        ("wishes", {}, "No wish"),
        ("wishes", {"work_days": ["someday"]}, "is not known"),
        ("use", {"bin": "one", "volume_m3": 0.1, "bed": "beans", "store": True}, "two takings"),
        ("use", {"bin": "one", "all": True, "store": True}, "How much"),
        (
            "arrival",
            {
                "key": "x",
                "material_key": "leaves",
                "volume_m3_week": [0.0, 0.0, 0.0],
                "from_day": "10-01",
                "to_day": "11-30",
            },
            "Nothing would arrive",
        ),
        (
            "arrival",
            {
                "key": "x",
                "material_key": "leaves",
                "volume_m3_week": [0.0, 0.1, 0.2],
                "from_day": "13-01",
                "to_day": "11-30",
            },
            "is not a day of the year",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_words(kind: str, body: dict[str, object], said: str) -> None:
    with pytest.raises(HeapwrightError, match=said):
        checked_body(EntryKind(kind), body)
