"""What arrives, what runs out and how much brown to save: published figures and balances."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.errors import OutOfRange
from heapwright.materials.table import load_materials
from heapwright.materials.types import Packing
from heapwright.mixing.balance import mix
from heapwright.mixing.types import Part
from heapwright.quantities.containers import container_words
from heapwright.season.arrivals import (
    Season,
    clippings_m3_week,
    counted_on,
    figures,
    leaf_fall,
    mowing_season,
    mown_volume,
    weekly_m3,
    weeks_of,
)
from heapwright.season.needs import Matter, blended, loose_lot, matter_of, need_for
from heapwright.season.outlook import Cohort, cohorts_of, stock_year
from heapwright.season.saving import PlannedBuild, builds_need, needs_by_week, to_save
from heapwright.tables import Estimate

MATERIALS = load_materials()
LB_KG, FT2_M2 = 0.45359237, 0.09290304  # by definition
MONDAY = date(2026, 11, 23)


def test_a_lawn_gives_the_published_clippings() -> None:
    # Colorado State, second-hand: 1,000 ft2 of bluegrass give about 200 lb a year, 150 of it water.
    lawn_m2 = 1000 * FT2_M2
    grass = MATERIALS["grass_clippings_loose"]
    weeks = 26.0
    volume = clippings_m3_week(lawn_m2, weeks, grass)
    mass = volume.typical * weeks * grass.bulk_density_kg_m3.typical
    assert mass == pytest.approx(200 * LB_KG, rel=0.01)
    dry = mass * (1.0 - figures()["clippings_moisture"].typical)
    assert dry == pytest.approx(50 * LB_KG, rel=0.01)
    assert volume.low < volume.typical < volume.high


def test_a_person_wastes_the_published_food() -> None:
    # UNEP Food Waste Index 2024 as reported: 79 kg a person and year, that is 1.52 kg a week; the
    # USA 73 kg, 1.40 a week.
    found = figures()["food_kg_person_year"].scaled(7 / 365.25)
    assert found.typical == pytest.approx(1.52, abs=0.01)
    assert found.low == pytest.approx(1.40, abs=0.01)
    assert not found.evidence.is_fact  # read second-hand


def test_a_hundred_bags_of_leaves_are_mown_to_seventeen() -> None:
    # A gardening page, weak: 100 bags whole, 17 mown.
    mown = mown_volume(Estimate.exactly(100.0))
    assert mown.typical == pytest.approx(17.0)
    assert mown.low < 17.0 < mown.high
    whole, shredded = (
        matter_of(loose_lot(MATERIALS["leaves_mixed_dry"], packing))
        for packing in (Packing.LOOSE, Packing.SHREDDED)
    )
    ratio = whole.mass_kg[0] / shredded.mass_kg[0]
    assert mown.low / 100 <= ratio <= mown.high / 100


def test_leaf_bags_hold_what_is_printed_on_them() -> None:
    # Table F3 of the notes, from the definitions of gallon and cubic foot.
    litres = {"30 gal leaf bag": 113.6, "39 gal leaf bag": 147.6, "wheelbarrow": 170.0}
    for words, volume in litres.items():
        assert container_words()[words].volume_m3 * 1000 == pytest.approx(volume, rel=1e-3)


def test_a_season_may_run_over_new_year() -> None:
    season = Season("11-15", "01-10")
    assert season.holds(date(2026, 12, 31)) and season.holds(date(2027, 1, 10))
    assert not season.holds(date(2027, 1, 11))
    to_march = Season("11-15", "02-28")
    assert to_march.holds(date(2028, 2, 29)) and not Season("03-01", "10-31").holds(
        date(2028, 2, 29)
    )
    # A season of 29 February alone is there in other years too, on the day before.
    leap = Season("02-29", "02-29")
    assert leap.holds(date(2028, 2, 29)) and weeks_of(leap) == pytest.approx(1 / 7)
    weeks = weekly_m3(season, (0.0, 0.1, 0.2), MONDAY)
    assert weeks.shape == (3, 52)
    assert weeks[1, :6] == pytest.approx(0.1) and weeks[1, 6] == pytest.approx(0.1)
    assert weeks[1, 7:50] == pytest.approx(0.0)
    assert weeks[1].sum() == pytest.approx(0.1 * weeks_of(season), rel=0.02)
    with pytest.raises(OutOfRange):
        weekly_m3(season, (0.2, 0.1, 0.3), MONDAY)


def test_seasons_follow_the_weather_on_both_halves_of_the_earth() -> None:
    north = 12.0 - 11.0 * np.cos(2 * np.pi * (np.arange(52) - 3) / 52)
    mown, falls = mowing_season(north.tolist()), leaf_fall(north.tolist())
    assert mown is not None and "03-01" < mown.from_day < "05-01" < mown.to_day < "12-01"
    assert "09-15" < falls.from_day < "11-01" < falls.to_day
    south = np.roll(north, 26)
    turned, fallen = mowing_season(south.tolist()), leaf_fall(south.tolist())
    assert turned is not None and turned.from_day > turned.to_day
    assert "03-15" < fallen.from_day < "05-15"
    assert mowing_season([2.0] * 52) is None


@given(st.floats(0.05, 0.95), st.floats(0.05, 0.95))
def test_surer_counts_on_less(one: float, other: float) -> None:
    three = np.array([1.0, 2.0, 4.0])
    less, more = sorted((one, other), reverse=True)
    assert counted_on(three, less) <= counted_on(three, more) + 1e-12
    assert counted_on(three, 0.5) == pytest.approx(2.0)


amounts = st.floats(0.0, 5.0)
cohorts = st.lists(st.builds(Cohort, st.integers(0, 14), amounts, st.integers(0, 20)), max_size=12)
wishes = st.lists(amounts, min_size=1, max_size=12)


waits = st.integers(0, 4)


@given(cohorts, wishes, waits)
def test_what_came_was_used_or_spoilt_or_is_left(
    came: list[Cohort], wanted: list[float], wait: int
) -> None:
    year = stock_year(came, wanted, wait)
    # On hand and arrived = used + spoilt + left, by the end of every week.
    balance = np.cumsum(year.came_m3 - year.used_m3 - year.spoiled_m3)
    assert balance == pytest.approx(year.left_m3, abs=1e-9)
    met = year.used_m3.sum() + year.lacking_m3.sum()
    assert met <= sum(wanted) + 1e-9
    if wait == 0:
        assert year.used_m3 + year.lacking_m3 == pytest.approx(np.array(wanted), abs=1e-9)
    assert min(year.used_m3.min(), year.spoiled_m3.min(), year.lacking_m3.min()) >= 0.0
    assert np.all(year.left_m3 >= -1e-12)


@given(cohorts, wishes, waits)
def test_no_other_order_leaves_less_lacking(
    came: list[Cohort], wanted: list[float], wait: int
) -> None:
    """Held against a linear program that may take any stuff at any time it keeps (SciPy)."""
    from scipy.optimize import linprog

    # Only wishes that end within the weeks, so that nothing is left open.
    wanted = [*wanted, *[0.0] * wait]
    pairs = [
        (lot, week)
        for lot, one in enumerate(came)
        for week in range(len(wanted))
        if max(one.week, week) <= min(one.last_week, week + wait)
    ]
    served = sum(wanted) - stock_year(came, wanted, wait).lacking_m3.sum()
    if not pairs:
        assert served == pytest.approx(0.0, abs=1e-9)
        return
    rows = np.zeros((len(came) + len(wanted), len(pairs)))
    for column, (lot, week) in enumerate(pairs):
        rows[lot, column] = rows[len(came) + week, column] = 1.0
    most = [*(one.volume_m3 for one in came), *wanted]
    best = linprog(-np.ones(len(pairs)), A_ub=rows, b_ub=most, method="highs")
    assert served == pytest.approx(-best.fun, abs=1e-6)


def of_numbers(moisture: float, nitrogen: float, carbon: float, density: float) -> Matter:
    """Return a m³ of stuff with plain numbers."""
    dry = density * (1.0 - moisture)
    values = (density, density * moisture, dry * carbon, dry * nitrogen, 1.0)
    return Matter(*(np.array([value]) for value in values))


def test_grass_and_leaves_meet_the_published_example() -> None:
    # Cornell (from memory, X3 of the notes): 10 kg of grass (77 % water, 2.4 % N, 45 % C) want
    # 3.5 kg of leaves (35 %, 0.75 %, 50 %) for a C:N of 30; exactly 3.474.
    grass, leaves = of_numbers(0.77, 0.024, 0.45, 200.0), of_numbers(0.35, 0.0075, 0.50, 120.0)
    need = need_for(grass, leaves, c_to_n=30.0)
    kg_of_leaves = 120.0 * need.browns_m3[0] / (200.0 * need.greens_m3[0]) * 10.0
    assert kg_of_leaves == pytest.approx(3.474, abs=0.002)
    assert need.greens_m3[0] + need.browns_m3[0] == pytest.approx(1.0)


def test_the_mixing_core_finds_the_c_to_n_and_the_water_that_was_asked_for() -> None:
    grass, leaves = of_numbers(0.77, 0.024, 0.45, 200.0), of_numbers(0.20, 0.0075, 0.50, 120.0)
    need = need_for(grass, leaves, c_to_n=32.0, moisture=0.7)
    parts = [
        Part("grass", 200.0 * float(need.greens_m3[0]), 0.77, 0.024, 0.45),
        Part("leaves", 120.0 * float(need.browns_m3[0]), 0.20, 0.0075, 0.50),
    ]
    wetted = mix(parts, float(need.water_kg[0]))
    assert wetted.c_to_n == pytest.approx(32.0)
    assert wetted.moisture == pytest.approx(0.7)
    with pytest.raises(OutOfRange):
        need_for(grass, grass)


def real_needs() -> tuple[Matter, Matter]:
    greens = blended([(matter_of(loose_lot(MATERIALS["grass_clippings_loose"])), 1.0)])
    return greens, matter_of(loose_lot(MATERIALS["leaves_mixed_dry"]))


def test_what_is_saved_is_what_the_heaps_take_less_what_is_there() -> None:
    greens, browns = real_needs()
    needs = needs_by_week([greens] * 10 + [None] * 42, browns)
    assert np.array_equal(needs.browns_m3[51], needs.browns_m3[0])
    builds = [PlannedBuild(2, 1.0), PlannedBuild(20, 0.5), PlannedBuild(45, 0.5)]
    each = builds_need(builds, needs)
    saving = to_save(builds, needs, 10, [[], [], []])
    # The heap before the fall is taken to be built again a year later.
    assert saving.needed_m3.typical == pytest.approx(sum(one.browns_m3.typical for one in each))
    assert saving.save_m3.typical == pytest.approx(saving.needed_m3.typical)
    assert saving.short_before_m3.typical == pytest.approx(each[0].browns_m3.typical)
    assert saving.save_m3.low < saving.save_m3.typical < saving.save_m3.high
    enough = to_save(builds, needs, 10, [[Cohort(0, 1.0e3, 999)]] * 3)
    assert enough.save_m3.high == 0.0 and enough.short_before_m3.high == 0.0
    # What does not keep until the heaps are built carries none of them.
    early = to_save(builds, needs, 10, [[Cohort(0, 1.0e3, 9)]] * 3)
    assert early.save_m3.typical == pytest.approx(saving.save_m3.typical)
    assert early.short_before_m3.high == 0.0


@given(st.floats(0.0, 2.0), st.floats(0.0, 0.2), st.integers(0, 51), st.integers(0, 80))
def test_more_on_hand_never_asks_for_more_bags(
    there: float, weekly: float, fall: int, keeps: int
) -> None:
    greens, browns = real_needs()
    needs = needs_by_week([greens] * 52, browns)
    builds = [PlannedBuild(week, 0.7) for week in (0, 13, 26, 39)]
    little = to_save(builds, needs, fall, [[], [], []])
    stock = [Cohort(0, there, keeps), *cohorts_of([weekly] * 52, keeps)]
    more = to_save(builds, needs, fall, [stock] * 3)
    for name in ("low", "typical", "high"):
        assert getattr(more.save_m3, name) <= getattr(little.save_m3, name) + 1e-9


def test_cohorts_keep_for_their_weeks() -> None:
    year = stock_year(cohorts_of([1.0, 0.0, 1.0], 1), [0.0, 0.4, 0.0, 0.0])
    assert year.spoiled_m3.tolist() == pytest.approx([0.0, 0.6, 0.0, 1.0])
    assert year.runs_out_week is None
    assert stock_year([], [0.0, 1.0]).runs_out_week == 1
