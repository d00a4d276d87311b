"""Thousands of hostile posts to every form of the pages: none breaks the program or the journal.

The forms are found by following links, so a new page is tried without being named here. Values
are what attackers, broken phones and tired people send; which, is drawn from a seed. The usual run
posts 4,000; all 20,000 by

    HEAPWRIGHT_HOSTILE_POSTS=20000 python3 run.py test tests/faults/test_hostile_forms.py
"""

from __future__ import annotations

import os
import random
import re
import shutil
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from httpx import Response
from starlette.routing import Route
from starlette.testclient import TestClient

from heapwright.web.app import create_app
from heapwright.workshop.demo import fill_demo_garden
from heapwright.workshop.garden import Garden
from tests.faults.form_crawl import Form, forms_of
from tests.routes_there import routes_there

NOW = datetime(2026, 6, 18, 15, 20, tzinfo=UTC)
POSTS, PARTS = int(os.environ.get("HEAPWRIGHT_HOSTILE_POSTS", "1500")), 4
#: Forms that no page of an unshared demo garden shows, with the fields they have.
HIDDEN = {
    "/start-demo": (),
    "/setup/bins/{key}/gone": ("id",),
    "/people/{person}/role": ("role",),
    "/people/{person}/passphrase": ("passphrase", "again"),
    "/people/{person}/out": (),
    "/sign-in": ("name", "passphrase", "to"),
    "/sign-out": (),
    "/sign-out/everywhere": (),
    "/you/passphrase": ("now", "passphrase", "again"),
    "/you/garden": ("garden",),
    "/probes/{key}/move": ("bin", "depth"),
    "/year/away/{key}/gone": (),
    "/probes/{key}/token": (),
    "/probes/{key}/gone": (),
    "/stock/ahead/{key}": ("material", "container", "least", "most", "from", "to", "keeps"),
    "/stock/ahead/{key}/gone": (),
}
TRACES = ("Traceback (most recent call last)", 'File "/', "site-packages", "sqlalchemy.")

HOSTILE = [
    "", " ", "0", "-1", "1e308", "-1e308", "NaN", "inf", "1e-400", "57,5", "½", "٣٤", "0x1F",
    "999999999999999999999", "1/0", "--", "57 °F °C", "1 2 3", "1 pail 2 pails",
    "<script>alert(1)</script>", "\"><img src=x onerror=alert(1)>", "{{7*7}}", "${7*7}", "%s%n",
    "' OR 1=1 --", "'; DROP TABLE entries; --", "../../etc/passwd", "..\\..\\boot.ini", "/dev/null",
    "C:\\CON", "file:///etc/passwd", "http://169.254.169.254/", "//evil.example/", "javascript:0",
    "\x00", "a\x00b", "\r\nSet-Cookie: a=b", "\u202etxet", "\ufeff", "\ud83c\udf42", "e\u0301" * 50,
    "\U0001f342" * 40, "ß" * 300, "a" * 5_000, "9" * 400, "🍂" * 2_000, "=HYPERLINK(0)", "@SUM(1)",
    "2026-02-30T25:61", "0001-01-01T00:00", "9999-12-31T23:59", "2026-06-18T15:20+99:99", "now",
    "1970-01-01", "null", "None", "undefined", "true", "[]", "{}", "[[1,2],[3]]", "a=b&c=d",
    "bin-1", "../left", "left/../right", "LEFT", "left ", "0" * 32, "f" * 32, "zz" * 16,
]  # fmt: skip
_ID = re.compile(r"[0-9a-f]{32}")


