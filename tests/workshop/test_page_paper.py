"""Cards, paper logs and copying from paper: what stands on them, and what a copied row stores."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta

import pytest
from starlette.testclient import TestClient

from heapwright.errors import NotUnderstood
from heapwright.journal.entries import Entry, EntryKind, new_entry_id
from heapwright.web import paper, scan_code
from heapwright.web.app import create_app
from heapwright.workshop import build, setup, stock
from heapwright.workshop.bin_card import bin_card
from heapwright.workshop.garden import Garden
from tests.workshop.conftest import NOW

HOSTILE = "<script>alert(1)</script>{{ 7*7 }} %(x)s"


@pytest.fixture
def client(garden: Garden) -> TestClient:
    """Return a browser on a garden with a heap of nine days in its left bin."""
    stock.add_lot(garden, material="straw", container="wheelbarrow", count=4, origin="page")
    counts = {line.lot.key: 3 for line in stock.stock(garden)}
    build.record_build(
        garden, "left", counts, 30.0, "First", at=NOW - timedelta(days=9), origin="page"
    )
    return TestClient(create_app(garden), base_url="http://127.0.0.1", follow_redirects=False)


def copied(client: TestClient, garden: Garden, **fields: str) -> Sequence[Entry]:
    """Copy rows of the left bin's sheet; return the entries they made."""
    before = len(garden.entries())
    named = {re.sub(r"^r(\d)_", r"row.\1.", name): value for name, value in fields.items()}
    answer = client.post("/paper/copy", data={"bin": "left", "unit": "F"} | named)
    assert answer.status_code == 303, answer.text
    return garden.entries()[before:]


# ---- the card ----


def test_a_card_bears_the_link_of_the_address_that_was_asked_for(client: TestClient) -> None:
    page = client.get("/bins/left/card?address=192.168.1.20:8055/").text
    assert "http://192.168.1.20:8055/b/left" in page
    assert "work on this computer only" not in page


def test_a_card_for_this_machine_says_that_a_phone_cannot_use_it(client: TestClient) -> None:
    page = client.get("/bins/left/card").text
    assert "These codes work on this computer only" in page
    assert "http://127.0.0.1/b/left" in page


@pytest.mark.parametrize(
    "said, kept",
    [
        ("192.168.1.20:8055", "http://192.168.1.20:8055"),
        (" https://heap.home.arpa/ ", "https://heap.home.arpa"),
        ("http://[fd00::5]:8055", "http://[fd00::5]:8055"),
    ],
)
def test_an_address_is_taken_with_or_without_its_scheme(said: str, kept: str) -> None:
    assert scan_code.house_address(said) == kept


@pytest.mark.parametrize(
    "said",
    ["", "javascript:alert(1)", "ftp://heap", "http://", "http://a b", "http://u:p@heap",
     "http://heap/b/left", "http://heap?x=1", "http://heap#x", "http://heap:99999",
     'http://he"ap', "http://" + "a" * 200, "http://[::1", "http://he\x00ap"],
)  # fmt: skip
def test_what_is_no_address_of_a_house_is_refused(said: str) -> None:
    with pytest.raises(NotUnderstood, match="not an address"):
        scan_code.house_address(said)


def test_a_wrong_address_is_told_beside_its_field(client: TestClient) -> None:
    answer = client.get("/cards?address=ftp://heap")
    assert answer.status_code == 422 and "is not an address this house" in answer.text


def test_a_card_warns_of_the_bins_own_make(garden: Garden) -> None:
    setup.save_bin(
        garden, name="Lidded", origin="page", width_m=0.9, depth_m=0.9, height_m=0.9,
        wall="wire", cover="lid",
    )  # fmt: skip
    told = [one.template for one in bin_card(garden, "lidded").cautions]
    assert told[0].startswith("Do not open a smoking")
    assert any("lid away from your face" in one for one in told)
    assert any("ends of the wire" in one for one in told)


def test_all_cards_stand_on_one_page_and_none_without_a_bin(client: TestClient) -> None:
    page = client.get("/cards").text
    assert page.count('class="hang"') == 2


@pytest.mark.parametrize("name", ["B" * 80, HOSTILE])
def test_a_name_of_any_sort_is_printed_as_words(
    client: TestClient, garden: Garden, name: str
) -> None:
    setup.save_bin(
        garden, name=name, key="odd", origin="page", width_m=0.9, depth_m=0.9, height_m=0.9
    )
    for address in ("/bins/odd/card", "/paper?bin=odd", "/paper/copy?bin=odd", "/timeline"):
        page = client.get(address)
        assert page.status_code == 200 and "<script>alert" not in page.text
        assert name.replace("<", "&lt;").replace(">", "&gt;") in page.text


def test_an_unknown_bin_has_no_card_and_no_sheet(client: TestClient) -> None:
    assert client.get("/bins/nowhere/card").status_code == 404
    assert client.get("/paper?bin=nowhere").status_code == 404


# ---- the paper log ----


@pytest.mark.parametrize("month, days", [("2026-02", 28), ("2028-02", 29), ("2026-07", 31)])
def test_a_month_has_each_of_its_days_once(garden: Garden, month: str, days: int) -> None:
    first = paper.month_of(month, date(2026, 1, 1))
    bins = tuple(garden.state().bins_in_use.values())
    sheets = paper.sheets(bins, first)
    assert [one.bin.key for one in sheets] == ["left", "left", "right", "right"]
    shown = [day.day for one in sheets[:2] for day in one.days if day]
    assert shown == list(range(1, days + 1))
    assert {len(one.days) for one in sheets} == {paper.ROWS_ON_A_SHEET}


