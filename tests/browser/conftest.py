"""The real program on a free port, with the invented garden in it and a clock that stands still.

`live_server` is shared by a worker's tests and must only be looked at; whoever writes in the
journal takes `own_server`. Knows nothing of what the pages show.
"""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from heapwright.web.app import create_app
from heapwright.web.server import take_port
from heapwright.workshop.demo import fill_demo_garden
from heapwright.workshop.garden import Garden
from heapwright.workshop.heat_proof import heat_proof
from heapwright.workshop.today import today
from tests.conftest import PHONE

NOW = datetime(2026, 6, 18, 15, 20, tzinfo=UTC)


@dataclass(frozen=True)
class LiveServer:
    """A program that answers: its address without a slash at the end, and its garden."""

    address: str
    garden: Garden


def still_clock() -> datetime:
    """The moment all browser tests happen at."""
    return NOW


@contextmanager
def running(journal: Path, like: Garden | None = None) -> Iterator[LiveServer]:
    """Run the application for a journal in a thread, on a free port.

    What a garden of the same entries has worked out is not worked out again for each test: all
    that is remembered goes by the entries it was made from.
    """
    listening = take_port(0)
    with Garden.open(journal, clock=still_clock) as garden:
        if like is not None:
            garden._memory.update(like._memory)
        config = uvicorn.Config(create_app(garden), log_config=None, access_log=False)
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, args=([listening],), daemon=True)
        thread.start()
        # Compiled and computed once before a browser waits for it: no test is a stopwatch.
        today(garden)
        while not server.started:
            assert thread.is_alive(), "the server did not start"
            time.sleep(0.01)
        yield LiveServer(f"http://127.0.0.1:{listening.getsockname()[1]}", garden)
        server.should_exit = True
        thread.join()
    listening.close()


@pytest.fixture(scope="session")
def demo_journal(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A journal with the invented garden; copy it before writing."""
    path = tmp_path_factory.mktemp("demo") / "garden.sqlite3"
    with Garden.open(path, clock=still_clock) as garden:
        fill_demo_garden(garden)
    return path


@pytest.fixture(scope="session")
def live_server(
    demo_journal: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[LiveServer]:
    """The invented garden, served; to be looked at only."""
    copy = tmp_path_factory.mktemp("shared") / "garden.sqlite3"
    shutil.copy(demo_journal, copy)
    with running(copy) as server:
        for key in server.garden.state().bins:  # computed once, as above
            heat_proof(server.garden, key)
        yield server


@pytest.fixture
def own_server(demo_journal: Path, live_server: LiveServer, tmp_path: Path) -> Iterator[LiveServer]:
    """The invented garden, served for one test that writes in it."""
    copy = tmp_path / "garden.sqlite3"
    shutil.copy(demo_journal, copy)
    with running(copy, like=live_server.garden) as server:
        yield server


@pytest.fixture
def empty_server(tmp_path: Path) -> Iterator[LiveServer]:
    """A garden nobody has made anything in yet."""
    with running(tmp_path / "garden.sqlite3") as server:
        yield server


def axe_findings(page: Page, rules: tuple[str, ...] = ()) -> list[str]:
    """What the accessibility engine objects to on the page as it stands, one line each.

    By all its rules, or by those named alone.
    """
    options = {"runOnly": {"type": "rule", "values": list(rules)}} if rules else None
    found = Axe().run(page, options=options).response["violations"]
    return [
        f"{rule['id']} ({rule['impact']}): {node['html'][:120]}"
        for rule in found
        for node in rule["nodes"]
    ]


def open_all(page: Page) -> None:
    """Open everything that can be folded away."""
    page.evaluate("for (const it of document.querySelectorAll('details')) it.open = true")


def tab_through(page: Page, most: int = 200) -> list[str]:
    """Words of everything the tabulator key reaches, in order, from the top of the page."""
    page.evaluate("document.activeElement.blur()")
    reached: list[str] = []
    for _ in range(most):
        page.keyboard.press("Tab")
        words = page.evaluate(
            "(() => { const it = document.activeElement;"
            " return it === document.body ? null"
            " : (it.getAttribute('aria-label') || it.innerText || it.name || it.id).trim(); })()"
        )
        if words is None:
            break
        reached.append(words)
    return reached


@pytest.fixture
def browser_page_without_scripts(browser: Browser) -> Iterator[Page]:
    """A phone whose scripts are switched off."""
    context = browser.new_context(**PHONE, java_script_enabled=False)
    yield context.new_page()
    context.close()
