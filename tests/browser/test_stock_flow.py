"""What is on hand: writing it down in one's own words, refusing what must not go in, losing it."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from heapwright.journal.entries import EntryKind
from heapwright.workshop.stock import stock
from tests.browser.conftest import LiveServer, tab_through
from tests.browser.forms import focused, save, tap_chip, troubles, visit, with_large_text, wrong


def add(page: Page, material: str, count: str) -> None:
    """Write a lot down."""
    page.get_by_label("What is it?").fill(material)
    page.get_by_label("How many?").fill(count)
    save(page, "Put on the list")


def test_the_list_tells_what_is_left_and_what_spoils_first(
    phone: Page, live_server: LiveServer
) -> None:
    visit(phone, live_server, "/stock")
    lines = stock(live_server.garden)
    names = phone.locator(".lot h3").all_inner_texts()
    assert names == [line.material_name for line in lines]
    for line, card in zip(lines, phone.locator(".lot").all(), strict=True):
        expect(card.locator(".lot-left")).to_contain_text(f"{line.lot.left:g}")
        for caution in line.cautions:
            expect(card).to_contain_text(caution)
        if line.refused:
            expect(card).to_contain_text(line.refused)


def test_a_lot_is_written_down_in_ones_own_words(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/stock")
    phone.get_by_label("Container", exact=True).select_option("wheelbarrow")
    phone.get_by_label("How full?").select_option("half")
    tap_chip(phone, "packing", "shredded")
    add(phone, "autumn leaves", "4")
    expect(phone.get_by_role("main").get_by_role("status")).to_contain_text(
        "On the list: 4 wheelbarrows of fallen leaves."
    )
    entry = own_server.garden.entries()[-1]
    assert entry.kind is EntryKind.LOT
    assert entry.body["packing"] == "shredded"
    assert entry.body["fullness"][1] == 0.5
    save(phone, "Undo")
    assert entry.body["key"] not in own_server.garden.state().lots


def test_a_refused_material_is_refused_with_the_reason_and_what_instead(
    phone: Page, own_server: LiveServer
) -> None:
    before = own_server.garden.entries()
    visit(phone, own_server, "/stock")
    phone.get_by_label("Keep back", exact=True).fill("1")
    add(phone, "pressure-treated sawdust", "3")
    sentence = wrong(phone, "material")
    expect(sentence).to_contain_text("must not go into a home heap")
    assert focused(phone) == "material"
    expect(phone.get_by_label("How many?")).to_have_value("3")
    expect(phone.get_by_label("Keep back", exact=True)).to_have_value("1")
    assert own_server.garden.entries() == before
    assert troubles(phone) == []


def test_unclear_words_are_asked_back_with_a_tap(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/stock")
    add(phone, "manure", "2")
    expect(wrong(phone, "material")).to_contain_text("can mean several materials")
    choices = phone.locator(".meant button")
    assert choices.count() > 1
    assert troubles(phone) == []
    words = choices.first.inner_text()
    with phone.expect_navigation(wait_until="networkidle"):
        choices.first.tap()
    assert words in phone.locator(".lot h3").all_inner_texts()


def test_a_slip_of_the_finger_gets_suggestions(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/stock")
    add(phone, "gras clipings", "2")
    if phone.locator(".meant").count():
        expect(phone.locator(".meant")).to_contain_text("Grass clippings")
    else:
        expect(phone.get_by_role("main").get_by_role("status")).to_contain_text("grass clippings")


def test_an_own_container_and_an_own_measurement_are_kept(
    phone: Page, own_server: LiveServer
) -> None:
    visit(phone, own_server, "/stock")
    phone.get_by_text("A container of your own").tap()
    phone.get_by_label("Its name").fill("green tub")
    phone.get_by_label("Its volume").fill("40 L")
    phone.get_by_text("You measured it yourself").tap()
    phone.get_by_label("Full", exact=True).fill("22")
    phone.get_by_label("Empty", exact=True).fill("2")
    phone.get_by_label("Squeeze a handful").select_option("dry and dusty")
    add(phone, "straw", "5")
    state = own_server.garden.state()
    assert ("green tub", 0.04) in state.containers.values()
    lot = next(one for one in state.lots.values() if one.container_name == "green tub")
    low, likely, high = lot.measured["bulk_density_kg_m3"]
    assert low < likely < high
    assert round(likely) == 479  # 20 lb in 5 gal
    assert lot.measured["moisture"][1] == 0.3
    expect(phone.get_by_label("Container", exact=True).locator("option").first).to_contain_text(
        "green tub"
    )


def test_what_is_thrown_away_leaves_the_list(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/stock")
    card = phone.locator(".lot").first
    name = card.locator("h3").inner_text()
    lot = stock(own_server.garden)[0].lot
    card.get_by_text("Gone without being used").tap()
    card.get_by_label("How many are gone", exact=True).fill("1")
    with phone.expect_navigation(wait_until="networkidle"):
        card.get_by_role("button", name="Take off the list").tap()
    expect(phone.get_by_role("main").get_by_role("status")).to_contain_text(name.lower()[:8])
    assert own_server.garden.lot(lot.key).left == lot.left - 1


def test_the_stock_page_has_no_trouble_light_or_dark_or_large(
    phone: Page, live_server: LiveServer
) -> None:
    visit(phone, live_server, "/stock")
    assert troubles(phone) == []
    assert with_large_text(phone) == []


def test_the_keyboard_reaches_everything_on_the_stock(phone: Page, live_server: LiveServer) -> None:
    visit(phone, live_server, "/stock")
    reached = tab_through(phone)
    for words in ("material", "count", "keep_back", "Put on the list", "You measured it yourself"):
        assert words in reached, reached


def test_the_stock_works_without_scripts_from_nothing(
    browser_page_without_scripts: Page, empty_server: LiveServer
) -> None:
    page = browser_page_without_scripts
    visit(page, empty_server, "/stock")
    expect(page.get_by_role("heading", name="Nothing on hand yet")).to_be_visible()
    add(page, "lawn clippings", "3")
    assert page.locator(".lot h3").all_inner_texts() == ["Grass clippings"]
