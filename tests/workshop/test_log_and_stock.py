"""Writing down and what is on hand: once, undone, refused with a reason."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from heapwright.advice.types import Job
from heapwright.errors import (
    HeapwrightError,
    NotForCompost,
    NotFound,
    NotUnderstood,
    OutOfRange,
    UnknownMaterial,
)
from heapwright.journal.entries import EntryKind, GardenSettings, GardenState, new_entry_id
from heapwright.mixing.targets import default_wishes
from heapwright.mixing.types import Band
from heapwright.quantities import fullness_levels, parse_amount
from heapwright.sentences import render
from heapwright.workshop import bins, build, demo, setup, stock
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import counting, log, undo
from heapwright.workshop.today import bin_today, today
from tests.workshop.conftest import NOW, StillClock


def _built(garden: Garden) -> None:
    stock.add_lot(
        garden, material="shredded leaves", container="39 gal leaf bag", count=6, origin="page"
    )
    stock.add_lot(
        garden, material="grass clippings", container="wheelbarrow", count=3, origin="page"
    )
    counts = {line.lot.key: line.lot.count for line in stock.stock(garden)}
    build.record_build(
        garden, "left", counts, 30.0, "First heap", at=NOW - timedelta(days=3), origin="page"
    )


def _read(garden: Garden, celsius: float, **more: object) -> None:
    log(garden, EntryKind.READING, {"bin": "left", "temperature_c": celsius}, **more, origin="page")


def test_a_reading_is_stored_once_however_often_it_is_sent(garden: Garden) -> None:
    _built(garden)
    same = new_entry_id()
    _read(garden, 58.0, entry_id=same, at=NOW)
    answer = log(
        garden,
        EntryKind.READING,
        {"bin": "left", "temperature_c": 58.0},
        entry_id=same,
        at=NOW,
        origin="page",
    )
    assert answer.already_there == (same,)
    assert len(garden.readings_of_bin("left")) == 1


def test_undo_takes_a_reading_back_and_the_journal_keeps_both(garden: Garden) -> None:
    _built(garden)
    same = new_entry_id()
    _read(garden, 58.0, entry_id=same)
    before = len(garden.entries())
    undo(garden, same, origin="page")
    assert garden.readings_of_bin("left") == ()
    assert len(garden.entries()) == before + 1
    with pytest.raises(NotFound):
        undo(garden, new_entry_id(), origin="page")


def test_a_jump_of_a_day_is_stored_and_asked_about(garden: Garden) -> None:
    _built(garden)
    _read(garden, 20.0, at=NOW - timedelta(hours=6))
    body = {"bin": "left", "temperature_c": 70.0}
    answer = log(garden, EntryKind.READING, body, origin="page")
    assert answer.stored
    assert "158 °F" in render(answer.warnings[0], garden.reader())


def test_a_reading_in_an_empty_or_unknown_bin_is_refused_and_nothing_saved(garden: Garden) -> None:
    before = garden.entries()
    for bin_key in ("right", "nowhere"):
        with pytest.raises(HeapwrightError) as refusal:
            log(garden, EntryKind.READING, {"bin": bin_key, "temperature_c": 50.0}, origin="page")
        assert "Nothing was saved" in refusal.value.sentence()
    assert garden.entries() == before


def test_what_lies_in_the_future_is_refused(garden: Garden) -> None:
    _built(garden)
    with pytest.raises(OutOfRange):
        _read(garden, 50.0, at=NOW + timedelta(days=1))


def test_building_takes_containers_from_the_lots(garden: Garden) -> None:
    _built(garden)
    assert stock.stock(garden) == ()
    assert garden.batch_in("left") is not None


def test_the_same_build_sent_twice_is_one_heap(garden: Garden) -> None:
    stock.add_lot(garden, material="straw", container="wheelbarrow", count=4, origin="page")
    lot = stock.stock(garden)[0].lot.key
    same = new_entry_id()
    first = build.record_build(
        garden, "left", {lot: 2}, 5.0, "Heap", entry_id=same, at=NOW, origin="page"
    )
    again = build.record_build(
        garden, "left", {lot: 2}, 5.0, "Heap", entry_id=same, at=NOW, origin="page"
    )
    assert first.stored == again.already_there == (same,)
    assert stock.stock(garden)[0].lot.left == 2


def test_a_heap_cannot_be_built_where_one_stands(garden: Garden) -> None:
    _built(garden)
    stock.add_lot(garden, material="straw", container="wheelbarrow", count=4, origin="page")
    lot = stock.stock(garden)[0].lot.key
    with pytest.raises(OutOfRange, match="First heap stands"):
        build.record_build(garden, "left", {lot: 2}, 0.0, "Second", origin="page")


@pytest.mark.parametrize(
    "material",
    ["meat", "dog poo", "pressure-treated sawdust", "coal ash", "glossy magazine", "cooking oil"],
)
def test_refused_materials_are_refused_with_what_to_do_instead(
    garden: Garden, material: str
) -> None:
    with pytest.raises(NotForCompost) as refusal:
        stock.add_lot(garden, material=material, container="pail", count=1, origin="page")
    assert refusal.value.instead


def test_a_conditional_material_is_kept_on_the_list_and_left_out_of_the_recipe(
    garden: Garden,
) -> None:
    stock.add_lot(garden, material="straw", container="wheelbarrow", count=6, origin="page")
    stock.add_lot(
        garden, material="grass clippings", container="wheelbarrow", count=6, origin="page"
    )
    stock.add_lot(garden, material="weeds gone to seed", container="pail", count=2, origin="page")
    plan = build.plan_build(garden, "left")
    ((lot, _),) = plan.left_out
    assert lot.material_key == "weeds_seeding"
    assert all(line.lot.key != lot.key for line in plan.recipe.lines)
    again = build.plan_build(garden, "left", use_conditional=frozenset({lot.key}))
    assert again.left_out == ()


def test_a_plan_holds_the_wishes_it_was_asked_to_meet(garden: Garden) -> None:
    stock.add_lot(garden, material="straw", container="wheelbarrow", count=6, origin="page")
    stock.add_lot(
        garden, material="grass clippings", container="wheelbarrow", count=6, origin="page"
    )
    usual = build.plan_build(garden, "left")
    assert usual.wishes == default_wishes(0.92**3, "dry")
    asked = replace(usual.wishes, volume_m3=Band(0.2, 0.4, 0.4, "this test"))
    smaller = build.plan_build(garden, "left", wishes=asked)
    assert smaller.wishes == asked
    assert smaller.recipe.mixture.likely.volume_m3 <= 0.4 < usual.recipe.mixture.likely.volume_m3


def test_what_cannot_be_understood_says_what_would_be_right(garden: Garden) -> None:
    with pytest.raises(UnknownMaterial, match="Nearest"):
        stock.add_lot(
            garden, material="clippongs of glas", container="pail", count=1, origin="page"
        )
    with pytest.raises(NotUnderstood, match="wheelbarrow"):
        stock.add_lot(garden, material="straw", container="amphora", count=1, origin="page")
    with pytest.raises(HeapwrightError):
        stock.add_lot(garden, material="straw", container="pail", count=-3, origin="page")
    with pytest.raises(OutOfRange, match="No container"):
        build.record_build(garden, "left", {}, 0.0, "Nothing", origin="page")


def test_throwing_away_more_than_is_left_is_refused(garden: Garden) -> None:
    stock.add_lot(garden, material="straw", container="wheelbarrow", count=4, origin="page")
    lot = stock.stock(garden)[0].lot.key
    stock.throw_away(garden, lot, 3, origin="page")
    with pytest.raises(OutOfRange, match="Only 1 are left"):
        stock.throw_away(garden, lot, 2, origin="page")


def test_an_own_container_and_an_own_measured_value_count(garden: Garden) -> None:
    setup.save_container(garden, "green tub", 0.05, origin="page")
    stock.add_lot(
        garden,
        material="leaves",
        container="green tub",
        count=2,
        measured={"container_mass_kg": (4.0, 4.0, 4.0)},
        origin="page",
    )
    (line,) = stock.stock(garden)
    assert line.lot.container_volume_m3 == 0.05
    assert line.properties["container_mass_kg"] == (4.0, 4.0, 4.0)


@pytest.mark.parametrize("percent", [4, 37, 80, 100])
def test_eighty_percent_full_means_the_same_by_every_door(garden: Garden, percent: int) -> None:
    read = parse_amount(f"2 wheelbarrows, {percent} % full").fullness
    for fullness in (f"{percent} %", percent / 100):
        stock.add_lot(
            garden,
            material="straw",
            container="wheelbarrow",
            count=2,
            fullness=fullness,
            origin="page",
        )
    kept = [line.lot.fullness for line in stock.stock(garden)]
    assert len(kept) == 2
    assert kept == [pytest.approx((read.low, read.typical, read.high))] * 2


@pytest.mark.parametrize("level", fullness_levels())
def test_every_word_for_how_full_can_be_kept(garden: Garden, level: str) -> None:
    stock.add_lot(
        garden, material="straw", container="wheelbarrow", count=1, fullness=level, origin="page"
    )
    (line,) = stock.stock(garden)
    assert line.lot.fullness[1] == fullness_levels()[level].typical


def test_what_spoils_first_stands_at_the_top(garden: Garden, clock: StillClock) -> None:
    stock.add_lot(garden, material="leaves", container="39 gal leaf bag", count=2, origin="page")
    stock.add_lot(
        garden, material="grass clippings", container="wheelbarrow", count=2, origin="page"
    )
    clock.go_on(days=3)
    first, last = stock.stock(garden)
    assert first.lot.material_key == "grass_clippings_loose"
    assert first.spoils_in_days is not None and first.spoils_in_days < 0
    assert last.spoils_in_days is not None and last.spoils_in_days > 30


def test_an_empty_bin_is_put_out_of_use_and_comes_back_by_undo(garden: Garden) -> None:
    answer = setup.put_bin_out_of_use(garden, "right", origin="page", why="rotten")
    assert list(garden.state().bins_in_use) == ["left"]
    assert [one.bin.key for one in today(garden).bins] == ["left"]
    assert [(one.key, by) for one, by in setup.bins_out_of_use(garden)] == [
        ("right", answer.stored[0])
    ]
    with pytest.raises(NotFound, match=r"Right was put out of use\. The bins are: left"):
        garden.bin("right")
    with pytest.raises(NotFound):
        setup.put_bin_out_of_use(garden, "right", origin="page")
    undo(garden, answer.stored[0], origin="page")
    assert list(garden.state().bins_in_use) == ["left", "right"]
    assert setup.bins_out_of_use(garden) == ()


def test_a_bin_with_a_heap_stays_and_says_what_to_do_first(garden: Garden) -> None:
    _built(garden)
    before = garden.entries()
    with pytest.raises(OutOfRange) as refusal:
        setup.put_bin_out_of_use(garden, "left", origin="page")
    assert refusal.value.sentence() == (
        "Left cannot be put out of use. First heap stands in it. Log first that the heap was moved "
        "to another bin, or that all of its compost was taken out. Nothing was saved."
    )
    assert garden.entries() == before
    log(garden, EntryKind.USE, {"bin": "left", "all": True}, origin="page")
    setup.put_bin_out_of_use(garden, "left", origin="page")
    assert list(garden.state().bins_in_use) == ["right"]


def test_a_heap_is_followed_on_when_the_bin_it_was_built_in_is_out_of_use(
    garden: Garden, clock: StillClock
) -> None:
    _built(garden)
    moved = {"bin": "left", "how": "move", "to_bin": "right"}
    log(garden, EntryKind.TURN, moved, at=NOW - timedelta(hours=5), origin="page")
    before = bins.forecast(garden, "right").likely_c
    setup.put_bin_out_of_use(garden, "left", origin="page")
    assert bins.forecast(garden, "right").likely_c == pytest.approx(before)
    told = [render(e.words, garden.reader()) for e in bins.bin_answer(garden, "right").events]
    assert told[0].startswith("Built in Left")
    assert bin_today(garden, "right").advice.job is not Job.BUILD


def test_a_new_bin_may_have_the_name_of_one_out_of_use(garden: Garden, clock: StillClock) -> None:
    setup.put_bin_out_of_use(garden, "left", origin="page")
    size = {"width_m": 1.2, "depth_m": 1.2, "height_m": 1.0}
    setup.save_bin(garden, name="Left", origin="page", **size)
    assert list(garden.state().bins_in_use) == ["right", "left-2"]
    clock.go_on(minutes=1)
    setup.save_bin(garden, name="Old left", origin="page", key="left", **size)
    assert {"left", "left-2", "right"} == set(garden.state().bins_in_use)


def test_two_bins_of_one_name_get_two_keys(garden: Garden) -> None:
    setup.save_bin(garden, name="Left", origin="page", width_m=1.0, depth_m=1.0, height_m=1.0)
    assert {"left", "left-2"} <= set(garden.state().bins)
    with pytest.raises(NotUnderstood):
        setup.save_bin(garden, name="!!!", origin="page", width_m=1.0, depth_m=1.0, height_m=1.0)
    with pytest.raises(NotUnderstood, match="tucson"):
        setup.settings(garden, origin="page", climate="atlantis")


def test_leaving_the_invented_garden_takes_all_of_it_back_once(tmp_path: Path) -> None:
    with Garden.open(tmp_path / "demo.heapwright", StillClock(NOW)) as invented:
        demo.fill_demo_garden(invented)
        before = len(invented.entries())
        answer = demo.leave_demo_garden(invented, origin="page")
        assert len(answer.stored) == before
        assert {entry.origin for entry in answer.entries} == {"page"}
        assert invented.state() == GardenState(settings=GardenSettings())
        assert counting(invented) == frozenset()
        assert demo.leave_demo_garden(invented, origin="page").stored == ()
        assert len(invented.entries()) == 2 * before


def test_leaving_the_invented_garden_leaves_a_persons_own_alone(garden: Garden) -> None:
    before = garden.state()
    assert demo.leave_demo_garden(garden, origin="page").stored == ()
    assert garden.state() == before
