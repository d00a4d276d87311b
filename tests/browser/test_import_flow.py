"""A thermometer's log goes in by page: looked at, mended, stored once; and all goes out again."""

from __future__ import annotations

import json
from pathlib import Path

from playwright.sync_api import Page, expect

from heapwright.journal.entries import EntryKind
from heapwright.workshop.today import bin_today
from tests.browser.conftest import LiveServer, tab_through
from tests.browser.forms import save, tap_chip, troubles, visit, with_large_text, wrong

# Typed as the issue asks: mixed °F rows, blank cells and two bad rows, for the demo's Left bin.
TYPED = """Date,Time,Temp (F),Notes
6/15/2026,7:40 am,118,
6/16/2026,7:45 am,131F,steaming
6/16/2026,5:00 pm,56 °C,borrowed a thermometer
6/17/2026,,,"away, no reading"
,,,
6/17/2026,6:10 pm,hot,left it at home
6/18/2026,8:10 am,138,
6/18/2026,8:11 am,=1+1,
"""


def paste(page: Page, server: LiveServer, text: str, bin_key: str = "left") -> None:
    """Paste a log and look at it."""
    visit(page, server, "/import")
    tap_chip(page, "bin", bin_key)
    page.get_by_label("Or paste its lines").fill(text)
    save(page, "Look at it first")


def counts(page: Page) -> list[int]:
    """New, stored already, not understood, without a temperature."""
    return [int(text) for text in page.locator(".counts dd").all_inner_texts()]


def readings(server: LiveServer) -> list[float]:
    entries = server.garden.entries()
    found = [entry for entry in entries if entry.kind is EntryKind.READING]
    return [float(e.body["temperature_c"]) for e in found if e.origin == "import"]


def test_a_typed_log_goes_in_and_today_answers_from_it(
    phone: Page, own_server: LiveServer, tmp_path: Path
) -> None:
    file = tmp_path / "log.csv"
    file.write_text(TYPED, encoding="utf-8")
    visit(phone, own_server, "/import")
    tap_chip(phone, "bin", "left")
    phone.get_by_label("The file").set_input_files(file)
    save(phone, "Look at it first")
    assert counts(phone) == [4, 0, 2, 1]
    assert readings(own_server) == []
    bad = phone.locator(".bad-rows li")
    expect(bad).to_have_count(2)
    expect(bad.first).to_contain_text("Line 7")
    expect(bad.first).to_contain_text('"hot" is not a number')
    expect(bad.nth(1)).to_contain_text("is a formula")
    expect(phone.get_by_text("Degrees where none are written: °F")).to_be_visible()
    assert troubles(phone) == []
    assert with_large_text(phone) == []
    save(phone, "Store 4 readings")
    expect(phone.get_by_role("main").get_by_role("status")).to_contain_text(
        "4 new readings of Left bin are stored."
    )
    expect(phone.get_by_text("2 rows were left out.")).to_be_visible()
    assert [round(celsius, 1) for celsius in readings(own_server)] == [47.8, 55.0, 56.0, 58.9]
    assert troubles(phone) == []
    last = bin_today(own_server.garden, "left").last_reading
    assert last is not None
    assert round(last.temperature_c, 1) == 58.9
    visit(phone, own_server, "/")
    expect(phone.locator(".bin-card").first.locator(".number")).to_contain_text("138")


def test_the_same_log_again_stores_nothing_twice(phone: Page, own_server: LiveServer) -> None:
    paste(phone, own_server, TYPED)
    save(phone, "Store 4 readings")
    paste(phone, own_server, TYPED)
    assert counts(phone) == [0, 4, 2, 1]
    expect(phone.get_by_role("button", name="Store")).to_have_count(0)
    paste(phone, own_server, TYPED + "6/18/2026,8:12 am,140,\n")
    assert counts(phone) == [1, 4, 2, 1]
    save(phone, "Store 1 reading")
    assert len(readings(own_server)) == 5