@pytest.mark.parametrize("month", ["2026-13", "2026-00", "0000-01", "June", "2026-6"])
def test_a_month_that_is_none_is_told(client: TestClient, month: str) -> None:
    answer = client.get(f"/paper?month={month}")
    assert answer.status_code == 422 and "is not a month" in answer.text


# ---- copying from paper ----


def test_rows_store_readings_at_noon_or_at_the_time_written(
    client: TestClient, garden: Garden
) -> None:
    entries = copied(
        client, garden,
        r0_date="2026-06-05", r0_temperature="131",
        r1_date="2026-06-06", r1_time="07:30", r1_temperature="60 C", r1_depth="12",
    )  # fmt: skip
    first, second = entries
    assert [one.kind for one in entries] == [EntryKind.READING] * 2
    assert first.at == datetime(2026, 6, 5, 12, 0, tzinfo=UTC)
    assert second.at == datetime(2026, 6, 6, 7, 30, tzinfo=UTC)
    assert first.body["temperature_c"] == pytest.approx(55.0)
    assert second.body["temperature_c"] == pytest.approx(60.0)
    assert second.body["depth_m"] == pytest.approx(0.3048)


def test_a_full_row_stores_reading_look_and_turn_in_that_order(
    client: TestClient, garden: Garden
) -> None:
    entries = copied(
        client, garden,
        r0_date="2026-06-05", r0_temperature="131", r0_squeeze="dry", r0_smell="sour",
        r0_turned="stir", r0_water="2", r0_water_unit="gal", r0_note="Steamed",
    )  # fmt: skip
    assert [one.kind for one in entries] == [EntryKind.READING, EntryKind.LOOK, EntryKind.TURN]
    assert [one.at for one in entries] == sorted(one.at for one in entries)
    assert entries[1].body == {
        "bin": "left", "squeeze": "dry", "smell": "sour", "note": "Steamed",
    }  # fmt: skip
    assert entries[2].body["water_kg"] == pytest.approx(7.571, abs=1e-3)


def test_rows_sent_again_are_stored_once_and_a_new_row_beside_them_too(
    client: TestClient, garden: Garden
) -> None:
    form = {"entry_id": new_entry_id(), "r0_date": "2026-06-05", "r0_temperature": "131"}
    assert len(copied(client, garden, **form)) == 1
    assert len(copied(client, garden, **form)) == 0
    more = {"r1_date": "2026-06-06", "r1_temperature": "133"}
    assert len(copied(client, garden, **form, **more)) == 1


def test_one_wrong_row_keeps_all_from_being_stored_and_is_told_beside_it(
    client: TestClient, garden: Garden
) -> None:
    before = garden.entries()
    answer = client.post(
        "/paper/copy",
        data={
            "bin": "left", "unit": "F", "row.0.date": "2026-06-05", "row.0.temperature": "131",
            "row.1.date": "2026-06-06", "row.1.temperature": "hot",
            "row.2.temperature": "120", "row.3.date": "2026-06-07",
            "row.4.date": "2027-01-01", "row.4.temperature": "120",
        },
    )  # fmt: skip
    assert answer.status_code == 422 and garden.entries() == before
    for words in ("row 2, degrees", "row 3, date", "row 4, degrees", "row 5, date"):
        assert words in answer.text
    assert 'value="131"' in answer.text


def test_an_improbable_row_is_asked_about_and_stored_when_confirmed(
    client: TestClient, garden: Garden
) -> None:
    rows = {
        "r0_date": "2026-06-05", "r0_temperature": "140",
        "r1_date": "2026-06-06", "r1_temperature": "60",
    }  # fmt: skip
    named = {name.replace("r", "row.", 1).replace("_", ".", 1): text for name, text in rows.items()}
    answer = client.post("/paper/copy", data={"bin": "left", "unit": "F"} | named)
    assert answer.status_code == 422
    assert "Was it 60 °C" in answer.text and 'name="row.1.sure"' in answer.text
    assert 'name="row.0.sure"' not in answer.text
    assert len(copied(client, garden, **rows, r1_sure="yes")) == 2


def test_a_day_when_nothing_stood_there_is_refused_whole(
    client: TestClient, garden: Garden
) -> None:
    before = garden.entries()
    answer = client.post(
        "/paper/copy",
        data={"bin": "left", "row.0.date": "2026-05-01", "row.0.temperature": "130"},
    )
    assert answer.status_code == 422 and "nothing stood in Left" in answer.text
    assert garden.entries() == before


@pytest.mark.parametrize("data", [{}, {"bin": "left"}, {"bin": "nowhere"}])
def test_a_blank_form_is_told_and_stores_nothing(
    client: TestClient, garden: Garden, data: dict[str, str]
) -> None:
    before = garden.entries()
    assert client.post("/paper/copy", data=data).status_code == 422
    assert garden.entries() == before


@pytest.mark.parametrize("text", [HOSTILE, "\x00", "9" * 500, "=1+1", "−40", "1e400"])
def test_hostile_rows_get_a_sentence(client: TestClient, garden: Garden, text: str) -> None:
    for field in ("date", "time", "temperature", "depth", "squeeze", "water", "water_unit"):
        data = {"bin": "left", "row.0.date": "2026-06-05", "row.0.temperature": "130"}
        answer = client.post("/paper/copy", data=data | {f"row.0.{field}": text})
        assert answer.status_code in (303, 422)
        assert "Traceback" not in answer.text and "<script>alert" not in answer.text
