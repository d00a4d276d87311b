"""Building from what is on hand: recipe, layers, the sheet on one page, and what was built."""

from __future__ import annotations

import re

from playwright.sync_api import Browser, Page, expect

from heapwright.journal.entries import EntryKind
from heapwright.workshop.build import plan_build
from heapwright.workshop.stock import add_lot, stock
from tests.browser.conftest import LiveServer, tab_through
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


def pages_of(pdf: bytes) -> int:
    """How many pages a PDF has."""
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


def printed(browser: Browser, address: str, paper: str) -> bytes:
    """The PDF that a computer's browser prints of a page."""
    page = browser.new_page()
    page.goto(address, wait_until="networkidle")
    pdf = page.pdf(format=paper)
    page.close()
    return pdf


def test_the_recipe_tells_whole_containers_bands_and_water(
    phone: Page, live_server: LiveServer
) -> None:
    visit(phone, live_server, "/build/left")
    answer = plan_build(live_server.garden, "left")
    taken = phone.locator(".take li").all_inner_texts()
    assert len(taken) == len(answer.recipe.lines) + 1
    for line, text in zip(answer.recipe.lines, taken, strict=False):
        assert text.startswith(f"{line.count} ")
        assert line.lot.material.name.lower() in text.lower()
    bands = phone.locator(".band")
    expect(bands).to_have_count(5)
    ratio = answer.recipe.mixture.c_to_n
    expect(bands.first).to_contain_text(f"likely {ratio.typical:.0f}")
    expect(bands.first).to_contain_text("wished 20 to 40")
    expect(phone.get_by_text("still lies in Left bin")).to_be_visible()


def test_the_layers_stand_in_the_picture_and_beside_it(
    phone: Page, live_server: LiveServer
) -> None:
    visit(phone, live_server, "/build/left")
    sheet = plan_build(live_server.garden, "left").sheet
    expect(phone.locator(".layer")).to_have_count(len(sheet.layers))
    expect(phone.locator(".layers-picture .lay")).to_have_count(len(sheet.layers))
    assert phone.locator(".lay-number").all_text_contents() == [
        str(layer.number) for layer in sheet.layers
    ]
    first = phone.locator(".layer").first
    expect(first).to_contain_text("deep")
    for text in sheet.cautions:
        expect(phone.locator(".cautions").filter(has_text=text).first).to_be_visible()
    wet = next(layer for layer in sheet.layers if layer.water_kg > 0.05)
    expect(phone.locator(".layer").nth(wet.number - 1)).to_contain_text("of hose")


def test_keeping_back_changes_the_recipe(phone: Page, live_server: LiveServer) -> None:
    lots = {line.material_name: line.lot for line in stock(live_server.garden)}
    leaves = lots["Fallen leaves"]
    visit(phone, live_server, "/build/left")
    field = phone.locator(f'[id="field-keep-{leaves.key}"]')
    expect(field).to_have_value(str(leaves.keep_back))
    phone.locator(".stepper", has=field).get_by_role("button", name="One more").tap()
    expect(field).to_have_value(str(leaves.keep_back + 1))
    field.fill(str(int(leaves.left)))
    save(phone, "Reckon again")
    expect(phone.locator(f'[id="field-keep-{leaves.key}"]')).to_have_value(str(int(leaves.left)))
    recipe = plan_build(live_server.garden, "left", keep_back={leaves.key: int(leaves.left)}).recipe
    assert leaves.key not in {line.lot.key for line in recipe.lines}
    expect(phone.locator(".take")).not_to_contain_text("fallen leaves")
    expect(phone.get_by_text("What gave way")).to_be_visible()
    expect(phone.get_by_text("Worth fetching")).to_be_visible()
    assert troubles(phone) == []


def test_a_conditional_lot_is_used_only_when_its_condition_is_met(
    phone: Page, live_server: LiveServer
) -> None:
    visit(phone, live_server, "/build/left")
    out = phone.locator(".left-out", has_text="Weeds gone to seed")
    expect(out).to_contain_text("may go in only on a condition")
    out.locator("label.chip").tap()
    save(phone, "Reckon again")
    expect(phone.locator('.left-out [name="use"]')).to_be_checked()
    assert "use=bindweed" in phone.url