def test_what_the_file_does_not_tell_is_asked(phone: Page, own_server: LiveServer) -> None:
    unclear = "when,core\n2026-06-16 07:00,58\n2026-06-17 07:00,57\n"
    paste(phone, own_server, unclear)
    expect(phone.get_by_text("Are the temperatures in °C or in °F?")).to_be_visible()
    expect(phone.get_by_role("button", name="Store")).to_have_count(0)
    assert troubles(phone) == []
    tap_chip(phone, "unit", "C")
    save(phone, "Read it again like this")
    assert counts(phone) == [2, 0, 0, 0]
    save(phone, "Store 2 readings")
    assert readings(own_server) == [58.0, 57.0]


def test_a_column_taken_wrongly_can_be_put_right(phone: Page, own_server: LiveServer) -> None:
    log = "Date,Air temp F,Probe\n2026-06-16,88,131\n2026-06-17,90,133\n"
    paste(phone, own_server, log)
    expect(phone.get_by_text("Which column holds the heap's temperature?")).to_be_visible()
    phone.get_by_label("Temperature").select_option("Probe")
    phone.get_by_label("Date", exact=True).select_option("Date")
    tap_chip(phone, "unit", "F")
    save(phone, "Read it again like this")
    assert counts(phone)[0] == 2
    save(phone, "Store 2 readings")
    assert [round(celsius) for celsius in readings(own_server)] == [55, 56]


def test_readings_of_a_time_without_a_heap_are_left_out_and_told(
    phone: Page, own_server: LiveServer
) -> None:
    paste(phone, own_server, "Date,Temp F\n2025-06-16,131\n2026-06-17,133\n")
    expect(phone.locator(".bad-rows")).to_contain_text("nothing stood in the bin then")
    save(phone, "Store 1 reading")
    expect(phone.get_by_text("1 row was left out.")).to_be_visible()


def test_what_is_no_log_is_told_beside_the_field(
    phone: Page, own_server: LiveServer, tmp_path: Path
) -> None:
    picture = tmp_path / "heap.csv"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n and more")
    visit(phone, own_server, "/import")
    save(phone, "Look at it first")
    expect(wrong(phone, "bin")).to_contain_text("No bin is chosen")
    tap_chip(phone, "bin", "left")
    phone.get_by_label("The file").set_input_files(picture)
    save(phone, "Look at it first")
    expect(wrong(phone, "log")).to_contain_text("It is a picture")
    assert troubles(phone) == []


def test_the_journal_goes_out_and_comes_back_the_same(
    phone: Page, own_server: LiveServer, tmp_path: Path
) -> None:
    visit(phone, own_server, "/import")
    before = own_server.garden.entries()
    with phone.expect_download() as download:
        phone.get_by_role("link", name="Journal (JSON)").tap()
    file = tmp_path / download.value.suggested_filename
    assert file.name == "heapwright-journal-2026-06-18.json"
    download.value.save_as(file)
    assert len(json.loads(file.read_text(encoding="utf-8"))["entries"]) == len(before)
    phone.get_by_label("An exported journal").set_input_files(file)
    save(phone, "Read it back")
    expect(phone.get_by_text("were here already and stay once")).to_be_visible()
    assert own_server.garden.entries() == before
    assert troubles(phone) == []


def test_the_readings_go_out_for_a_spreadsheet(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/import")
    with phone.expect_download() as download:
        phone.get_by_role("link", name="Readings (CSV)").tap()
    text = Path(download.value.path()).read_text(encoding="utf-8")
    assert text.startswith("Time (UTC),Bin,Batch,Temperature (°F)")


def test_the_import_page_has_no_trouble_light_or_dark_or_large(
    phone: Page, live_server: LiveServer
) -> None:
    visit(phone, live_server, "/import")
    assert troubles(phone) == []
    assert with_large_text(phone) == []
    reached = tab_through(phone)
    for words in ("log", "pasted", "Look at it first", "Journal (JSON)", "Read it back"):
        assert words in reached, reached


def test_import_works_without_scripts(
    browser_page_without_scripts: Page, own_server: LiveServer
) -> None:
    paste(browser_page_without_scripts, own_server, TYPED)
    save(browser_page_without_scripts, "Store 4 readings")
    assert len(readings(own_server)) == 4
