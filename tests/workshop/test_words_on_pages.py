"""Every page says every word in the reader's language: none is left outside the catalogue.

Walked in the language of marks of `tests/pseudo_language.py`, with the invented garden. Names that
people gave, units, sources and addresses stay as they are.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from importlib import import_module
from pathlib import Path

import pytest
from babel.dates import get_day_names, get_month_names
from starlette.testclient import TestClient

from heapwright.journal.entries import GardenState
from heapwright.web.app import create_app
from heapwright.wording import language
from heapwright.workshop.demo import fill_demo_garden
from heapwright.workshop.garden import Garden
from tests.pseudo_language import PseudoCatalogue, english_left, texts_of

NOW = datetime(2026, 6, 18, 15, 20, tzinfo=UTC)
_NAME = re.compile(r"[A-Za-z]{3,}")
#: Units, addresses, and what is the same in every language.
_SIGNS = {"heapwright", "csv", "json", "http", "https", "localhost", "gal", "serve", "share"}
_SIGNS |= {"ft²", "ft³", "yd³", "english"}
#: Months and days of the language of marks, whose dates are Spanish (by CLDR).
_DATES = {
    name.lower().rstrip(".")
    for width in ("abbreviated", "wide")
    for names in (get_month_names, get_day_names)
    for name in names(width, locale="es").values()
}
PAGES = (
    "/",
    "/log?bin=left",
    "/setup",
    "/stock",
    "/stock/ahead",
    "/import",
    "/timeline",
    "/compare",
    "/compare/sheet",
    "/people",
    "/probes",
    "/beds",
    "/ledger",
    "/year",
    "/year/wishes",
    "/year/what-if",
    "/year/sheet",
    "/year/calendar",
    "/site",
    "/phone",
    "/build/left",
    "/build/left/sheet",
    "/bins/left",
    "/bins/middle/fault",
)


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A browser that asks for Spanish, where every text of the catalogue stands in marks."""
    with pytest.MonkeyPatch.context() as patched:
        catalogue = PseudoCatalogue()
        # By import: in the package the module's name is its function's.
        module = import_module("heapwright.wording.language")
        patched.setattr(module, "_read_catalogue", lambda name: catalogue)
        language.cache_clear()
        path: Path = tmp_path_factory.mktemp("marks") / "garden.sqlite3"
        with Garden.open(path, clock=lambda: NOW) as garden:
            fill_demo_garden(garden)
            with TestClient(
                create_app(garden),
                base_url="http://localhost",
                headers={"accept-language": "es"},
            ) as browser:
                yield browser
    language.cache_clear()


@pytest.fixture(scope="module")
def allowed(client: TestClient) -> frozenset[str]:
    """Words that stand as they are: signs, dates, and what the garden's people named."""
    return frozenset(_SIGNS | _DATES | _names(client.app.state.garden.state()))


def _names(state: GardenState) -> set[str]:
    named = [state.settings.name, *(one.name for one in state.bins.values()), *state.lots]
    named += [one.name for one in state.year.beds.values()]
    for batch in state.batches.values():
        named.append(batch.name)
        named += [str(entry.body.get("note", "")) for entry in batch.entries]
    return {word.lower() for name in named for word in _NAME.findall(name)}


@pytest.mark.parametrize("page", PAGES)
def test_no_english_is_left_on_a_page(
    client: TestClient, allowed: frozenset[str], page: str
) -> None:
    answer = client.get(page)
    assert answer.status_code == 200
    assert '<html lang="es"' in answer.text
    left = {
        text.strip()[:120]: words
        for text in texts_of(answer.text)
        if not _is_quoted(text) and (words := english_left(text, allowed))
    }
    assert left == {}


def _is_quoted(text: str) -> bool:
    """Whether a text is a credit, a source, an address or a pattern for scripts."""
    marks = ("climate_data/", "://", "{", "open-meteo", "Español")
    return any(mark in text for mark in marks)


def test_the_browsers_language_and_the_gardens_own(client: TestClient) -> None:
    english = client.get("/", headers={"accept-language": "en"})
    assert '<html lang="en"' in english.text
    assert "⟦" not in english.text