def test_a_heap_is_written_down_as_it_was_built(phone: Page, own_server: LiveServer) -> None:
    empty_the_right_bin(own_server)
    visit(phone, own_server, "/build/right")
    lot = next(line.lot for line in stock(own_server.garden) if line.role == "brown")
    took = phone.locator(f'[name="took.{lot.key}"]')
    took.fill("3")
    phone.get_by_label("Water given in all").fill("4")
    phone.get_by_label("Unit of the water").select_option("gal")
    tap_chip(phone, "cover", "tarp")
    phone.get_by_label("The heap's name").fill("June heap")
    save(phone, "Save the heap")
    expect(phone.locator(".stored")).to_contain_text("Built in Right bin")
    entry = own_server.garden.entries()[-1]
    assert entry.kind is EntryKind.BUILD
    assert {"lot": lot.key, "count": 3.0} in entry.body["lines"]
    assert entry.body["cover"] == "tarp"
    assert round(float(entry.body["water_kg"]), 1) == 15.1
    batch = own_server.garden.batch_in("right")
    assert batch is not None
    assert batch.name == "June heap"
    save(phone, "Undo")
    assert own_server.garden.batch_in("right") is None


def test_a_mistake_keeps_the_counts_and_gets_the_focus(phone: Page, own_server: LiveServer) -> None:
    empty_the_right_bin(own_server)
    visit(phone, own_server, "/build/right")
    lots = [line.lot for line in stock(own_server.garden) if not line.refused]
    phone.locator(f'[name="took.{lots[0].key}"]').fill("99")
    phone.locator(f'[name="took.{lots[1].key}"]').fill("1")
    save(phone, "Save the heap")
    expect(wrong(phone, f"took-{lots[0].key}")).to_contain_text("are left of this lot")
    assert focused(phone) == f"took.{lots[0].key}"
    expect(phone.locator(f'[name="took.{lots[1].key}"]')).to_have_value("1")
    assert troubles(phone) == []


def test_the_sheet_prints_on_one_page(
    browser: Browser, phone: Page, live_server: LiveServer
) -> None:
    address = f"{live_server.address}/build/left/sheet"
    for paper in ("A4", "Letter"):
        assert pages_of(printed(browser, address, paper)) == 1
    visit(phone, live_server, "/build/left/sheet")
    assert troubles(phone) == []


def test_the_sheet_of_a_large_bin_prints_on_one_page_too(
    browser: Browser, own_server: LiveServer
) -> None:
    from heapwright.workshop.setup import save_bin

    garden = own_server.garden
    save_bin(garden, name="Long", origin="page", width_m=1.5, depth_m=1.2, height_m=1.2)
    for material, container, count in [
        ("straw", "wheelbarrow", 8),
        ("shredded leaves", "39 gal leaf bag", 9),
        ("grass clippings", "wheelbarrow", 8),
        ("coffee grounds", "5-gallon pail", 10),
        ("vegetable scraps", "5-gallon pail", 9),
        ("horse manure", "wheelbarrow", 3),
    ]:
        add_lot(garden, material=material, container=container, count=count, origin="page")
    layers = len(plan_build(garden, "long").sheet.layers)
    assert layers > 30
    for paper in ("A4", "Letter"):
        pdf = printed(browser, f"{own_server.address}/build/long/sheet", paper)
        assert pages_of(pdf) == 1


def test_the_build_pages_have_no_trouble_light_or_dark_or_large(
    phone: Page, live_server: LiveServer
) -> None:
    for path in ("/build", "/build/left"):
        visit(phone, live_server, path)
        assert troubles(phone) == []
        assert with_large_text(phone) == []


def test_choosing_a_bin_by_keyboard_leads_to_its_recipe(
    phone: Page, live_server: LiveServer
) -> None:
    visit(phone, live_server, "/build")
    phone.get_by_role("link", name="Left bin").focus()
    with phone.expect_navigation():
        phone.keyboard.press("Enter")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Build in Left bin")
    reached = " ".join(tab_through(phone, 150))
    for words in ("Reckon again", "The sheet, to print on one page", "Save the heap"):
        assert words in reached


def test_building_works_without_scripts(
    browser_page_without_scripts: Page, own_server: LiveServer
) -> None:
    page = browser_page_without_scripts
    empty_the_right_bin(own_server)
    visit(page, own_server, "/build/right")
    save(page, "Save the heap")
    expect(page.locator(".stored")).to_contain_text("Built in Right bin")


def test_with_nothing_on_hand_the_page_leads_to_the_stock(
    phone: Page, empty_server: LiveServer
) -> None:
    from heapwright.workshop.setup import save_bin

    visit(phone, empty_server, "/build")
    expect(phone.get_by_role("heading", name="No bin yet")).to_be_visible()
    save_bin(empty_server.garden, name="One", origin="page", width_m=0.9, depth_m=0.9, height_m=0.9)
    visit(phone, empty_server, "/build/one")
    expect(phone.get_by_role("heading", name="No recipe yet")).to_be_visible()
    expect(phone.get_by_text("nothing on hand to build with")).to_be_visible()
    assert troubles(phone) == []
    phone.get_by_role("link", name="Add to the stock").first.tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Stock")
