"""Logging at the bin with a thumb: the form, the question, what was stored, the way back."""

from __future__ import annotations

import re
from datetime import timedelta

from playwright.sync_api import Page, expect

from heapwright.journal.entries import Entry, EntryKind
from heapwright.workshop.log import log
from tests.browser.conftest import NOW, LiveServer, tab_through
from tests.browser.forms import (
    empty_the_right_bin,
    focused,
    save,
    tap_chip,
    troubles,
    visit,
    with_large_text,
    wrong,
)


def newest(server: LiveServer, count: int) -> list[Entry]:
    return list(server.garden.entries()[-count:])


def test_a_reading_takes_a_number_and_one_tap(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/log?bin=left")
    field = phone.get_by_label("Temperature")
    assert field.get_attribute("inputmode") == "none"  # the page's own pad is up
    field.fill("131")
    save(phone, "Save")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Saved")
    expect(phone.locator(".stored")).to_contain_text("Read 131 °F.")
    expect(phone.get_by_role("heading", name="Left bin, from now on")).to_be_visible()
    expect(phone.locator(".task-words")).not_to_be_empty()
    (entry,) = newest(own_server, 1)
    assert entry.kind is EntryKind.READING
    assert entry.origin == "page"
    assert round(float(entry.body["temperature_c"]), 1) == 55.0


def test_one_visit_makes_several_entries_in_the_order_of_the_work(
    phone: Page, own_server: LiveServer
) -> None:
    visit(phone, own_server, "/log?bin=middle")
    phone.get_by_label("Temperature").fill("95")
    for name, value in [
        ("squeeze", "dry"),
        ("smell", "earthy"),
        ("pests", "ants"),
        ("looks", "white threads"),
        ("turned", "stir"),
        ("cover", "brown cap"),
    ]:
        tap_chip(phone, name, value)
    tap_chip(phone, "water_tap", "pail:2")
    phone.get_by_label("Note", exact=True).fill("crumbly at the rim")
    save(phone, "Save")
    reading, look, turn, cover = newest(own_server, 4)
    kinds = [EntryKind.READING, EntryKind.LOOK, EntryKind.TURN, EntryKind.COVER]
    assert [reading.kind, look.kind, turn.kind, cover.kind] == kinds
    assert reading.at < look.at < turn.at < cover.at
    assert look.body == {
        "bin": "middle",
        "squeeze": "dry",
        "smell": "earthy",
        "pests": ["ants"],
        "looks": ["white threads"],
        "note": "crumbly at the rim",
    }
    assert round(float(turn.body["water_kg"]), 1) == 37.9
    expect(phone.locator(".stored li")).to_have_count(4)


def test_a_move_asks_where_to_and_shows_both_bins(phone: Page, own_server: LiveServer) -> None:
    empty_the_right_bin(own_server)
    visit(phone, own_server, "/log?bin=middle")
    expect(phone.locator(".only-moved")).to_be_hidden()
    tap_chip(phone, "turned", "move")
    expect(phone.locator(".only-moved")).to_be_visible()
    expect(phone.get_by_text("Spores and dust")).to_be_visible()
    # The next bin in the row is empty: most heaps are moved there.
    expect(phone.locator('[name="to_bin"][value="right"]')).to_be_checked()
    save(phone, "Save")
    expect(phone.locator(".stored")).to_contain_text("Moved to Right bin")
    for name in ("Middle bin", "Right bin"):
        expect(phone.get_by_role("heading", name=f"{name}, from now on")).to_be_visible()


def test_compost_taken_out_is_told_in_ones_own_measure(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/log?bin=right")
    phone.get_by_text("Left to cure, or compost taken out").tap()
    expect(phone.get_by_text("Heat in a home heap is no proof of hygiene")).to_be_visible()
    tap_chip(phone, "taken", "some")
    phone.get_by_label("How much", exact=True).fill("half a wheelbarrow")
    tap_chip(phone, "taken_to", "bed:tomatoes")
    phone.get_by_label("Or in your words").fill("beans")
    save(phone, "Save")
    expect(phone.locator(".stored")).to_contain_text("Used")
    (used,) = newest(own_server, 1)
    assert used.body["bed"] == "tomatoes"
    assert used.kind is EntryKind.USE
    assert used.body["where"] == "beans"
    assert round(float(used.body["volume_m3"]), 3) == 0.085


def test_the_form_says_at_once_what_a_number_means(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/log?bin=left")
    hint = phone.locator("[data-reading-hint]")
    phone.get_by_label("Temperature").fill("158")
    expect(hint).to_contain_text("158 °F is 70 °C")
    tap_chip(phone, "unit", "C")
    expect(hint).to_contain_text("No wet heap gets to 158 °C; 158 °F would be 70 °C. Is it that?")
    tap_chip(phone, "unit", "F")
    expect(hint).to_contain_text("158 °F is 70 °C")
    expect(phone.locator("[data-reading-ask]")).to_be_hidden()


def test_the_form_says_at_once_when_the_other_degree_is_likelier(
    phone: Page, own_server: LiveServer
) -> None:
    body = {"bin": "left", "temperature_c": 58.0}
    log(own_server.garden, EntryKind.READING, body, at=NOW - timedelta(hours=2), origin="page")
    visit(phone, own_server, "/log?bin=left")
    hint = phone.locator("[data-reading-hint]")
    phone.get_by_label("Temperature").fill("57")
    expect(hint).to_have_text("57 °F is cool for this heap; 57 °C would be 135 °F. Which?")
    phone.locator(".bin-fold summary").tap()
    tap_chip(phone, "bin", "right")
    expect(hint).to_have_text("57 °F is 14 °C.")


def test_an_impossible_reading_is_asked_about_and_nothing_else_is_lost(
    phone: Page, own_server: LiveServer
) -> None:
    before = len(own_server.garden.entries())
    visit(phone, own_server, "/log?bin=left")
    phone.get_by_label("Temperature").fill("158")
    tap_chip(phone, "unit", "C")
    tap_chip(phone, "squeeze", "drops")
    save(phone, "Save")
    expect(phone.get_by_role("heading", level=1)).to_have_text("158 °C?")
    assert troubles(phone) == []
    assert len(own_server.garden.entries()) == before
    save(phone, "Change it")
    expect(phone.get_by_label("Temperature")).to_have_value("158")
    expect(phone.locator('[name="squeeze"][value="drops"]')).to_be_checked()
    save(phone, "Save")
    save(phone, "158 °F (70 °C)")
    expect(phone.locator(".stored")).to_contain_text("Read 158 °F.")
    assert len(own_server.garden.entries()) == before + 2


def test_a_mistake_stands_beside_its_field_and_has_the_focus(
    phone: Page, own_server: LiveServer
) -> None:
    before = own_server.garden.entries()
    visit(phone, own_server, "/log?bin=left")
    phone.get_by_label("Temperature").fill("hot")
    phone.get_by_label("Note", exact=True).fill("steaming")
    save(phone, "Save")
    expect(wrong(phone, "temperature")).to_contain_text('"hot" is not a number')
    assert focused(phone) == "temperature"
    field = phone.get_by_label("Temperature")
    assert field.get_attribute("aria-invalid") == "true"
    described = str(field.get_attribute("aria-describedby")).split()
    assert "field-temperature-wrong" in described
    expect(phone.get_by_role("alert")).to_contain_text("What you filled in is kept")
    expect(phone.get_by_label("Note", exact=True)).to_have_value("steaming")
    assert troubles(phone) == []
    assert own_server.garden.entries() == before
    field.fill("137")
    save(phone, "Save")
    expect(phone.locator(".stored li")).to_have_count(2)


def test_what_was_stored_can_be_taken_back_and_brought_back(
    phone: Page, own_server: LiveServer
) -> None:
    visit(phone, own_server, "/log?bin=left")
    phone.get_by_label("Temperature").fill("140")
    save(phone, "Save")
    count = len(own_server.garden.readings_of_bin("left"))
    save(phone, "Undo")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Taken back")
    assert troubles(phone) == []
    assert len(own_server.garden.readings_of_bin("left")) == count - 1
    save(phone, "Bring it back")
    expect(phone.get_by_role("heading", level=1)).to_have_text("It counts again")
    assert len(own_server.garden.readings_of_bin("left")) == count


def test_two_taps_store_once(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/log?bin=left")
    phone.get_by_label("Temperature").fill("141")
    before = len(own_server.garden.entries())
    phone.get_by_role("button", name="Save").dblclick()
    phone.wait_for_url(re.compile("/log/saved"))
    assert len(own_server.garden.entries()) == before + 1


def test_going_back_and_sending_the_same_again_stores_once(
    phone: Page, own_server: LiveServer
) -> None:
    visit(phone, own_server, "/log?bin=left")
    phone.get_by_label("Temperature").fill("139")
    entry_id = phone.locator("[name=entry_id]").first.input_value()
    save(phone, "Save")
    before = len(own_server.garden.entries())
    visit(phone, own_server, "/log?bin=left")
    phone.locator("[name=entry_id]").first.evaluate("(it, id) => { it.value = id }", entry_id)
    phone.get_by_label("Temperature").fill("139")
    save(phone, "Save")
    expect(phone.get_by_text("This came twice; it is stored once.")).to_be_visible()
    assert len(own_server.garden.entries()) == before


def test_the_id_is_made_on_the_phone(phone: Page, own_server: LiveServer) -> None:
    answer = phone.request.get(f"{own_server.address}/log?bin=left").text()
    made_by_server = re.findall(r'name="entry_id" value="([0-9a-f]{32})"', answer)
    visit(phone, own_server, "/log?bin=left")
    on_the_phone = phone.locator("[name=entry_id]").first.input_value()
    assert re.fullmatch("[0-9a-f]{32}", on_the_phone)
    assert on_the_phone not in made_by_server


def test_the_log_page_has_no_trouble_light_or_dark_or_large(
    phone: Page, live_server: LiveServer
) -> None:
    visit(phone, live_server, "/log?bin=left")
    assert troubles(phone) == []
    assert with_large_text(phone) == []


def test_the_saved_page_has_no_trouble(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/log?bin=left")
    phone.get_by_label("Temperature").fill("140")
    save(phone, "Save")
    assert troubles(phone) == []
    assert with_large_text(phone) == []


def test_a_whole_entry_by_keyboard_alone(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/log")
    phone.locator("#field-bin input").first.focus()
    phone.keyboard.press("Space")
    phone.keyboard.press("Tab")
    assert focused(phone) == "temperature"
    phone.keyboard.type("133")
    phone.keyboard.press("Tab")
    assert focused(phone) == "unit"
    phone.keyboard.press("ArrowDown")
    phone.keyboard.press("ArrowUp")
    phone.keyboard.press("Enter")
    phone.wait_for_url(re.compile("/log/saved"))
    expect(phone.locator(".stored")).to_contain_text("Read 133 °F.")


def test_the_keyboard_reaches_everything_on_the_log(phone: Page, live_server: LiveServer) -> None:
    visit(phone, live_server, "/log?bin=left")
    reached = tab_through(phone)
    for words in (
        *("temperature", "How deep, and where", "Another amount of water", "photo"),
        *("note", "Save", "Not just now?"),
    ):
        assert words in reached, reached


def test_the_log_works_without_scripts(
    browser_page_without_scripts: Page, own_server: LiveServer
) -> None:
    page = browser_page_without_scripts
    visit(page, own_server, "/log?bin=left")
    page.get_by_label("Temperature").fill("132")
    tap_chip(page, "turned", "stir")
    expect(page.get_by_text("Spores and dust")).to_be_visible()
    save(page, "Save")
    expect(page.locator(".stored")).to_contain_text("Stirred where it stands.")


def test_the_first_log_of_an_empty_garden_leads_to_the_first_bin(
    phone: Page, empty_server: LiveServer
) -> None:
    visit(phone, empty_server, "/log")
    expect(phone.get_by_role("heading", name="No bin yet")).to_be_visible()
    assert troubles(phone) == []
    phone.get_by_role("link", name="Make the first bin").tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Garden")
