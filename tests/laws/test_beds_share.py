"""Laws of sharing compost out, of rounds and of nitrogen, on random gardens."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from heapwright.errors import OutOfRange
from heapwright.finish.guides import limits
from heapwright.garden.beds import (
    anniversary,
    is_much,
    is_thinly_dug,
    laid_m3,
    next_due,
    of_round,
    round_due,
    too_deep,
    wanted_layer,
    yearly_depth_m,
)
from heapwright.garden.beds_types import Bed, Spread, Volume
from heapwright.garden.cautions import cautions_of
from heapwright.garden.nitrogen import first_year_nitrogen
from heapwright.garden.share import Supply, Want, shared_out
from heapwright.garden.tables import nutrients
from heapwright.quantities import UnitSystem
from heapwright.sentences import Reader, render

START = date(2026, 1, 1)
DAYS = st.integers(0, 364).map(lambda n: START + timedelta(days=n))
AMOUNTS = st.integers(0, 40).map(lambda n: n / 8)
INCH = 0.0254


@st.composite
def wants(draw: st.DrawFn) -> list[Want]:
    found = []
    for number in range(draw(st.integers(0, 6))):
        thin = draw(AMOUNTS)
        found.append(
            Want(f"bed{number}", draw(DAYS), thin, thin + draw(AMOUNTS), draw(st.integers(1, 3)))
        )
    return found


SUPPLIES = st.lists(st.builds(Supply, DAYS, AMOUNTS), max_size=5)


@given(wants(), SUPPLIES)
def test_nobody_gets_more_than_wanted_nor_what_is_not_there_yet(
    asked: list[Want], supplies: list[Supply]
) -> None:
    got = shared_out(asked, supplies)
    for one in asked:
        assert -1e-9 <= got[one.key] <= one.usual_m3 + 1e-9
    for day in {one.due for one in asked}:
        there = sum(one.volume_m3 for one in supplies if one.on <= day)
        assert sum(got[one.key] for one in asked if one.due <= day) <= there + 1e-9


@given(wants(), SUPPLIES, DAYS, AMOUNTS)
def test_more_compost_takes_nothing_from_anybody(
    asked: list[Want], supplies: list[Supply], on: date, more_m3: float
) -> None:
    before = shared_out(asked, supplies)
    after = shared_out(asked, [*supplies, Supply(on, more_m3)])
    assert all(after[key] >= before[key] - 1e-9 for key in before)


@given(wants(), SUPPLIES)
def test_nothing_is_left_over_that_a_bed_could_have_had(
    asked: list[Want], supplies: list[Supply]
) -> None:
    """The total is the most that any sharing can give: a linear program of its own says so."""
    got = sum(shared_out(asked, supplies).values())
    if not asked:
        assert got == 0
        return
    days = sorted({one.due for one in asked})
    rows = [[float(one.due <= day) for one in asked] for day in days]
    there = [sum(one.volume_m3 for one in supplies if one.on <= day) for day in days]
    best = linprog(
        [-1.0] * len(asked), A_ub=rows, b_ub=there, bounds=[(0, one.usual_m3) for one in asked]
    )
    assert got == pytest.approx(-best.fun, abs=1e-6)


@given(wants(), SUPPLIES)
def test_a_thin_layer_comes_before_anybodys_usual_one(
    asked: list[Want], supplies: list[Supply]
) -> None:
    """Whoever lacks a thin layer lacks it for want of others' thin layers, not usual ones."""
    thin = [replace(one, usual_m3=one.thin_m3) for one in asked]
    got, thinly = shared_out(asked, supplies), shared_out(thin, supplies)
    assert all(got[key] >= thinly[key] - 1e-9 for key in thinly)


def test_the_more_important_bed_comes_first_then_the_earlier() -> None:
    later, early = START + timedelta(days=30), START
    asked = [Want("a", early, 1, 1, 2), Want("b", later, 1, 1, 3), Want("c", later, 1, 1, 2)]
    assert shared_out(asked, [Supply(early, 2.0)]) == {"a": 1, "b": 1, "c": 0}
    assert shared_out(asked, [Supply(early, 1.0)]) == {"a": 0, "b": 1, "c": 0}
    with pytest.raises(OutOfRange):
        Want("d", early, 2, 1)


def bed(**said: object) -> Bed:
    return Bed(**{"key": "a", "name": "A", "use": "top-up", "due": START, "area_m2": 10.0} | said)  # type: ignore[arg-type]


@given(st.integers(0, 2000), st.integers(0, 30))
def test_a_round_is_never_far_from_today_and_a_served_one_gives_way_to_the_next(
    ahead: int, barrows: int
) -> None:
    one, today = bed(), START + timedelta(days=ahead)
    laid = tuple(Spread(today, 0.085, "own compost") for _ in range(barrows))
    due, of_this = next_due(one, today, laid)
    assert due in {anniversary(START, year) for year in range(8)}
    wanted, first = wanted_layer(one).volume_m3, round_due(one, today)
    served = barrows * 0.085 >= (wanted.low if today > first else wanted.likely)
    assert laid_m3(of_this) == pytest.approx(0 if served else barrows * 0.085)
    assert (due > today) if served else abs((due - today).days) <= 183


