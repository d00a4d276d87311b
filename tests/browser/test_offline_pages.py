"""Pages without network: by the service worker where it may be, else by the browser itself."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Thread

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page, expect

from heapwright.web.app import create_app
from heapwright.web.server import take_port
from heapwright.workshop.garden import Garden
from tests.browser.conftest import LiveServer, still_clock
from tests.conftest import BROWSER_ARGUMENTS, PHONE

HOME_NAME = "bin.test"  # reserved for tests (RFC 6761); the browser is told that it is this machine
ALL_KEPT = ["/", "/log", "/phone"]
PATIENCE_S = 60
WARMED = "() => sessionStorage.getItem('heapwright-warmed') !== null"
KEPT = """async () => (await (await caches.open("heapwright-pages")).keys())
  .map((request) => new URL(request.url).pathname).sort()"""


@pytest.fixture
def walker(browser: Browser) -> Iterator[Page]:
    """A phone that may keep pages by a service worker."""
    context = browser.new_context(**PHONE | {"service_workers": "allow"})
    context.set_default_timeout(30_000)
    expect.set_options(timeout=30_000)
    yield context.new_page()
    expect.set_options(timeout=5_000)
    context.close()


def until(page: Page, script: str, argument: object = None) -> None:
    """Wait until a script answers yes; it may take its time itself."""
    end = time.monotonic() + PATIENCE_S
    while not page.evaluate(script, argument):
        assert time.monotonic() < end, script
        page.wait_for_timeout(100)


def open_until_kept(page: Page, server: LiveServer, path: str) -> None:
    """Open a page and wait until the worker keeps it and those that always are."""
    page.goto(f"{server.address}{path}")
    until(
        page,
        "async (wanted) => { if (!navigator.serviceWorker.controller) return false;"
        f" const kept = await ({KEPT})(); return wanted.every((path) => kept.includes(path)); }}",
        sorted({*ALL_KEPT, path}),
    )


def test_last_known_pages_open_and_reload_without_network(
    walker: Page, own_server: LiveServer
) -> None:
    open_until_kept(walker, own_server, "/bins/left")
    walker.context.set_offline(True)
    for path, heading in [("/bins/left", "Left bin"), ("/", ""), ("/log?bin=right", "Log")]:
        walker.goto(f"{own_server.address}{path}")
        expect(walker.locator("[data-phone-said]")).to_contain_text("without network")
        expect(walker.locator("h1")).to_contain_text(heading)
        walker.reload()
        expect(walker.locator("[data-phone-said]")).to_contain_text("As known")
    walker.goto(f"{own_server.address}/log?bin=right")
    expect(walker.locator('[name=bin][value="right"]')).to_be_checked()
    walker.goto(f"{own_server.address}/stock")
    expect(walker.locator("[data-phone-said]")).to_contain_text("not kept on this phone")
    walker.context.set_offline(False)
    walker.evaluate("dispatchEvent(new Event('online'))")
    walker.get_by_role("link", name="Show the new page").tap()
    expect(walker.locator("h1")).to_have_text("Stock")
    expect(walker.locator("[data-phone-said]")).to_be_empty()


def test_only_the_pages_for_the_bin_are_kept_and_forgetting_drops_them(
    walker: Page, own_server: LiveServer
) -> None:
    open_until_kept(walker, own_server, "/phone")
    for path in ("/stock", "/api/today", "/log/undone?entry=0", "/export/journal.json"):
        walker.evaluate("(path) => fetch(path, { headers: { Accept: 'text/html' } })", path)
    walker.goto(f"{own_server.address}/setup")
    assert walker.evaluate(KEPT) == ALL_KEPT
    walker.goto(f"{own_server.address}/phone")
    walker.get_by_role("button", name="Drop the kept pages").tap()
    expect(walker.get_by_text("The kept pages are dropped.")).to_be_visible()
    assert walker.evaluate(KEPT) == []


def test_a_slow_house_is_not_waited_for_and_its_answer_is_offered(
    walker: Page, own_server: LiveServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("heapwright.web.routes_phone._PATIENCE_MS", 0)
    open_until_kept(walker, own_server, "/phone")
    walker.goto(f"{own_server.address}/phone")
    expect(walker.locator("html[data-kept]")).to_have_count(1)
    expect(walker.get_by_role("link", name="Show the new page")).to_be_visible()


# ---- plain http in the home network: no worker, no locks ----


@contextmanager
def at_home(journal: Path) -> Iterator[str]:
    """Serve a journal under a name of the home network; gives the address."""
    listening = take_port(0)
    port = listening.getsockname()[1]
    with Garden.open(journal, clock=still_clock) as garden:
        app = create_app(garden, hosts={HOME_NAME})
        server = uvicorn.Server(uvicorn.Config(app, log_config=None, access_log=False))
        thread = Thread(target=server.run, args=([listening],), daemon=True)
        thread.start()
        yield f"http://{HOME_NAME}:{port}"
        server.should_exit = True
        thread.join()
    listening.close()


@pytest.fixture
def http_phone(
    browser: Browser, chromium_path: str, demo_journal: Path, tmp_path: Path
) -> Iterator[tuple[BrowserContext, str]]:
    """A phone that reaches the house over plain http by its name; and the address."""
    copy = tmp_path / "garden.sqlite3"
    shutil.copy(demo_journal, copy)
    arguments = [*BROWSER_ARGUMENTS, f"--host-resolver-rules=MAP {HOME_NAME} 127.0.0.1"]
    started = browser.browser_type.launch(executable_path=chromium_path, args=arguments)
    context = started.new_context(**PHONE)
    context.set_default_timeout(30_000)
    expect.set_options(timeout=30_000)
    with at_home(copy) as address:
        yield context, address
        expect.set_options(timeout=5_000)
        started.close()


def test_over_plain_http_pages_open_by_their_address_without_network(
    http_phone: tuple[BrowserContext, str],
) -> None:
    context, address = http_phone
    page = context.new_page()
    page.goto(f"{address}/phone")
    assert page.evaluate("[isSecureContext, Boolean(navigator.locks)]") == [False, False]
    until(page, WARMED)
    context.set_offline(True)
    for path in ("/", "/log"):
        tab = context.new_page()
        tab.goto(f"{address}{path}")
        expect(tab.locator("[data-phone-said]")).to_contain_text("without network")
    tab.get_by_label("Temperature").first.fill("137")
    tab.locator("label.chip-bin").first.tap()
    tab.get_by_role("button", name="Save").first.tap()
    expect(tab.locator("#kept")).to_contain_text("137 °F")
    context.set_offline(False)
    expect(tab.locator("[data-phone-short]")).to_contain_text("Last arrived")


def test_over_plain_http_today_is_fresh_after_saving(
    http_phone: tuple[BrowserContext, str],
) -> None:
    context, address = http_phone
    page = context.new_page()
    page.goto(f"{address}/phone")
    until(page, WARMED)
    page.goto(f"{address}/log?bin=left")
    page.get_by_label("Temperature").first.fill("149")
    page.get_by_role("button", name="Save").first.tap()
    page.wait_for_url("**/log/saved*")
    page.get_by_role("link", name="Go to Today").tap()
    expect(page.locator("main")).to_contain_text("149")
