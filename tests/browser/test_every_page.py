"""Every page there is, by its links: axe in light and dark, in both languages, and double text.

One address for each route. A page added later is tried here without being named.
"""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import urlsplit

import httpx
import pytest
from playwright.sync_api import Browser, Page
from starlette.routing import Route

from heapwright.web.app import create_app
from tests.browser.conftest import LiveServer, axe_findings, open_all
from tests.conftest import PHONE
from tests.faults.form_crawl import pages_of
from tests.routes_there import routes_there

LANGUAGES = {"en": "en-US", "es": "es-ES"}
WIDTH = PHONE["viewport"]["width"]
#: Fewer would mean that the links were not followed.
LEAST_PAGES = 20


@pytest.fixture(scope="module")
def addresses(live_server: LiveServer) -> list[str]:
    """One path for each page that can be reached from Today."""
    routes = [
        one for one in routes_there(create_app(live_server.garden).routes) if isinstance(one, Route)
    ]
    found = dict[str, str]()

    def route_of(path: str) -> str:
        bare = urlsplit(path).path
        return next((one.path for one in routes if one.path_regex.match(bare)), "")

    def is_new(path: str) -> bool:
        route = route_of(path)
        return route not in ("", *found) and not route.startswith(("/api", "/static"))

    with httpx.Client(base_url=live_server.address, follow_redirects=True, timeout=60) as client:
        for path, _ in pages_of(client, ["/"], is_new):
            found[route_of(path)] = path
    return list(found.values())


@pytest.fixture(params=list(LANGUAGES))
def code(request: pytest.FixtureRequest) -> str:
    """A language's code."""
    return str(request.param)


@pytest.fixture
def reader(browser: Browser, code: str) -> Iterator[Page]:
    """A phone whose person reads this language."""
    context = browser.new_context(**PHONE, locale=LANGUAGES[code])
    yield context.new_page()
    context.close()


def test_the_pages_are_found(addresses: list[str]) -> None:
    assert len(addresses) >= LEAST_PAGES, addresses


def test_axe_finds_nothing_on_any_page_and_nothing_sticks_out(
    reader: Page, code: str, live_server: LiveServer, addresses: list[str]
) -> None:
    found = {}
    for path in addresses:
        reader.emulate_media(color_scheme="light")
        reader.goto(live_server.address + path)
        open_all(reader)
        assert reader.evaluate("document.documentElement.lang")[:2] == code
        wide = reader.evaluate("document.documentElement.scrollWidth")
        findings = axe_findings(reader) + [f"{wide} px wide"] * (wide > WIDTH)
        # In the dark nothing is otherwise but the colours.
        reader.emulate_media(color_scheme="dark")
        findings += [f"dark: {one}" for one in axe_findings(reader, rules=("color-contrast",))]
        if findings:
            found[path] = findings[:4]
    assert found == {}


def test_text_twice_as_large_does_not_break_a_page(
    reader: Page, live_server: LiveServer, addresses: list[str]
) -> None:
    """WCAG 2.2, 1.4.4: nothing is lost and nothing runs off the side at 200 %."""
    broken = {}
    for path in addresses:
        reader.goto(live_server.address + path)
        reader.evaluate("document.documentElement.style.fontSize = '200%'")
        open_all(reader)
        wide = reader.evaluate(
            """() => {
              const room = document.documentElement.clientWidth;
              const off = [...document.querySelectorAll('main *, header *, nav *, footer *')]
                .filter(it => {
                  const box = it.getBoundingClientRect();
                  if (box.width === 0 || box.right <= room + 1) return false;
                  for (let up = it; up; up = up.parentElement) {
                    const how = getComputedStyle(up);
                    if (/auto|scroll|hidden|clip/.test(how.overflowX) && up !== document.body
                        && up !== document.documentElement) return false;
                    if (how.position === 'fixed' || how.visibility === 'hidden') return false;
                  }
                  return true;
                });
              return off.slice(0, 3).map(it => it.tagName + '.' + it.className + ': '
                + (it.innerText || '').slice(0, 40));
            }"""
        )
        if wide:
            broken[path] = wide
    assert broken == {}


#: What can be worked on the page as it stands, without what is folded away, hidden or switched off.
_WORKABLE = """() => [...document.querySelectorAll(
    'a[href], button, input, select, textarea, summary, [tabindex="0"]')].filter(it => {
  const box = it.getBoundingClientRect();
  return !it.disabled && it.type !== 'hidden' && !it.closest('[hidden], [inert]')
    && it.tabIndex >= 0 && box.width > 0 && box.height > 0
    && it.checkVisibility({ visibilityProperty: true });
})"""


def test_the_keyboard_reaches_everything_on_every_page(
    phone: Page, live_server: LiveServer, addresses: list[str]
) -> None:
    """WCAG 2.2, 2.1.1: each link, button and field; of radio buttons the group (2.4.3)."""
    missed = {}
    for path in addresses:
        phone.goto(live_server.address + path)
        phone.evaluate("document.activeElement.blur()")
        workable = phone.evaluate(f"({_WORKABLE})().length")
        # A date is several stops: month, day, year, calendar.
        dates = phone.locator("input[type=date], input[type=datetime-local]").count()
        for _ in range(workable + 6 * dates + 12):
            phone.keyboard.press("Tab")
            phone.evaluate("document.activeElement.dataset.reached = '1'")
        left = phone.evaluate(
            f"""() => {{
              const reached = it => it.dataset.reached || (it.type === 'radio' && it.name
                && document.querySelector(
                  `input[type=radio][name="${{CSS.escape(it.name)}}"][data-reached]`));
              return ({_WORKABLE})().filter(it => !reached(it))
                .map(it => it.outerHTML.slice(0, 120)).slice(0, 4);
            }}"""
        )
        if left:
            missed[path] = left
    assert missed == {}
