"""The ledger in a garden: what the journal books, prices, months ahead, page, command, document."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from heapwright.errors import OutOfRange, WeatherProblem
from heapwright.garden.ledger_types import Kind
from heapwright.journal.entries import EntryKind
from heapwright.journal.fold import fold
from heapwright.materials.table import load_materials
from heapwright.sentences import render
from heapwright.web.app import create_app
from heapwright.workshop import build, ledger_ahead, stock, year
from heapwright.workshop.beds_log import save_bed, spread_on
from heapwright.workshop.garden import Garden
from heapwright.workshop.ledger import carbon_of, ledger, ledger_now
from heapwright.workshop.ledger_answer import Ledger
from heapwright.workshop.ledger_done import bookings, kind_of
from heapwright.workshop.ledger_table import ledger_csv
from heapwright.workshop.log import log, undo
from heapwright.workshop.setup import settings as save_settings
from heapwright.workshop.year_answer import YearAnswer, YearBed
from heapwright.workshop.year_wishes import save_wishes
from tests.laws.journal_cases import FILL, a_row_of_bins
from tests.laws.test_ledger import a_plan, lengths_of
from tests.season.rotation_cases import random_year
from tests.workshop.cli_terminal import Terminal, a_terminal
from tests.workshop.conftest import StillClock

DAY = timedelta(days=1)
PRICES = {"water_price_m3": 4.0, "compost_price_m3": 50.0, "currency": "€"}


def told(answer: Ledger, garden: Garden) -> str:
    sentences = (*answer.told, *answer.carbon.told, *answer.notes)
    return " ".join(render(one, garden.reader()) for one in sentences)


@pytest.fixture
def worked(garden: Garden, clock: StillClock) -> Garden:
    """A heap of leaves and kitchen scraps, watered, and compost that went three ways."""
    at = clock.now - 70 * DAY
    for material in ("dry leaves", "vegetable scraps"):
        stock.add_lot(
            garden, material=material, container="wheelbarrow", count=2, at=at, origin="page"
        )
    counts = {one.lot.key: 2 for one in stock.stock(garden)}
    build.record_build(garden, "left", counts, 40.0, "Spring heap", at=at, origin="page")
    due = (clock.now + 60 * DAY).date()
    save_bed(garden, name="Squash", use="top-up", due=due, area_m2=10, origin="page")
    for day, kind, body in (
        (50, EntryKind.WET, {"water_kg": 10.0}),
        (40, EntryKind.TURN, {"how": "stir", "water_kg": 5.0}),
        (30, EntryKind.TURN, {"how": "stir"}),
        (9, EntryKind.USE, {"volume_m3": 0.2, "store": True}),
        (8, EntryKind.USE, {"volume_m3": 0.05, "bed": "squash"}),
        (7, EntryKind.USE, {"all": True}),
    ):
        log(garden, kind, {"bin": "left", **body}, at=clock.now - day * DAY, origin="page")
    for what, volume in (("own compost", 0.1), ("bought compost", 0.08), ("manure", 0.3)):
        spread_on(garden, "squash", volume, what, at=clock.now - 5 * DAY, origin="page")
    return garden


@pytest.fixture
def planned(garden: Garden, monkeypatch: pytest.MonkeyPatch) -> YearAnswer:
    """A plan that no solver made, and stage lengths that no model ran, for any garden."""
    monday = date(2026, 6, 8)
    problem = replace(random_year(3, bins=2), standing=(), first_day=monday)
    stages = SimpleNamespace(lengths=lengths_of(problem), first_day=monday)
    monkeypatch.setattr(ledger_ahead, "stage_lengths", lambda _: stages)
    nothing = (monday, 0.0, 0.0, None, None, None, None)
    beds = (
        replace(YearBed("a", "A", *nothing), due=date(2026, 5, 1), wished_m3=0.2, served_m3=0.2),
        replace(YearBed("b", "B", *nothing), due=date(2027, 3, 5), wished_m3=0.4, served_m3=0.1),
        replace(YearBed("c", "C", *nothing), due=date(2029, 3, 5), wished_m3=9.0, served_m3=9.0),
    )
    empty = dict.fromkeys(YearAnswer.__slots__, ())
    answer = YearAnswer(**empty | {"problem": problem, "plan": a_plan(problem, 3), "beds": beds})
    monkeypatch.setattr(year, "year", lambda _: answer)
    return answer


def test_the_journal_is_booked_once_each_by_month(worked: Garden) -> None:
    answer = ledger(worked, None)
    assert [one.month for one in answer.done][0::11] == [date(2025, 7, 1), date(2026, 6, 1)]
    sums = answer.done_sums
    assert sums.water_kg == 55.0
    # What was put by counts when it is spread; what nobody measured is in no sum; manure is not.
    assert sums.own_m3 == pytest.approx(0.05 + 0.1)
    assert sums.bought_m3 == pytest.approx(0.08)
    assert sums.unmeasured == 1
    assert 0 < sums.browns_kg < sums.kitchen_kg
    assert sums.greens_kg == sums.other_kg == 0
    by_month = {one.month.month: one.sums.water_kg for one in answer.done if one.sums.water_kg}
    assert by_month == {4: 50.0, 5: 5.0}
    said = told(answer, worked)
    assert "Amounts that nobody wrote down: 1" in said
    assert "No price of water or of compost is entered" in said


def test_what_is_taken_back_is_in_no_sum(worked: Garden, clock: StillClock) -> None:
    wet = next(one for one in worked.entries() if one.kind is EntryKind.WET)
    undo(worked, wet.id, origin="page")
    assert ledger(worked, None).done_sums.water_kg == 45.0


WATERED = st.lists(
    st.tuples(
        st.sampled_from(["wet", "stir", "move", "nothing"]),
        st.sampled_from(["a", "b"]),
        st.floats(0, 500, allow_nan=False),
    ),
    max_size=12,
)


@settings(max_examples=60, deadline=None)
@given(WATERED)
def test_water_is_that_of_the_entries_that_count(
    watered: list[tuple[str, str, float]],
) -> None:
    """A heap moved onto another stands in the journal of both; its water is given once."""
    writer = a_row_of_bins("a", "b")
    for number, key in enumerate(("a", "b")):
        body = {"batch": f"h{key}", "name": key, "bin": key, "fill": FILL, "water_kg": 20.0}
        writer.write("build", body, day=1 + number)
    expected, standing = 40.0, {"a", "b"}
    for day, (how, where, water) in enumerate(watered, start=3):
        other = "b" if where == "a" else "a"
        if how == "wet":
            writer.write("wet", {"bin": where, "water_kg": water}, day=day)
        elif how == "stir":
            writer.write("turn", {"bin": where, "how": "stir", "water_kg": water}, day=day)
        elif how == "move":
            body = {"bin": where, "how": "move", "to_bin": other, "water_kg": water, "onto": True}
            writer.write("turn", body, day=day)
        if how != "nothing" and where in standing:
            expected += water
            if how == "move":
                standing = {other}
    found = bookings(fold(writer.entries))
    assert sum(one.amount or 0 for one in found if one.kind is Kind.WATER) == pytest.approx(
        expected
    )


@pytest.mark.parametrize(
    "material, kind",
    [
        ("vegetable_scraps", Kind.KITCHEN),
        ("coffee_grounds", Kind.KITCHEN),
        ("coffee_filters_tea_bags", Kind.BROWNS),
        ("grass_clippings_loose", Kind.GREENS),
        ("blood_meal", Kind.GREENS),
        ("leaves_mixed_dry", Kind.BROWNS),
        ("wood_ash", Kind.OTHER),
        ("garden_soil", Kind.OTHER),
    ],
)
def test_materials_are_booked_by_what_they_are(material: str, kind: Kind) -> None:
    assert kind_of(load_materials()[material]) is kind


def test_prices_make_money_of_it_to_two_digits(worked: Garden, clock: StillClock) -> None:
    clock.go_on(minutes=1)
    save_wishes(worked, PRICES, origin="page")
    answer = ledger(worked, None)
    assert answer.done_money.water is not None
    assert answer.done_money.water.likely == pytest.approx(0.055 * 4)
    assert answer.done_money.bought == pytest.approx(4.0)
    assert answer.done_money.saved == pytest.approx(7.5)
    assert answer.done_money.saved == pytest.approx(
        sum(one.money.saved or 0 for one in answer.done)
    )
    said = told(answer, worked)
    for words in ("The water cost 0.22 €.", "Bought compost cost 4 €.", "would have cost 7.5 €."):
        assert words in said
    clock.go_on(minutes=1)
    save_wishes(worked, {"water_price_m3": 0.1, "compost_price_m3": None}, origin="page")
    said = told(ledger(worked, None), worked)
    assert "under 0.05 €" in said
    assert "No price of compost is entered" in said


def test_a_year_of_the_calendar_and_years_that_cannot_be(worked: Garden) -> None:
    assert ledger(worked, None).years == (2026,)
    answer = ledger(worked, None, 2026)
    assert [one.month.month for one in answer.done] == [1, 2, 3, 4, 5, 6]
    assert answer.done_sums.water_kg == 55.0
    old = ledger_now(worked, 2025)
    assert len(old.done) == 12
    assert "Nothing is booked in these months." in told(old, worked)
    for year_asked in (1989, 2028):
        with pytest.raises(OutOfRange, match="from 1990 to 2027"):
            ledger_now(worked, year_asked)


def test_water_that_nobody_gave_is_not_told(garden: Garden) -> None:
    due = garden.now().date()
    save_bed(garden, name="Squash", use="top-up", due=due, area_m2=10, origin="page")
    spread_on(garden, "squash", 0.1, "bought compost", origin="page")
    words = told(ledger(garden, None), garden)
    assert "Compost bought" in words and "Water given" not in words


def test_months_ahead_hold_the_plans_water_from_today_on(
    garden: Garden, planned: YearAnswer
) -> None:
    answer = ledger_now(garden)
    months, all_of_it = answer.ahead, answer.ahead_sum
    assert all_of_it is not None
    assert months[0].month == date(2026, 6, 1)
    assert months[-1].month == date(2027, 6, 1)
    assert sum(one.water_kg.likely for one in months) == pytest.approx(all_of_it.water_kg.likely)
    assert 0 < all_of_it.water_kg.low < all_of_it.water_kg.high
    # A bed that is overdue counts now; one beyond the plan does not.
    assert [(x.month, x.own_m3) for x in months if x.own_m3] == [
        (date(2026, 6, 1), 0.2),
        (date(2027, 3, 1), 0.1),
    ]
    assert all_of_it.buy_m3 == pytest.approx(0.3)
    assert "To buy at most" in told(answer, garden)
    none = replace(planned, plan=replace(planned.plan, batches=()))
    assert "No heap is planned" in told(ledger(garden, none), garden)
    this_year = ledger_now(garden, 2026).ahead
    assert this_year[-1].month == date(2026, 12, 1)
    assert this_year == months[:7]
    assert ledger_now(garden, 2027).done == ()


def test_without_bins_or_plan_it_says_why(
    tmp_path: Path, garden: Garden, clock: StillClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Garden.open(tmp_path / "bare.heapwright", clock) as bare:
        assert "There is no bin yet" in told(ledger_now(bare), bare)

    def cannot(_: Garden) -> YearAnswer:
        raise WeatherProblem("The weather holds no whole year")

    monkeypatch.setattr(year, "year", cannot)
    answer = ledger_now(garden)
    assert answer.ahead_sum is None
    assert "cannot be told now: The weather holds no whole year." in told(answer, garden)


def test_carbon_goes_with_the_scraps_and_asks_where_they_would_have_gone(garden: Garden) -> None:
    found, twice = carbon_of(100.0), carbon_of(200.0)
    assert twice.kept_kg.likely == pytest.approx(2 * found.kept_kg.likely)
    save_settings(garden, origin="page", units="metric")
    said = " ".join(render(one, garden.reader()) for one in found.told)
    assert "Would your kitchen scraps have gone to a landfill? If so, composting 100 kg" in said
    assert "Leaves, grass and prunings have no figure" in said
    none = " ".join(render(one, garden.reader()) for one in carbon_of(0.0).told)
    assert "no carbon is told" in none


@pytest.fixture
def browser(worked: Garden) -> Iterator[TestClient]:
    with TestClient(create_app(worked), base_url="http://localhost") as client:
        yield client


def test_page_document_and_table_agree(
    worked: Garden, browser: TestClient, planned: YearAnswer, clock: StillClock
) -> None:
    page = browser.get("/ledger").text
    assert page.count("<h1") == 1
    assert 'href="/year/wishes"' in page
    assert "ledger-likely" in page
    assert "Paid for water" not in page
    clock.go_on(minutes=1)
    save_wishes(worked, PRICES | {"currency": "=1+1"}, origin="page")
    page = browser.get("/ledger").text
    assert "Paid for water" in page
    assert 'href="/year/wishes"' not in page
    document = browser.get("/api/ledger").json()
    assert document["done_sums"]["water_kg"] == 55.0
    assert document["ahead"][0]["month"] == "2026-06-01"
    table = list(csv.reader(io.StringIO(browser.get("/api/ledger.csv").text)))
    assert len({len(row) for row in table}) == 1
    rows = [dict(zip(table[0], row, strict=True)) for row in table[1:]]
    done = [row for row in rows if row["what"] == "done"]
    assert sum(float(row["water likely (kg)"]) for row in done) == 55.0
    assert len(rows) - len(done) == len(document["ahead"]) == 13
    # A spreadsheet must not take a person's own text for a formula.
    assert {row["money"] for row in rows} == {"'=1+1"}
    assert ledger_csv(ledger_now(worked)) == browser.get("/api/ledger.csv").text
    assert browser.get("/ledger", params={"year": "1900"}).status_code == 422
    assert browser.get("/ledger", params={"year": "soon"}).status_code == 422
    assert browser.get("/ledger", params={"year": "2025"}).status_code == 200


def test_an_empty_ledger_draws_nothing(tmp_path: Path, clock: StillClock) -> None:
    with (
        Garden.open(tmp_path / "bare.heapwright", clock) as bare,
        TestClient(create_app(bare), base_url="http://localhost") as client,
    ):
        page = client.get("/ledger").text
    assert "ledger-picture" not in page
    assert "Nothing is booked in these months." in page


@pytest.fixture
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return a_terminal(tmp_path, monkeypatch)


def test_the_command_tells_the_same(terminal: Terminal, planned: YearAnswer) -> None:
    terminal.tell("bins", "save", "Left", "3 ft", "3 ft", "3 ft")
    shown = terminal.tell("ledger", "--units", "metric")
    assert "What is expected, from today on:" in shown
    assert "together" in shown
    assert json.loads(terminal.tell("ledger", "--json"))["ahead_sum"]["own_m3"] > 0
    assert terminal.tell("ledger", "--csv").startswith("month,what,")
    assert "1990" in terminal.refused("ledger", "--year", "1900")
