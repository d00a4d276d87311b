"""All heaps by week, cards, paper logs and stories: on a phone, and as they come from the printer.

The printed code is read back with zxing-cpp, which knows nothing of the library that drew it.
"""

from __future__ import annotations

import base64
import re

import numpy as np
import pytest
import zxingcpp
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import LiveServer, axe_findings, open_all

HOUSE = "192.168.1.20:8055"
#: Each page of this slice with what it is about.
PAGES = [
    "/timeline",
    "/bins/left/card",
    "/cards",
    "/paper?bin=left",
    "/paper/copy?bin=left",
    "/batches/second-heap/story",
]
#: Grey values of a picture given as a data address, row by row.
GREYS = """async (address) => {
  const picture = new Image();
  picture.src = address;
  await picture.decode();
  const canvas = document.createElement("canvas");
  canvas.width = picture.width;
  canvas.height = picture.height;
  const paper = canvas.getContext("2d");
  paper.drawImage(picture, 0, 0);
  const dots = paper.getImageData(0, 0, canvas.width, canvas.height).data;
  const greys = [];
  for (let i = 0; i < dots.length; i += 4) greys.push((dots[i] + dots[i + 1] + dots[i + 2]) / 3);
  return [canvas.width, canvas.height, greys.map(Math.round)];
}"""


def open_page(phone: Page, server: LiveServer, address: str) -> None:
    phone.set_default_timeout(60_000)  # a story is worked out when it is first asked for
    phone.goto(server.address + address, wait_until="networkidle")


def read_code(phone: Page, place: Locator) -> str:
    """Return what a camera reads in a place of the page, as it is shown."""
    seen = "data:image/png;base64," + base64.b64encode(place.screenshot()).decode()
    width, height, greys = phone.evaluate(GREYS, seen)
    picture = np.array(greys, dtype=np.uint8).reshape(height, width)
    (found,) = zxingcpp.read_barcodes(picture)
    return str(found.text)


def printed_pages(phone: Page, paper: str) -> int:
    """Return how many sheets the page takes on a printer with this paper."""
    made = phone.pdf(format=paper, prefer_css_page_size=True)
    return len(re.findall(rb"/Type\s*/Page[^s]", made))


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("address", PAGES)
def test_axe_finds_nothing_and_nothing_sticks_out(
    phone: Page, live_server: LiveServer, address: str, scheme: str
) -> None:
    phone.emulate_media(color_scheme=scheme)
    open_page(phone, live_server, address)
    open_all(phone)
    assert axe_findings(phone) == []
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_code_on_a_card_reads_as_the_link_under_it(
    phone: Page, live_server: LiveServer, scheme: str
) -> None:
    phone.emulate_media(color_scheme=scheme)
    open_page(phone, live_server, f"/cards?address={HOUSE}")
    cards = phone.locator(".hang")
    keys = ["left", "middle", "right"]
    assert cards.count() == len(keys)
    for number, key in enumerate(keys):
        link = f"http://{HOUSE}/b/{key}"
        assert read_code(phone, cards.nth(number).locator(".scan")) == link
        expect(cards.nth(number).locator(".hang-link")).to_have_text(link)


def test_the_code_on_the_paper_log_is_read_at_its_own_size(
    phone: Page, live_server: LiveServer
) -> None:
    open_page(phone, live_server, f"/paper?bin=right&address={HOUSE}")
    code = phone.locator(".scan").first
    assert read_code(phone, code) == f"http://{HOUSE}/b/right"
    open_page(phone, live_server, "/paper?bin=right")
    expect(phone.locator(".pencil .scan")).to_have_count(0)  # it would lead nowhere on a phone


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_what_is_printed_takes_the_sheets_it_should(
    phone: Page, live_server: LiveServer, paper: str
) -> None:
    for address, sheets in (
        ("/bins/left/card", 1),
        ("/cards", 2),
        ("/paper?bin=left&month=2026-07", 2),
        ("/batches/first-heap/story", 1),
        ("/batches/second-heap/story", 1),
        ("/batches/newest-heap/story", 1),
        ("/compare/sheet", 1),
        ("/year/sheet", 1),
    ):
        open_page(phone, live_server, address)
        assert printed_pages(phone, paper) == sheets, address


def test_paper_is_black_on_white_whatever_the_phone_prefers(
    phone: Page, live_server: LiveServer
) -> None:
    phone.emulate_media(color_scheme="dark", media="print")
    for address, place in (
        ("/bins/left/card", ".hang-name"),
        ("/paper?bin=left", ".pencil-name"),
        ("/batches/second-heap/story", ".tale h1"),
    ):
        open_page(phone, live_server, address)
        expect(phone.locator(place).first).to_have_css("color", "rgb(0, 0, 0)")
        expect(phone.locator(".places")).to_be_hidden()
        assert phone.locator(".print-not:visible, .tale-actions:visible").count() == 0


def test_the_weeks_begin_at_the_present_and_scroll_alone(
    phone: Page, live_server: LiveServer
) -> None:
    open_page(phone, live_server, "/timeline")
    frame = phone.get_by_role("region", name=re.compile("Bins through the weeks"))
    box, now = frame.bounding_box(), phone.locator("[data-now]").bounding_box()
    assert box is not None and now is not None
    assert box["x"] < now["x"] < box["x"] + box["width"]
    before = frame.evaluate("it => it.scrollLeft")
    phone.get_by_role("button", name="Earlier").tap()
    assert frame.evaluate("it => it.scrollLeft") < before
    phone.get_by_role("button", name="Now", exact=True).tap()
    assert frame.evaluate("it => it.scrollLeft") == before


def test_a_heap_on_the_weeks_opens_its_bin_by_keyboard(
    phone: Page, live_server: LiveServer
) -> None:
    open_page(phone, live_server, "/timeline")
    heap = phone.get_by_role("link", name=re.compile("Second heap, built"))
    heap.focus()
    phone.keyboard.press("Enter")
    expect(phone).to_have_url(re.compile("/bins/middle$"), timeout=60_000)


def test_the_weeks_table_says_the_numbers_of_the_picture(
    phone: Page, live_server: LiveServer
) -> None:
    open_page(phone, live_server, "/timeline")
    open_all(phone)
    shown = [text.lstrip("~") for text in phone.locator(".weeks-number").all_text_contents()]
    rows = phone.locator(".weeks-table").first.locator("tbody tr .figure").all_inner_texts()
    table = [text.removesuffix(" °F") for text in rows]
    assert shown and all(number in table for number in shown)
    assert len(table) >= len(shown)


def test_rows_are_copied_from_paper_by_keyboard_and_told(
    phone: Page, own_server: LiveServer
) -> None:
    before = len(own_server.garden.entries())
    open_page(phone, own_server, "/paper/copy?bin=left")
    for number, (day, degrees) in enumerate((("2026-06-16", "140"), ("2026-06-17", "136"))):
        row = phone.get_by_role("group", name=f"Row {number + 1}", exact=True)
        row.get_by_label("Date").fill(day)
        row.get_by_label("Degrees").fill(degrees)
    phone.keyboard.press("Enter")
    expect(phone).to_have_url(re.compile("/log/saved"), timeout=60_000)
    expect(phone.get_by_text("Read 140 °F.", exact=True).first).to_be_visible()
    assert len(own_server.garden.entries()) == before + 2
