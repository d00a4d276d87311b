"""What every test may use: repeatable random cases, and a phone to look at the pages with.

Knows nothing of compost. The browser is Debian's Chromium; when there is none, whatever needs it
fails with the sentence that says how to get it. Nothing here skips.
"""

import os
from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, Page, sync_playwright

from tools import chromium

# Deadlines would be timed tests, and a machine shared by two workers is not a stopwatch.
settings.register_profile("ours", deadline=None)
settings.register_profile(
    "ci",
    deadline=None,
    derandomize=True,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("ci" if os.environ.get("CI") else "ours")

BROWSER_ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PHONE = {
    "viewport": {"width": 390, "height": 844},
    "device_scale_factor": 2,
    "has_touch": True,
    "is_mobile": True,
    # Pages come from the program itself; the phone's own keeping of them has its own tests.
    "service_workers": "block",
}
THIS_MACHINE = {"127.0.0.1", "localhost", ""}


#: Few tests, each of minutes. Left to the end, one worker would wait for the other's.
LONGEST = (
    "browser/test_offline_interruptions.py",
    "faults/test_killed_house.py",
    "faults/test_hostile_forms.py",
    "browser/test_every_page.py",
    "faults/test_api_contract.py",
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the longest files."""
    items.sort(key=lambda item: not item.path.as_posix().endswith(LONGEST))


@pytest.fixture(scope="session")
def chromium_path() -> str:
    """Path of Chromium; fails, never skips, when there is none."""
    path = chromium.find()
    if path is None:
        pytest.fail(chromium.HOW_TO_GET_IT, pytrace=False)
    return path


@pytest.fixture(scope="session")
def browser(chromium_path: str) -> Iterator[Browser]:
    """One browser for all of a worker's browser tests.

    While it is open this thread counts as running an event loop: no test may call `asyncio.run`.
    """
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=chromium_path, args=BROWSER_ARGUMENTS)
        yield running
        running.close()


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """Page on a phone of 390 x 844, with touch.

    The test fails at its end if a script on the page threw an error or if a page asked another
    machine for anything. Take `phone.context` to go offline or to open a second page.
    """
    context = browser.new_context(**PHONE)
    context.set_default_timeout(10_000)
    script_errors: list[str] = []
    asked_outside: list[str] = []

    def note_request(address: str) -> None:
        if (urlsplit(address).hostname or "") not in THIS_MACHINE:
            asked_outside.append(address)

    context.on("weberror", lambda error: script_errors.append(str(error.error)))
    context.on("request", lambda request: note_request(request.url))
    yield context.new_page()
    context.close()
    assert script_errors == [], "a script on the page threw an error"
    assert asked_outside == [], "a page asked another machine for something"
