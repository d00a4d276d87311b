"""What arrives, what is proposed and how the stock goes, in a garden."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from heapwright.errors import NotForCompost, NotFound, OutOfRange
from heapwright.fitting.lesson import Lesson
from heapwright.journal.entries import EntryKind
from heapwright.season.arrivals import Season
from heapwright.season.rotation_plan import PlannedBatch, Proof, RotationPlan, Stay
from heapwright.season.rotation_types import Stage, StuffClass, Yield
from heapwright.season.saving import PlannedBuild
from heapwright.season.stage_run import HeapsBuilt
from heapwright.season.stage_types import StageLengths
from heapwright.sentences import render
from heapwright.workshop import setup, stage_lengths, stage_lengths_kept, year_kept
from heapwright.workshop.arrivals import ALL_YEAR, add_arrival, arrivals, drop_arrival, proposals
from heapwright.workshop.garden import Garden
from heapwright.workshop.lessons import Taught
from heapwright.workshop.log import log
from heapwright.workshop.site import site as place_of
from heapwright.workshop.stock import add_lot
from heapwright.workshop.stock_ahead import stock_ahead
from heapwright.workshop.stock_supplies import stuff, supplies
from tests.workshop.conftest import StillClock

MONDAY = date(2026, 6, 8)
WEEKLY = (0.1, 0.2, 0.3)


def comes(garden: Garden, material: str, season: Season = ALL_YEAR, **more: object) -> str:
    """Enter an arrival; returns its key."""
    answer = add_arrival(
        garden,
        material=material,
        volume_m3_week=WEEKLY,
        season=season,
        origin="page",
        **more,  # type: ignore[arg-type]
    )
    return str(answer.entries[0].body["key"])


def said(sentences: object, garden: Garden) -> str:
    return " ".join(render(one, garden.reader()) for one in sentences)  # type: ignore[attr-defined]


def test_an_arrival_is_entered_altered_and_dropped(garden: Garden, clock: StillClock) -> None:
    key = comes(garden, "coffee grounds")
    clock.go_on(minutes=1)
    comes(garden, "coffee grounds", Season("11-01", "02-15"), key=key, keeps_days=21.0)
    (line,) = arrivals(garden)
    assert line.arrival.key == key and line.kind == "greens"
    assert line.keeps_days == (21.0, 21.0, 21.0)
    assert line.year_m3[1] == pytest.approx(0.2 * 107 / 7, rel=0.01)
    clock.go_on(minutes=1)
    drop_arrival(garden, key, origin="page")
    assert arrivals(garden) == ()
    with pytest.raises(NotFound):
        drop_arrival(garden, key, origin="page")
    with pytest.raises(NotForCompost):
        comes(garden, "meat")


def test_household_lawn_and_trees_are_proposed_until_entered(garden: Garden) -> None:
    assert proposals(garden) == ()
    site = {"people": 4, "lawn_m2": 100.0, "canopy_m2": 50.0}
    log(garden, EntryKind.SITE, site, origin="page")
    found = {one.material_key: one for one in proposals(garden)}
    assert set(found) == {
        "vegetable_scraps",
        "coffee_grounds",
        "grass_clippings_loose",
        "leaves_mixed_dry",
    }
    # UNEP 2024 (second-hand): 79 kg a person and year; 60 % of it fit, at 455 kg/m³ in a pail.
    scraps = found["vegetable_scraps"].volume_m3_week[1]
    # The page of the place counts the same of each.
    of_place = {one.material.material_key: one.material for one in place_of(garden).materials}
    assert set(of_place) == set(found)
    assert of_place["vegetable_scraps"].volume_m3.likely == pytest.approx(scraps * 365.25 / 7)
    assert scraps == pytest.approx(4 * 79 * 0.6 / 455 / 52.18, rel=0.01)
    assert all(
        "from memory" in said([one.told], garden)
        or "weak" in said([one.told], garden)
        or "second-hand" in said([one.told], garden)
        for one in found.values()
    )
    comes(garden, "coffee_grounds")
    assert "coffee_grounds" not in {one.material_key for one in proposals(garden)}


def of_kind(found: tuple[StuffClass, ...], kind: str) -> StuffClass:
    return next(one for one in found if one.key == kind)


def test_supplies_hold_what_is_there_and_what_comes(garden: Garden) -> None:
    add_lot(
        garden,
        material="leaves",
        container="39 gal leaf bag",
        count=10,
        origin="page",
        fullness=(1.0, 1.0, 1.0),
        keep_back=2,
    )
    comes(garden, "grass clippings", Season("04-01", "10-31"))
    comes(garden, "coffee grounds", keeps_days=14.0)
    found = supplies(garden, MONDAY, sureness=0.5)
    browns, greens = of_kind(found, "browns"), of_kind(found, "greens")
    assert browns.on_hand[0].volume_m3 == pytest.approx(8 * 0.1476, rel=0.01)
    assert browns.on_hand[0].weeks_left == (2 + 365) // 7
    assert greens.arriving_m3[0] == pytest.approx(0.4) and greens.arriving_m3[25] == 0.2
    # More than half of what comes in a year keeps for two weeks: the grounds.
    assert greens.keeps_weeks == 2
    need = np.array(greens.need_m3_per_m3) + np.array(browns.need_m3_per_m3)
    assert np.all(need > 0.8) and np.all(need < 1.3)
    surer = of_kind(supplies(garden, MONDAY, sureness=0.9), "greens")
    assert surer.arriving_m3[0] < greens.arriving_m3[0]


def test_shredded_leaves_take_less_room_so_more_of_them_goes_in(garden: Garden) -> None:
    comes(garden, "leaves", Season("10-15", "12-01"))
    comes(garden, "grass clippings")
    loose, mown = (
        of_kind(supplies(garden, MONDAY, shredding=how), "browns").need_m3_per_m3[0]
        for how in (False, True)
    )
    assert mown > 1.2 * loose


def test_without_anything_known_a_likely_heap_is_told(garden: Garden) -> None:
    found = stuff(garden, MONDAY)
    assert found.flows == () and len(found.notes) == 2
    answer = stock_ahead(garden)
    assert answer.saving is None and answer.builds == ()
    assert answer.one_heap.browns_m3[1] > 0.2
    assert "No green is on hand" in said(answer.classes[0].told, garden)


def test_what_heaps_take_runs_out_and_is_to_be_saved(garden: Garden) -> None:
    comes(garden, "grass clippings")
    comes(garden, "leaves", Season("10-15", "12-01"))
    builds = [PlannedBuild(2, 0.5), PlannedBuild(30, 0.5)]
    answer = stock_ahead(garden, builds)
    greens, browns = answer.classes
    assert browns.runs_out == MONDAY + timedelta(weeks=2)
    assert greens.there_low_m3[0] < greens.there_m3[0] < greens.there_high_m3[0]
    saving = answer.saving
    assert saving is not None
    assert saving.from_day == date(2026, 10, 15) and saving.to_day == date(2026, 12, 1)
    both = sum(one.browns_m3[1] for one in answer.builds)
    assert saving.save_m3[1] == pytest.approx(both)
    assert saving.short_before_m3[1] == pytest.approx(answer.builds[0].browns_m3[1])
    assert saving.bags[1] == np.ceil(both / saving.container_m3)
    # A gardening page (weak): 100 bags mown to 17.
    assert saving.shredded_bags[1] == np.ceil(0.17 * both / saving.container_m3)
    assert "save" in said(saving.told, garden) and "room" not in said(saving.told[:3], garden)
    log(garden, EntryKind.WISHES, {"leaf_store_m3": 0.05}, origin="page")
    crowded = stock_ahead(garden, builds).saving
    assert crowded is not None and "likely too small" in said(crowded.told, garden)


def test_only_this_fall_is_held_against_what_is_to_be_saved(
    garden: Garden, clock: StillClock
) -> None:
    comes(garden, "leaves", Season("10-15", "12-01"))
    builds = [PlannedBuild(30, 0.5)]
    before = stock_ahead(garden, builds).saving
    clock.go_on(days=168)  # Wednesday 25 November, the leaves are falling
    during = stock_ahead(garden, builds).saving
    assert before is not None and before.falls_m3 is not None
    assert during is not None and during.falls_m3 is not None
    assert before.falls_m3[1] == pytest.approx(0.2 * 48 / 7)
    assert during.from_day == date(2026, 11, 23)
    assert during.falls_m3[1] == pytest.approx(0.2 * 9 / 7)


def a_run(built_m3: float = 0.7) -> StageLengths:
    shape = (13, 4)
    return StageLengths(
        weeks=np.arange(0, 52, 4),
        days=np.full((3, *shape), 30.0),
        volume_share=np.full((4, *shape), 0.5),
        water_kg=np.ones((3, *shape)),
        stirs=np.ones((3, *shape)),
        hottest_c=np.full(shape, 60.0),
        built_m3=built_m3,
    )


def test_stage_lengths_are_worked_out_once_and_kept_beside_the_journal(
    garden: Garden, clock: StillClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    runs = []
    monkeypatch.setattr(
        "heapwright.season.stage_run.run_stages", lambda *_, **__: runs.append(0) or a_run()
    )
    first = stage_lengths.stage_lengths(garden)
    assert first.first_day == MONDAY and first.lengths.days.shape == (3, 52, 4)
    with Garden.open(garden.path, clock) as again:
        kept = stage_lengths.stage_lengths(again)
    assert len(runs) == 1 and np.array_equal(kept.lengths.days, first.lengths.days)
    clock.go_on(minutes=1)
    setup.settings(garden, origin="page", climate="seattle")
    stage_lengths.stage_lengths(garden)
    assert len(runs) == 2
    garden.path.with_suffix(stage_lengths_kept.SUFFIX).write_text("spoilt")
    with Garden.open(garden.path, clock) as again:
        stage_lengths.stage_lengths(again)
    assert len(runs) == 3


def test_what_earlier_heaps_taught_is_counted_in(
    garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    built = []

    def run(heaps: HeapsBuilt, *_: object, **__: object) -> StageLengths:
        built.append(heaps)
        return a_run()

    monkeypatch.setattr("heapwright.season.stage_run.run_stages", run)
    plain = stage_lengths.stage_lengths(garden)
    numbers = np.ones(built[0].parameters.shape[1])
    lesson = Lesson(numbers, 0.1 * numbers, np.log([1.5, 1.0, 1.0]))
    taught = Taught(lesson, ("First heap",), 12)
    monkeypatch.setattr(stage_lengths, "taught_before", lambda *_: taught)
    monkeypatch.setattr(stage_lengths, "teaching", lambda *_: (7,))
    told = stage_lengths.stage_lengths(garden)
    assert len(built) == 2
    assert built[1].parameters[:, 0].std() < built[0].parameters[:, 0].std()
    assert built[1].fills[0].fast_share == pytest.approx(1.5 * built[0].fills[0].fast_share)
    assert "12 readings of First heap" in said(told.notes, garden)
    assert "readings" not in said(plain.notes, garden)


def test_a_bin_too_small_to_heat_is_told_so(
    garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    cold = a_run()
    cold.hottest_c[:] = 35.0
    cold.days[2, 3, :] = np.inf
    monkeypatch.setattr("heapwright.season.stage_run.run_stages", lambda *_, **__: cold)
    answer = stage_lengths.stage_lengths(garden)
    assert answer.heats_share == 0.0
    assert "too small" in said(answer.notes, garden) and "not ready within" in said(
        answer.notes, garden
    )


def test_a_garden_without_bins_is_asked_for_one(garden: Garden, tmp_path: object) -> None:
    for key in list(garden.state().bins_in_use):
        log(garden, EntryKind.BIN_GONE, {"bin": key}, origin="page")
    with pytest.raises(NotFound):
        stage_lengths.stage_lengths(garden)
    with pytest.raises(OutOfRange):
        stock_ahead(garden, [PlannedBuild(99, 1.0)])


def test_the_heaps_of_the_years_plan_are_counted(garden: Garden) -> None:
    nothing = Yield(0.0, 0.0, 0.0)
    stay = Stay(Stage.FIRST, "left", 5, None)
    standing = PlannedBatch("old", "old", (replace(stay, start_week=0),), True, nothing)
    new = PlannedBatch("year-1", "new", (stay,), False, nothing)
    plan = RotationPlan((standing, new), (), 0.0, Proof.PROVED, 0.0, 0.0, 0.0)
    # Made two weeks ago: what it builds in its week 5 is begun three weeks from now.
    kept = year_kept.KeptPlan("", MONDAY - timedelta(weeks=2), plan)
    year_kept.write(garden.path, kept)
    answer = stock_ahead(garden)
    (build,) = answer.builds
    assert build.day == MONDAY + timedelta(weeks=3)
    assert build.volume_m3 == pytest.approx(0.92**3)
    assert "plan of 25 May 2026" in said([answer.builds_from], garden)
    # Of a plan that nobody looked at for long nothing is counted, as at the beds.
    year_kept.write(garden.path, replace(kept, first_day=MONDAY - timedelta(weeks=4)))
    answer = stock_ahead(garden)
    assert answer.builds == () and "not lately" in said([answer.builds_from], garden)


def test_what_is_there_and_what_a_heap_takes_are_told_in_one_unit(garden: Garden) -> None:
    week = (0.005, 0.01, 0.02)
    scraps = "vegetable_scraps"
    add_arrival(garden, material=scraps, volume_m3_week=week, season=ALL_YEAR, origin="page")
    words = said(stock_ahead(garden, []).classes[0].told, garden)
    found = re.search(r"At most [\d.,]+ (\S+) of green .* takes about [\d.,]+ (\S+?)\. ", words)
    assert found is not None and found[1] == found[2], words


def test_green_is_gathered_while_a_heap_is_filled(garden: Garden, clock: StillClock) -> None:
    comes(garden, "coffee grounds")
    builds = [PlannedBuild(10, 0.5)]
    log(garden, EntryKind.WISHES, {"gather_weeks": 0}, origin="page")
    at_once = stock_ahead(garden, builds).classes[0]
    clock.go_on(minutes=1)
    log(garden, EntryKind.WISHES, {"gather_weeks": 3}, origin="page")
    filled = stock_ahead(garden, builds).classes[0]
    # Grounds keep a week: what came last week and this, or over three weeks more.
    assert at_once.most_m3 == pytest.approx(0.4) and filled.most_m3 == pytest.approx(1.0)
    assert filled.spoiled_m3[1] <= at_once.spoiled_m3[1]
    need = stock_ahead(garden, builds).builds[0].greens_m3[1]
    assert (at_once.runs_out is not None) == (need > 0.4)
    assert (filled.runs_out is not None) == (need > 1.0)
