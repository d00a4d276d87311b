"""The Garden page: the first bins, settings, own containers, leaving the invented garden."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from tests.browser.conftest import LiveServer, tab_through
from tests.browser.forms import (
    empty_the_right_bin,
    focused,
    overflow,
    save,
    tap_chip,
    troubles,
    visit,
    with_large_text,
    wrong,
)


def test_the_first_bins_are_made_from_nothing_with_one_tap(
    phone: Page, empty_server: LiveServer
) -> None:
    visit(phone, empty_server, "/")
    phone.get_by_role("link", name="Make your own bins").tap()
    expect(phone.get_by_text("Begin here: how large are your bins?")).to_be_visible()
    assert troubles(phone) == []
    save(phone, "Make them")
    bins = list(empty_server.garden.state().bins.values())
    assert [one.name for one in bins] == ["Bin 1", "Bin 2", "Bin 3"]
    assert [round(one.width_m, 3) for one in bins] == [0.914] * 3
    visit(phone, empty_server, "/")
    expect(phone.locator(".bin-card")).to_have_count(3)


def test_settings_are_changed_and_can_be_taken_back(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/setup")
    phone.get_by_label("The garden's name").fill("Hen house")
    tap_chip(phone, "units", "metric")
    tap_chip(phone, "climate", "seattle")
    phone.get_by_label("Time zone").fill("America/Los_Angeles")
    save(phone, "Save the settings")
    expect(phone.get_by_role("main").get_by_role("status")).to_contain_text("settings are saved")
    settings = own_server.garden.state().settings
    assert (settings.name, settings.units) == ("Hen house", "metric")
    assert (settings.climate, settings.time_zone) == ("seattle", "America/Los_Angeles")
    assert settings.online_weather is False
    expect(phone.locator(".head-garden")).to_contain_text("Hen house")
    save(phone, "Undo")
    assert own_server.garden.state().settings.name != "Hen house"


def test_the_hose_is_timed_with_a_pail(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/setup")
    phone.get_by_label("Your hose").fill("60")
    save(phone, "Save the settings")
    flow = own_server.garden.state().settings.hose_kg_s
    assert flow is not None
    assert round(flow, 4) == round(18.927 / 60, 4)
    save(phone, "Save the settings")
    expect(phone.get_by_text("Nothing was different")).to_be_visible()


def test_the_forecast_says_what_is_sent_to_whom_and_is_off(
    phone: Page, live_server: LiveServer
) -> None:
    visit(phone, live_server, "/setup")
    expect(phone.locator('[name="online_weather"]')).not_to_be_checked()
    text = phone.locator('[id$="field-online_weather"]')
    expect(text).to_contain_text("sends the garden's latitude and longitude")
    expect(text).to_contain_text("Nothing about your heaps is sent")


def test_a_bin_is_altered_in_its_place(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/setup")
    card = phone.locator("details", has_text="Middle bin")
    card.locator("summary").tap()
    card.get_by_label("Width inside").fill("4 ft")
    card.get_by_label("Walls").select_option("wire")
    card.get_by_label("Shade").fill("50 %")
    save(phone, "Save Middle bin")
    one = own_server.garden.bin("middle")
    assert (round(one.width_m, 3), one.wall, one.shade, one.order) == (1.219, "wire", 0.5, 1)


def test_an_empty_bin_is_put_out_of_use_and_undone(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/setup")
    standing = phone.locator("details", has_text="Right bin")
    standing.locator("summary").tap()
    expect(standing).to_contain_text("To put this bin out of use, first log that")
    assert standing.get_by_role("button", name="out of use").count() == 0
    empty_the_right_bin(own_server)
    visit(phone, own_server, "/setup")
    phone.locator("details", has_text="Right bin").locator("summary").tap()
    save(phone, "Put Right bin out of use")
    expect(phone.get_by_role("main").get_by_role("status")).to_contain_text(
        "Right bin is out of use"
    )
    expect(phone.locator("details", has_text="Right bin")).to_have_count(0)
    assert list(own_server.garden.state().bins_in_use) == ["left", "middle"]
    assert troubles(phone) == []
    visit(phone, own_server, "/log")
    expect(phone.get_by_text("Right bin")).to_have_count(0)
    visit(phone, own_server, "/setup")
    expect(phone.get_by_text("Out of use. Undo brings a bin back:")).to_be_visible()
    save(phone, "Undo")
    assert list(own_server.garden.state().bins_in_use) == ["left", "middle", "right"]


def test_a_mistake_in_one_form_leaves_the_others_alone(phone: Page, own_server: LiveServer) -> None:
    before = own_server.garden.entries()
    visit(phone, own_server, "/setup")
    card = phone.locator("details", has_text="Middle bin")
    card.locator("summary").tap()
    card.get_by_label("Height").fill("very")
    card.get_by_label("Width inside").fill("4 ft")
    save(phone, "Save Middle bin")
    expect(wrong(phone, "height")).to_contain_text("is not a length")
    assert focused(phone) == "height"
    expect(card.get_by_label("Width inside")).to_have_value("4 ft")
    expect(phone.get_by_label("The garden's name")).to_have_value("Demo garden")
    assert phone.locator("[aria-invalid=true]").count() == 1
    assert own_server.garden.entries() == before
    assert troubles(phone) == []


def test_an_own_container_is_named(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/setup")
    phone.get_by_label("Its name").fill("yellow crate")
    phone.get_by_label("Its volume").fill("12")
    save(phone, "Add the container")
    expect(phone.get_by_text("yellow crate, 12 gal")).to_be_visible()


def test_the_invented_garden_can_be_cleared_away(phone: Page, own_server: LiveServer) -> None:
    count = len(own_server.garden.entries())
    visit(phone, own_server, "/setup")
    save(phone, "Clear the demo garden away")
    expect(phone.get_by_role("link", name="Make your own bins")).to_be_visible()
    state = own_server.garden.state()
    assert (state.bins, state.lots, state.batches, state.problems) == ({}, {}, {}, ())
    assert state.settings.is_demo is False
    assert len(own_server.garden.entries()) == 2 * count


def test_the_garden_page_has_no_trouble_light_or_dark_or_large(
    phone: Page, live_server: LiveServer
) -> None:
    visit(phone, live_server, "/setup")
    assert troubles(phone) == []
    assert with_large_text(phone) == []


def test_a_narrow_phone_shows_every_form_whole(phone: Page, live_server: LiveServer) -> None:
    phone.set_viewport_size({"width": 320, "height": 640})
    for path in (
        "/log?bin=left",
        "/build/left",
        "/build/left/sheet",
        "/stock",
        "/import",
        "/setup",
    ):
        visit(phone, live_server, path)
        phone.evaluate("for (const it of document.querySelectorAll('details')) it.open = true")
        assert overflow(phone) == [], path


def test_the_keyboard_reaches_everything_on_the_garden_page(
    phone: Page, live_server: LiveServer
) -> None:
    visit(phone, live_server, "/setup")
    reached = tab_through(phone)
    for words in ("name", "units", "time_zone", "hose", "Save the settings", "Make another bin"):
        assert words in reached, reached


def test_the_first_bins_are_made_without_scripts(
    browser_page_without_scripts: Page, empty_server: LiveServer
) -> None:
    visit(browser_page_without_scripts, empty_server, "/setup")
    save(browser_page_without_scripts, "Make them")
    assert len(empty_server.garden.state().bins) == 3
