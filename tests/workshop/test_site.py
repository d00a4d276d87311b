"""A place before its first bin: figures, floor plan, forms, commands, three invented gardens."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.testclient import TestClient

from heapwright.errors import OutOfRange
from heapwright.garden.beds_types import Volume
from heapwright.garden.floor_plan import floor_plan, least_room_m
from heapwright.garden.site import (
    WEEKS_A_YEAR,
    bins_for,
    compost_m3_year,
    harvest_of,
    heats,
    hold_all,
    materials_of,
    site_figures,
    water_kg_year,
)
from heapwright.garden.site_distances import distances
from heapwright.garden.site_types import ClimateYear, Heats, Rect, Site
from heapwright.garden.tables import PACKAGE
from heapwright.quantities import UnitSystem, from_si, to_si
from heapwright.sentences import Reader, render
from heapwright.sources import is_resolvable
from heapwright.tables import parameter_table, read_rows
from heapwright.web.app import create_app
from heapwright.workshop import setup
from heapwright.workshop.garden import Garden
from heapwright.workshop.plain import to_plain
from heapwright.workshop.site import say_of_site, site
from tests.workshop.cli_terminal import Terminal, a_terminal
from tests.workshop.conftest import StillClock

FOOT = 0.3048
MILD = ClimateYear("a mild place", 6.0, 24.0, 900.0)
METRIC = Reader(UnitSystem.METRIC)


def test_the_least_bin_is_a_cubic_yard_and_heats_by_extension_advice() -> None:
    """Iowa State 2016: 3 to 5 ft a side. UF/IFAS: 1 yd3; Oregon State 2018: 1/2 to 1 yd3."""
    side, row = site_figures()["side_m"], site_figures()["heats_m3"]
    assert [side.low / FOOT, side.high / FOOT] == pytest.approx([3, 5])
    assert from_si(side.low**3, "yd3") == pytest.approx(1.0)
    assert [from_si(row.low, "yd3"), from_si(row.high, "yd3")] == pytest.approx([0.5, 1], rel=1e-3)
    small, enough = to_si(0.4, "yd3"), to_si(2.5, "yd3")
    assert heats(Volume(small, small, small)) is Heats.COLD
    assert heats(Volume(enough, enough, enough)) is Heats.HOT


def test_material_of_a_year_follows_the_published_figures() -> None:
    """CSU: 1,000 ft2 of lawn, 200 lb of clippings a year. UNEP 2024: 79 kg of food, half fit."""
    from heapwright.materials.table import load_materials

    found = {one.material_key: one for one in materials_of(Site(people=1, lawn_m2=92.903))}
    grass = load_materials()["grass_clippings_loose"].bulk_density_kg_m3
    kg = found["grass_clippings_loose"].volume_m3.likely * grass.typical
    assert from_si(kg, "lb") == pytest.approx(200, rel=0.01)
    food = load_materials()["vegetable_scraps"].bulk_density_kg_m3
    assert found["vegetable_scraps"].volume_m3.likely * food.typical == pytest.approx(79 * 0.6)


@given(st.floats(0.01, 500.0), st.floats(-10.0, 20.0))
def test_bins_hold_a_years_material_or_it_is_said_that_they_do_not(
    built: float, coldest: float
) -> None:
    bins = bins_for(Volume(built, built, built), ClimateYear("a place", coldest, 30.0, 500.0))
    a_year_m3 = (bins.wanted - 1) * bins.side_m**3 * WEEKS_A_YEAR / 16  # weeks of a cycle
    assert hold_all(bins) == (built <= a_year_m3 * (1 + 1e-6))
    assert hold_all(bins) or bins.wanted == 6


def test_compost_of_a_year_is_what_50_to_75_percent_loss_leaves() -> None:
    """Colorado State Univ. Extension 7.212: 50 to 75 % of the volume is lost."""
    found = compost_m3_year(Volume(1.0, 1.0, 1.0))
    assert (found.low, found.high) == (0.25, 0.5)


def test_distances_hold_the_range_of_the_codes_read() -> None:
    """Property line 3 to 15 ft, dwelling 15 to 30 ft, height 4 to 5 ft (seven places)."""
    rows = parameter_table(PACKAGE, "data/distances.csv")
    feet = {name: (rows[name].low / FOOT, rows[name].high / FOOT) for name in rows}
    assert feet["fence_m"] == pytest.approx((3, 15))
    assert feet["dwelling_m"] == pytest.approx((15, 30))
    assert feet["height_m"] == pytest.approx((4, 5))
    told = distances(Site(fence_m=0.5), height_m=None, volume_m3=None, ground_m2=None)
    assert "nearer than any example" in render(told[0].told, METRIC)
    assert all(one.here is None for one in told[1:])  # what is not said is not judged


@pytest.mark.parametrize("table", ["site", "distances", "tools", "site_cautions"])
def test_every_row_names_a_source_that_is_known(table: str) -> None:
    for row in read_rows(PACKAGE, f"data/{table}.csv"):
        assert is_resolvable(row["source"]), row["id"]


SIDES = st.integers(6, 10).map(lambda n: n / 2 * FOOT)


@given(st.floats(0.5, 12), st.floats(0.5, 12), SIDES, st.integers(1, 6))
def test_a_floor_plan_lies_within_its_place_and_nothing_overlaps(
    width_m: float, depth_m: float, side_m: float, wanted: int
) -> None:
    plan = floor_plan(width_m, depth_m, side_m, wanted)
    room = least_room_m(side_m, wanted)
    if plan is None:
        assert width_m < room[0] or depth_m < room[1]
        return
    boxes = [*plan.bins, plan.front, *([plan.store] if plan.store else [])]
    assert all(one.inside(width_m, depth_m) for one in boxes)
    for number, one in enumerate(boxes):
        assert not any(one.overlaps(other) for other in boxes[number + 1 :])
    assert 1 <= len(plan.bins) <= wanted
    front_m = plan.front.width_m if plan.is_turned else plan.front.depth_m
    assert front_m >= plan.turning_m - 1e-9 or plan.turning_m < 1.5
    if width_m >= room[0] and depth_m >= room[1]:
        assert len(plan.bins) == wanted and plan.side_m == side_m


def test_rectangles_that_touch_do_not_overlap() -> None:
    assert not Rect(0, 0, 1, 1).overlaps(Rect(1, 0, 1, 1))
    assert Rect(0, 0, 1, 1).overlaps(Rect(0.5, 0.5, 1, 1))
    with pytest.raises(OutOfRange):
        floor_plan(0, 2, 1, 1)


@given(st.floats(0.1, 20), st.floats(1, 3))
def test_more_material_asks_for_no_fewer_bins_and_no_less_water(built: float, more: float) -> None:
    one, other = (Volume(x, x, x) for x in (built, built * more))
    assert bins_for(one, MILD).wanted <= 6
    rest = bins_for(other, MILD)
    if rest.side_m == bins_for(one, MILD).side_m:
        assert rest.wanted >= bins_for(one, MILD).wanted
    wet, dry = (ClimateYear("x", 6.0, 24.0, rain) for rain in (1500.0, 100.0))
    assert water_kg_year(one, 1.0, wet).likely <= water_kg_year(one, 1.0, dry).likely
    assert water_kg_year(one, 1.0, MILD).likely <= water_kg_year(other, 1.0, MILD).likely + 1e-9


def test_greens_without_browns_ask_for_browns() -> None:
    found = harvest_of(materials_of(Site(people=3)))
    assert found.lacking == "brown" and found.own_m3.high == 0
    assert found.fetch_m3.likely == pytest.approx(found.greens_m3.likely)
    assert found.all_m3.likely == pytest.approx(2 * found.greens_m3.likely)


GARDENS = {
    "hot dry": (
        "tucson",
        {"people": 3, "lawn_m2": 120.0, "canopy_m2": 60.0, "shade": 0.0},
        ("Dry here", "in the shade"),
    ),
    "cold wet": (
        "newark",
        {"people": 5, "lawn_m2": 400.0, "canopy_m2": 300.0, "well_m": 10.0, "tap_m": 5.0},
        ("A well or stream", "The coldest month"),
    ),
    "tiny yard": (
        "seattle",
        {"people": 1, "space_width_m": 1.0, "space_depth_m": 1.2},
        ("Too little to heat",),
    ),
}


@pytest.mark.parametrize("name", GARDENS)
def test_invented_gardens_are_told_plainly_what_stands_in_the_way(
    garden: Garden, clock: StillClock, name: str
) -> None:
    climate, said, wanted = GARDENS[name]
    clock.go_on(minutes=1)
    setup.settings(garden, origin="page", climate=climate)
    say_of_site(garden, said, origin="page")
    answer = site(garden)
    cautions = " ".join(render(one.told, METRIC) for one in answer.cautions)
    assert all(words in cautions for words in wanted)
    assert "check your local code" in cautions
    if name == "tiny yard":
        assert answer.plan is None
        told = " ".join(render(one, METRIC) for one in answer.told)
        assert "Not one bin that heats fits" in told and "cold compost" in told


@pytest.fixture
def browser(garden: Garden) -> Iterator[TestClient]:
    with TestClient(
        create_app(garden), base_url="http://localhost", follow_redirects=False
    ) as client:
        yield client


def test_the_page_keeps_what_is_said_clears_it_and_draws_the_plan(
    garden: Garden, browser: TestClient
) -> None:
    assert "Say how many you are" in browser.get("/site").text
    assert browser.post("/site", data={}).status_code == 422
    wrong = browser.post("/site", data={"people": "2.5", "lawn_m2": "wide"})
    assert wrong.status_code == 422 and "whole numbers" in wrong.text
    form = {"people": "3", "lawn_m2": "1000 ft2", "space_width_m": "18", "space_depth_m": "11 ft"}
    assert browser.post("/site", data=form).status_code == 303
    assert garden.state().year.site["space_width_m"] == pytest.approx(18 * FOOT)
    page = browser.get("/site").text
    assert 'class="site-picture"' in page and 'value="18 ft"' in page
    answer = browser.get("/api/site").json()
    assert answer == json.loads(json.dumps(to_plain(site(garden), garden.reader())))


def test_the_site_by_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    terminal: Terminal = a_terminal(tmp_path, monkeypatch)
    assert "There is no garden yet" in terminal.refused("site")
    terminal.tell("site", "--tap", "40 ft")  # what is said begins the garden
    assert "Say how many you are" in terminal.tell("site")
    told = terminal.tell("site", "--people", "3", "--width", "18 ft", "--depth", "11 ft")
    assert "Floor plan" in told and "Always check yours" in told
    assert terminal.json("site")["site"]["people"] == 3
    assert "is not an area" in terminal.refused("site", "--lawn", "wide")
