"""A photo of the heap on a phone: taken, scaled down, taken again, kept offline, seen again."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from heapwright.journal.entries import Entry, EntryKind
from tests import photo_samples
from tests.browser.conftest import LiveServer
from tests.browser.forms import save, troubles, visit, with_large_text


@pytest.fixture
def large(tmp_path: Path) -> Path:
    """A photo as a phone takes it: lying on its side, and with the place in it."""
    path = tmp_path / "IMG_0001.jpg"
    path.write_bytes(photo_samples.jpeg(photo_samples.drawn(3200, 2400), orientation=6))
    return path


def take(page: Page, path: Path) -> None:
    page.locator("#field-photo").set_input_files(path)


def ready(page: Page) -> None:
    expect(page.locator("[data-photo-seen]")).to_be_visible()
    expect(page.locator("[data-photo-said]")).to_contain_text("Ready to be saved")


def photos(server: LiveServer) -> list[Entry]:
    return [entry for entry in server.garden.entries() if entry.kind is EntryKind.PHOTO]


def test_a_photo_is_scaled_down_on_the_phone_and_seen_again(
    phone: Page, own_server: LiveServer, large: Path
) -> None:
    visit(phone, own_server, "/log?bin=left")
    take(phone, large)
    ready(phone)
    sent = phone.evaluate(
        "createImageBitmap(document.querySelector('#field-photo').files[0])"
        ".then(it => [it.width, it.height])"
    )
    assert sent == [1200, 1600]  # upright, and no larger than it is kept
    assert troubles(phone) == []
    phone.get_by_label("What it shows").fill("Steam at dawn")
    save(phone, "Save")
    expect(phone.locator(".stored")).to_contain_text("Photo: Steam at dawn")
    (entry,) = photos(own_server)
    assert (entry.body["width"], entry.body["height"]) == (1200, 1600)
    kept = own_server.garden.photos.jpeg(str(entry.body["sha256"])) or b""
    assert dict(Image.open(io.BytesIO(kept)).getexif()) == {}
    visit(phone, own_server, "/bins/left")
    small = phone.get_by_role("img", name=re.compile("Steam at dawn, photo of"))
    small.scroll_into_view_if_needed()
    expect(small).to_have_js_property("complete", True)
    assert small.evaluate("it => it.naturalWidth") == 360
    with phone.expect_navigation(wait_until="networkidle"):
        small.tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Steam at dawn")
    expect(phone.get_by_role("heading", name="On that day")).to_be_visible()
    assert phone.locator(".photo-large").evaluate("it => it.naturalWidth") == 1200
    assert troubles(phone) == []
    assert with_large_text(phone) == []


def test_a_photo_is_taken_again_or_left_out(
    phone: Page, own_server: LiveServer, large: Path, tmp_path: Path
) -> None:
    other = tmp_path / "again.png"
    other.write_bytes(photo_samples.other("PNG", photo_samples.drawn(200, 100)))
    visit(phone, own_server, "/log?bin=left")
    take(phone, large)
    ready(phone)
    take(phone, other)
    expect(phone.locator("[data-photo-seen]")).to_have_js_property("naturalWidth", 200)
    phone.get_by_role("button", name="Leave the photo out").tap()
    expect(phone.locator("[data-photo-seen]")).to_be_hidden()
    take(phone, other)
    ready(phone)
    save(phone, "Save")
    (entry,) = photos(own_server)
    assert (entry.body["width"], entry.body["height"]) == (200, 100)


def test_a_file_that_is_no_picture_is_told_beside_the_field(
    phone: Page, own_server: LiveServer, tmp_path: Path
) -> None:
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(photo_samples.jpeg()[:900])
    visit(phone, own_server, "/log?bin=left")
    take(phone, broken)
    expect(phone.locator("[data-photo-said]")).to_contain_text("cannot show the picture")
    phone.get_by_label("Note", exact=True).fill("steaming")
    save(phone, "Save")
    expect(phone.locator("#field-photo-wrong")).to_contain_text("no photo that can be shown")
    expect(phone.get_by_label("Note", exact=True)).to_have_value("steaming")
    assert troubles(phone) == []


def test_a_form_with_a_mistake_still_has_its_photo(
    phone: Page, own_server: LiveServer, large: Path
) -> None:
    visit(phone, own_server, "/log?bin=left")
    take(phone, large)
    ready(phone)
    phone.get_by_label("Temperature").fill("hot")
    save(phone, "Save")
    expect(phone.locator("[data-held]")).to_contain_text("The photo is kept")
    phone.get_by_label("Temperature").fill("131")
    save(phone, "Save")
    expect(phone.locator(".stored")).to_contain_text("A photo.")
    assert len(photos(own_server)) == 1


def test_a_photo_taken_without_network_arrives_once(
    phone: Page, own_server: LiveServer, large: Path
) -> None:
    visit(phone, own_server, "/log?bin=left")
    take(phone, large)
    ready(phone)
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Save").tap()
    expect(phone.locator("[data-kept-panel]")).to_be_visible()
    assert photos(own_server) == []
    phone.context.set_offline(False)  # the browser tells the page, which sends
    arrived = phone.locator("[data-phone-short]")
    expect(arrived).to_contain_text("Last arrived", timeout=20_000)
    visit(phone, own_server, "/phone")  # asks the house once more, with nothing left to send
    expect(arrived).to_contain_text("Last arrived")
    expect(phone.locator('[data-list="arrived"] li')).to_have_count(1)
    (entry,) = photos(own_server)
    assert (entry.body["width"], entry.body["height"]) == (1200, 1600)


def test_a_photo_goes_in_without_scripts(
    browser_page_without_scripts: Page, own_server: LiveServer, large: Path
) -> None:
    page = browser_page_without_scripts
    visit(page, own_server, "/log?bin=left")
    take(page, large)
    save(page, "Save")
    expect(page.locator(".stored")).to_contain_text("A photo.")
    (entry,) = photos(own_server)
    assert (entry.body["width"], entry.body["height"]) == (1200, 1600)


def test_an_entry_is_corrected_from_the_bins_story(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/bins/left")
    with phone.expect_navigation(wait_until="networkidle"):
        phone.locator(".story a.entry-link", has_text="Read").first.tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Correct an entry")
    assert troubles(phone) == []
    assert with_large_text(phone) == []
    phone.evaluate("document.documentElement.style.fontSize = ''")
    phone.get_by_label("Temperature").fill("151")
    save(phone, "Save the correction")
    expect(phone.locator(".stored")).to_contain_text("Corrected: Read 151 °F.")
    assert troubles(phone) == []
    save(phone, "Undo")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Taken back")