@given(st.integers(0, 2000))
def test_what_is_laid_today_counts_for_the_round_of_today_on_every_day_of_the_year(
    ahead: int,
) -> None:
    today, one = START + timedelta(days=ahead), bed()
    little = (Spread(today, 0.001, "own compost"),)
    assert of_round(one, round_due(one, today), little) == little
    others = {anniversary(START, year) for year in range(8)} - {round_due(one, today)}
    assert not any(of_round(one, due, little) for due in others)


def test_rounds_know_leap_days_and_beds_that_come_once() -> None:
    assert anniversary(date(2024, 2, 29), 1) == date(2025, 2, 28)
    once = bed(every_year=False)
    assert next_due(once, START + timedelta(days=900), ())[0] == START
    # What nobody measured and raw manure never count as the layer.
    spreads = (Spread(START, None, "own compost"), Spread(START, 9.0, "manure"))
    assert laid_m3(next_due(once, START, spreads)[1]) == 0


def test_too_much_is_told_over_the_years_and_not_for_one_thick_new_bed() -> None:
    inch = 10 * INCH
    each_year = [Spread(anniversary(START, n), 1.5 * inch, "own compost") for n in range(3)]
    today = START + timedelta(days=2 * 365 + 20)
    depth = yearly_depth_m(bed(), today, each_year)
    assert depth is not None
    assert depth[0] / INCH == pytest.approx(1.5, rel=0.02)
    assert "too-much" in {one.id for one in cautions_of(bed(), today, each_year)}
    new = bed(use="new bed")
    assert not is_much(new, yearly_depth_m(new, START, [Spread(START, 3 * inch, "own compost")]))
    assert is_much(new, yearly_depth_m(new, START, [Spread(START, 5 * inch, "bought compost")]))


@given(st.lists(st.integers(-40, 40), min_size=4, max_size=7), st.integers(0, 500))
def test_the_deepest_published_layer_each_spring_is_never_called_too_much(
    shifts: list[int], later: int
) -> None:
    laid = [
        Spread(anniversary(START, n) + timedelta(days=shift), 10 * INCH, "own compost")
        for n, shift in enumerate(shifts)
    ]
    today = laid[-1].on + timedelta(days=later)
    assert not is_much(bed(), yearly_depth_m(bed(), today, laid))


def test_a_bed_of_which_nothing_is_said_names_both_waits_after_raw_manure() -> None:
    laid = (Spread(START, 0.1, "manure"),)
    reader = Reader(UnitSystem.METRIC)

    def manure(one: Bed, day: int) -> str:
        found = cautions_of(one, START + timedelta(days=day), laid)
        return " ".join(render(each.told, reader) for each in found if each.id == "manure")

    both = manure(bed(), 100)  # past the shorter wait of 90 days, within the longer of 120
    assert "1 April 2026" in both and "1 May 2026" in both
    assert "1 April" not in manure(bed(raw_harvest=True), 100)
    assert not manure(bed(), 120) and not manure(bed(raw_harvest=True), 120)


def test_own_depths_and_thin_digging_are_told() -> None:
    assert too_deep(bed(depth_m=1.1 * INCH)) and not too_deep(bed(depth_m=INCH))
    assert is_thinly_dug(bed(use="new bed", depth_m=3.5 * INCH))
    assert not is_thinly_dug(bed(use="new bed"))
    high = wanted_layer(bed(phosphorus="high")).volume_m3
    assert high.high == high.low == pytest.approx(10 * 0.25 * INCH)


def test_nitrogen_agrees_with_plain_random_draws() -> None:
    """Draws of another kind: a hundred thousand random ones of the same factors."""
    random, many = np.random.default_rng(4), 100_000

    def drawn(low: float, typical: float, high: float) -> np.ndarray:
        return np.interp(random.random(many), [0, 0.5, 1], [low, typical, high])

    factors = [limits()["finished_density_kg_m3"], limits()["finished_nitrogen_dry"]]
    factors.append(nutrients()["first_year_share"])
    product = 1 - drawn(0.40, 0.45, 0.50)
    for one in factors:
        product = product * drawn(one.low, one.typical, one.high)
    ours = first_year_nitrogen(Volume(1, 1, 1))
    plain = np.quantile(product, [0.1, 0.5, 0.9])
    assert [ours.low_kg, ours.likely_kg, ours.high_kg] == pytest.approx(plain, rel=0.02)


@given(st.floats(0.01, 50), st.floats(1, 3), st.floats(1, 3))
def test_nitrogen_lies_within_the_factors_ends_and_grows_with_the_layer(
    low: float, more: float, most: float
) -> None:
    volume = Volume(low, low * more, low * more * most)
    found = first_year_nitrogen(volume)
    ends = 593 * 0.5 * 0.005 * 0.05 * volume.low, 801 * 0.6 * 0.025 * 0.15 * volume.high
    assert ends[0] <= found.low_kg <= found.likely_kg <= found.high_kg <= ends[1]
    twice = first_year_nitrogen(Volume(2 * volume.low, 2 * volume.likely, 2 * volume.high))
    assert twice.likely_kg == pytest.approx(2 * found.likely_kg)
