"""What the tests of the forms share: opening, filling by words, and looking for trouble.

Knows how a person finds a field. Knows nothing of what the forms mean.
"""

from __future__ import annotations

from datetime import timedelta

from playwright.sync_api import Locator, Page

from heapwright.journal.entries import EntryKind
from heapwright.workshop.log import log
from tests.browser.conftest import NOW, LiveServer, axe_findings, open_all

SCHEMES = ("light", "dark")


def visit(page: Page, server: LiveServer, path: str) -> None:
    """Open a page of the program."""
    page.goto(f"{server.address}{path}", wait_until="networkidle")


def empty_the_right_bin(server: LiveServer) -> None:
    """Take all compost out of the right bin, an hour ago."""
    log(
        server.garden,
        EntryKind.USE,
        {"bin": "right", "all": True},
        at=NOW - timedelta(hours=1),
        origin="page",
    )


def tap_chip(page: Page, name: str, value: str, within: str = "form") -> None:
    """Tap a chip as a thumb does: on its face."""
    page.locator(f'{within} label.chip:has([name="{name}"][value="{value}"])').first.tap()


def save(page: Page, words: str) -> None:
    """Tap the button with these words and wait for the page that follows."""
    with page.expect_navigation(wait_until="networkidle"):
        page.get_by_role("button", name=words).first.tap()


def wrong(page: Page, field: str) -> Locator:
    """The sentence that stands beside a field."""
    return page.locator(f'[id$="field-{field}-wrong"]')


def focused(page: Page) -> str:
    """The name of the field that has the focus."""
    return str(page.evaluate("document.activeElement.name || document.activeElement.id"))


def troubles(page: Page) -> list[str]:
    """What is wrong with a page as it stands, light and dark: axe's findings, and overflow."""
    found: list[str] = []
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        open_all(page)
        found += [f"{scheme}: {finding}" for finding in axe_findings(page)]
    found += overflow(page)
    found += small_targets(page)
    page.emulate_media(color_scheme="light")
    return found


def overflow(page: Page) -> list[str]:
    """Say when the page is wider than the phone."""
    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    return [f"{wide} px wider than the phone"] if wide > 0 else []


def small_targets(page: Page) -> list[str]:
    """Name every button, chip and field that is lower than a thumb needs (44 px)."""
    return list(
        page.evaluate(
            "[...document.querySelectorAll('main button, main label.chip, main select,"
            " main input[type=text], main summary, main a.button')]"
            ".filter(it => it.offsetParent && it.getBoundingClientRect().height < 44)"
            ".map(it => 'too low for a thumb: ' + (it.innerText || it.name || it.id))"
        )
    )


def with_large_text(page: Page) -> list[str]:
    """What breaks when the text is twice as large."""
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    open_all(page)
    return overflow(page)