@pytest.fixture(scope="module")
def journal(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("hostile") / "garden.sqlite3"
    with Garden.open(path, clock=lambda: NOW) as garden:
        fill_demo_garden(garden)
    return path


@pytest.fixture
def garden(journal: Path, tmp_path: Path) -> Iterator[Garden]:
    copy = tmp_path / "garden.sqlite3"
    shutil.copy(journal, copy)
    with Garden.open(copy, clock=lambda: NOW) as opened:
        yield opened


def _client(garden: Garden) -> TestClient:
    return TestClient(
        create_app(garden),
        base_url="http://127.0.0.1:8055",
        raise_server_exceptions=False,
        follow_redirects=False,
    )


@pytest.fixture
def client(garden: Garden) -> TestClient:
    return _client(garden)


@pytest.fixture(scope="module")
def forms(journal: Path) -> list[Form]:
    with Garden.open(journal, clock=lambda: NOW) as garden:
        client = _client(garden)
        client.follow_redirects = True
        found = list(
            forms_of(client, ["/", "/log", "/build", "/stock", "/stock/ahead", "/setup", "/import"])
        )
    hidden = [
        Form(path.format(key="left", person="1"), [(name, [""]) for name in names])
        for path, names in HIDDEN.items()
    ]
    return [*found, *hidden]


def _sorts(forms: list[Form], client: TestClient) -> dict[str, list[Form]]:
    """Return the forms by the route they are posted to: five forms of one page are one sort."""
    sorts: dict[str, list[Form]] = {}
    for form in forms:
        route = next((one.path for one in _posted(client) if one.path_regex.match(form.action)), "")
        sorts.setdefault(route, []).append(form)
    return sorts


def _posted(client: TestClient) -> list[Route]:
    routes = routes_there(client.app.routes)  # type: ignore[attr-defined]
    return [one for one in routes if isinstance(one, Route) and "POST" in (one.methods or ())]


def _spoilt(form: Form, rng: random.Random) -> list[tuple[str, str]]:
    """Return what the form would send, with some of it spoilt."""
    sent: list[tuple[str, str]] = []
    share = rng.choice((0.05, 0.2, 0.6, 1.0))
    for name, values in form.fields:
        if rng.random() < 0.1:
            continue
        value = rng.choice(HOSTILE) if rng.random() < share else rng.choice(values)
        sent += [(name, value)] * rng.choice((1, 1, 1, 1, 2, 3))
    for _ in range(rng.choice((0, 0, 1, 5))):
        sent.append((rng.choice(HOSTILE) or "x", rng.choice(HOSTILE)))
    return [(_sendable(name), _sendable(value)) for name, value in sent]


def _sendable(text: str) -> str:
    return text.encode("utf-8", "replace").decode("utf-8")


def _post(client: TestClient, form: Form, rng: random.Random) -> Response:
    pairs = _spoilt(form, rng)
    way = rng.random()
    if way < 0.7 and not form.has_file:
        data: dict[str, list[str]] = {}
        for name, value in pairs:
            data.setdefault(name, []).append(value)
        return client.post(form.action, data=data)
    if way < 0.85:
        files = [(name, (None, value)) for name, value in pairs]
        junk = rng.randbytes(rng.choice((0, 1, 40, 3_000)))
        files.append((rng.choice(("file", "photo", "x")), ("../a\x00.jpg", junk)))  # type: ignore[arg-type]
        return client.post(form.action, files=files)
    body = rng.choice((b"", b"%", b"a=%zz&%00", b"=&=&=", rng.randbytes(200), b"a" * 70_000))
    kind = rng.choice(
        (
            "application/x-www-form-urlencoded",
            "multipart/form-data",
            "multipart/form-data; boundary=x",
            "application/json",
            "text/html; charset=nonsense",
            "application/x-www-form-urlencoded; charset=utf-16",
            "",
        )
    )
    return client.post(form.action, content=body, headers={"content-type": kind})


@pytest.mark.parametrize("part", range(PARTS))
def test_no_hostile_post_breaks_the_program_or_loses_an_entry(
    client: TestClient, garden: Garden, forms: list[Form], part: int
) -> None:
    rng = random.Random(part)
    sorts = list(_sorts(forms, client).values())
    before = {entry.id for entry in garden.entries()}
    acknowledged: set[str] = set()
    statuses: Counter[int] = Counter()
    for _ in range(POSTS // PARTS):
        form = rng.choice(rng.choice(sorts))
        answer = _post(client, form, rng)
        statuses[answer.status_code] += 1
        assert answer.status_code < 500, f"{form.action}: {answer.status_code} {answer.text[:300]}"
        assert not any(trace in answer.text for trace in TRACES), form.action
        assert "<script>alert" not in answer.text, form.action
        assert not any(sign in value for value in answer.headers.values() for sign in "\r\n")
        where = answer.headers.get("location", "")
        assert not where or (where.startswith("/") and not where.startswith("//")), where
        if urlsplit(where).path.endswith("/saved"):
            acknowledged |= set(
                _ID.findall(" ".join(parse_qs(where.partition("?")[2]).get("entry", [])))
            )
    there = {entry.id for entry in garden.entries()}
    assert before <= there and acknowledged <= there
    assert client.get("/").status_code == 200
    assert len(statuses) > 2, f"nothing but {statuses}: were these posts hostile at all?"


def test_every_form_of_the_program_is_tried(client: TestClient, forms: list[Form]) -> None:
    tried = {form.action for form in forms}
    missed = {
        route.path
        for route in _posted(client)
        if not any(route.path_regex.match(action) for action in tried)
    }
    assert {path for path in missed if not path.startswith("/api/")} == set()
