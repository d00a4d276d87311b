"""What the pages and /api answer to bad, hostile and unlucky requests.

Every answer is a sentence with a fitting status; none is a stack trace, and nothing is lost.
"""

from __future__ import annotations

import json
import logging
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest
from httpx import Response
from starlette.testclient import TestClient

from heapwright.errors import OutOfRange, ServiceProblem
from heapwright.journal.entries import new_entry_id
from heapwright.web import guards, routes_today, server
from heapwright.web.app import create_app
from heapwright.workshop.garden import Garden
from heapwright.workshop.setup import save_bin

NOW = datetime(2026, 6, 18, 15, 20, tzinfo=UTC)
HERE = "http://127.0.0.1:8055"
HOSTILE = [
    "<script>alert(1)</script>",
    "' OR 1=1 --",
    "..%2f..%2fetc%2fpasswd",
    "%00",
    "%F0%9F%8D%82",
    "%ff%fe",
    "{{7*7}}",
    "a" * 5000,
    "=HYPERLINK(0)",
    "%E2%80%AEtxet",
]
JSON = {"content-type": "application/json"}
TRACES = ("Traceback", 'File "', ".py", "site-packages", "heapwright.web")


@pytest.fixture
def garden(tmp_path: Path) -> Iterator[Garden]:
    with Garden.open(tmp_path / "garden.sqlite3", clock=lambda: NOW) as opened:
        save_bin(opened, name="Bin 1", origin="page", width_m=0.9, depth_m=0.9, height_m=0.9)
        yield opened


@pytest.fixture
def client(garden: Garden) -> TestClient:
    return TestClient(create_app(garden), base_url=HERE, raise_server_exceptions=False)


def reading(**changes: Any) -> dict[str, Any]:
    """A reading as a phone would send it."""
    return {
        "id": new_entry_id(),
        "kind": "reading",
        "at": (NOW - timedelta(hours=1)).isoformat(),
        "body": {"bin": "bin-1", "temperature_c": 55.0},
        **changes,
    }


def note(**changes: Any) -> dict[str, Any]:
    """An entry that needs no heap."""
    return reading(kind="note", body={"text": "Rain."}, **changes)


def is_calm(answer: Response) -> bool:
    """Whether an answer holds words for a person and nothing of our insides."""
    return len(answer.text) > 20 and not any(trace in answer.text for trace in TRACES)


def test_an_unknown_bin_is_named_with_those_there_are(client: TestClient) -> None:
    answer = client.get("/bins/attic")
    assert answer.status_code == 404
    assert "attic" in answer.text
    assert "Bin 1" in answer.text
    assert is_calm(answer)


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize(
    "path",
    [
        "/bins/{}",
        "/api/bins/{}",
        "/api/bins/{}/forecast",
        "/bins/{}/ready",
        "/api/bins/{}/ready",
        "/{}",
    ],
)
def test_hostile_names_are_answered_calmly(client: TestClient, path: str, text: str) -> None:
    answer = client.get(path.format(text))
    assert 400 <= answer.status_code < 500
    if answer.headers["content-type"].startswith("text/html"):
        assert "<script>alert" not in answer.text
    assert is_calm(answer)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_searches_on_good_pages_do_no_harm(client: TestClient, text: str) -> None:
    answer = client.get(f"/?bin={text}&x={text}")
    assert answer.status_code == 200
    assert "<script>alert" not in answer.text


@pytest.mark.parametrize("days", ["0", "-1", "15", "1e9", "ten", "NaN", ""])
def test_absurd_days_are_refused(client: TestClient, days: str) -> None:
    answer = client.get(f"/api/bins/bin-1/forecast?days={days}")
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    assert "days" in answer.json()["what"]


def test_an_empty_bin_has_no_forecast_and_says_why(client: TestClient) -> None:
    answer = client.get("/api/bins/bin-1/forecast")
    assert answer.status_code == 404
    assert answer.json()["detail"].startswith("Bin 1 is empty")


def test_a_defect_of_ours_is_a_calm_page_and_a_log_line(
    client: TestClient, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def breaks(garden: Garden) -> None:
        raise ZeroDivisionError("secret inside")

    monkeypatch.setattr(routes_today, "today", breaks)
    with caplog.at_level(logging.ERROR, logger="heapwright.web"):
        answer = client.get("/")
    assert answer.status_code == 500
    assert is_calm(answer)
    assert "secret inside" not in answer.text
    number = caplog.records[0].getMessage().split()[1]
    assert number in answer.text
    assert caplog.records[0].exc_info is not None


def test_a_defect_in_the_error_page_itself_still_ends_in_words(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(*given: Any, **named: Any) -> None:
        raise KeyError("template")

    monkeypatch.setattr("heapwright.web.pages.render", breaks)
    answer = client.get("/")
    assert answer.status_code == 500
    assert answer.text.startswith("Something broke inside Heapwright")


def test_a_locked_journal_is_told_as_not_just_now(client: TestClient, garden: Garden) -> None:
    holder = sqlite3.connect(garden.path, isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    try:
        answer = client.post("/api/entries", json={"entries": [note()]})
    finally:
        holder.execute("ROLLBACK")
        holder.close()
    assert answer.status_code == 503
    assert is_calm(answer)


@pytest.mark.parametrize(
    "sent",
    [
        {},
        {"entries": []},
        {"entries": "all"},
        {"entries": [reading(id="short")]},
        {"entries": [reading(id="G" * 32)]},
        {"entries": [reading(kind="confession")]},
        {"entries": [reading(at="yesterday")]},
        {"entries": [reading(at="2026-06-18T10:00:00")]},
        {"entries": [reading(at="0001-01-01T00:00:00+14:00")]},
        {"entries": [reading(body="55")]},
        {"entries": [reading(extra="field")]},
        {"entries": [reading() for _ in range(501)]},
        [],
        None,
    ],
)
def test_what_is_no_batch_of_entries_is_refused_whole(
    client: TestClient, garden: Garden, sent: Any
) -> None:
    before = len(garden.entries())
    answer = client.post("/api/entries", json=sent)
    assert answer.status_code == 422
    assert answer.json()["kept"] == "Nothing was saved."
    assert is_calm(answer)
    assert len(garden.entries()) == before


@pytest.mark.parametrize(
    "body",
    [
        {"bin": "bin-1", "temperature_c": "hot"},
        {"bin": "bin-1", "temperature_c": 640},
        {"bin": "bin-1", "temperature_c": True},
        {"bin": "bin-1", "temperature_c": 10**400},
        {"bin": "bin-1", "temperature_c": None},
        {"bin": "bin-1"},
        {"bin": ["bin-1"], "temperature_c": 55},
        {"bin": "bin-1", "temperature_c": 55, "depth_m": -3},
        {"bin": "bin-1", "temperature_c": 55, "where": "moon"},
        {"bin": "bin-1", "temperature_c": 55, "note": "\ud800"},
        {"bin": "bin-1", "temperature_c": 55, "__class__": "x"},
    ],
)
def test_a_bad_reading_is_told_and_does_not_hold_up_the_others(
    client: TestClient, garden: Garden, body: Any
) -> None:
    bad, good = reading(body=body), note()
    # Written by hand: half a surrogate pair can be sent as an escape though not as UTF-8.
    text = json.dumps({"entries": [bad, good]})
    answer = client.post("/api/entries", content=text, headers=JSON)
    assert answer.status_code == 200
    told = answer.json()
    assert [one["id"] for one in told["refused"]] == [bad["id"]]
    assert told["refused"][0]["problem"]["detail"]
    assert told["stored"] == [good["id"]]
    assert good["id"] in {entry.id for entry in garden.entries()}


def test_not_a_number_in_json_is_refused(client: TestClient) -> None:
    text = '{"entries": [{"id": "%s", "kind": "reading", "at": "2026-06-18T10:00:00Z", ' % (
        "a" * 32
    )
    text += '"body": {"bin": "bin-1", "temperature_c": NaN}}]}'
    answer = client.post("/api/entries", content=text, headers={"content-type": "application/json"})
    assert answer.status_code in (200, 422)
    assert answer.status_code == 422 or answer.json()["refused"]
    assert is_calm(answer)


@pytest.mark.parametrize("text", [b"", b"{", b"\xff\xfe", b'\x16"\xb7\t|', b"[" * 5000])
def test_what_is_no_json_is_refused(client: TestClient, text: bytes) -> None:
    answer = client.post("/api/entries", content=text, headers={"content-type": "application/json"})
    assert answer.status_code == 422
    assert is_calm(answer)


def test_the_same_entry_sent_again_is_there_once(client: TestClient, garden: Garden) -> None:
    sent = {"entries": [note(), note()]}
    first = client.post("/api/entries", json=sent).json()
    again = client.post("/api/entries", json=sent).json()
    ids = [entry["id"] for entry in sent["entries"]]
    assert first["stored"] == ids
    assert again["stored"] == []
    assert again["already_there"] == ids
    assert sum(entry.id in ids for entry in garden.entries()) == 2


def test_an_entry_that_no_longer_fits_is_kept_and_told(client: TestClient, garden: Garden) -> None:
    """A reading that waited in a phone while the bin was emptied is never lost."""
    late = reading()
    answer = client.post("/api/entries", json={"entries": [late]})
    assert answer.json()["stored"] == [late["id"]]
    assert late["id"] in {entry.id for entry in garden.entries()}
    assert garden.state().problems


@pytest.mark.parametrize("host", ["evil.example", "evil.example:8055", "127.0.0.1.evil", "", "[x"])
def test_another_name_for_this_machine_is_refused(client: TestClient, host: str) -> None:
    answer = client.get("/", headers={"host": host})
    assert answer.status_code == 421
    assert "Bin 1" not in answer.text
    assert is_calm(answer)


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_another_sites_page_cannot_write(
    client: TestClient, garden: Garden, headers: dict[str, str]
) -> None:
    before = len(garden.entries())
    answer = client.post("/api/entries", json={"entries": [note()]}, headers=headers)
    assert answer.status_code == 403
    assert len(garden.entries()) == before
    assert client.post("/start-demo", headers=headers).status_code == 403


def test_our_own_page_can_write(client: TestClient) -> None:
    for headers in ({"origin": HERE}, {"sec-fetch-site": "same-origin"}, {}):
        answer = client.post("/api/entries", json={"entries": [note()]}, headers=headers)
        assert answer.status_code == 200


def test_too_much_at_once_is_refused_whether_or_not_it_says_its_size(client: TestClient) -> None:
    much = b"x" * (guards.LARGEST_BODY_BYTES + 1)
    told = client.post("/api/entries", content=much, headers=JSON)
    untold = client.post("/api/entries", content=iter([much[:70_000]] * 300), headers=JSON)
    for answer in (told, untold):
        assert answer.status_code == 413
        assert "16 MB" in answer.json()["detail"]


def test_every_answer_carries_the_headers_that_guard_it(client: TestClient) -> None:
    for path in ("/", "/nothing", "/api/today", "/static/x/heapwright.css"):
        headers = client.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"


def test_pages_have_no_script_or_style_in_them(client: TestClient) -> None:
    for path in ("/", "/bins/bin-1", "/nothing"):
        page = client.get(path).text
        assert " style=" not in page
        assert "<style" not in page
        assert "<script>" not in page


def test_files_are_kept_only_under_their_own_version(client: TestClient) -> None:
    page = client.get("/").text
    address = page.split('rel="stylesheet" href="')[1].split('"')[0]
    assert "immutable" in client.get(address).headers["cache-control"]
    old = address.replace(address.split("/")[2], "000000000000")
    assert client.get(old).headers["cache-control"] == "no-cache"


@pytest.mark.parametrize("path", ["/static/x/../../app.py", "/static/x/%2e%2e/%2e%2e/app.py"])
def test_nothing_but_static_files_is_served(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert "create_app" not in answer.text


def test_a_method_a_page_does_not_know_is_said(client: TestClient) -> None:
    answer = client.delete("/api/today")
    assert answer.status_code == 405
    assert answer.headers["allow"] == "GET"
    assert "DELETE" in answer.json()["detail"]


def test_the_demo_is_not_offered_nor_mixed_into_a_journal_that_holds_something(
    client: TestClient, tmp_path: Path
) -> None:
    answer = client.post("/start-demo")
    assert answer.status_code == 409
    assert is_calm(answer)
    with Garden.open(tmp_path / "noted.sqlite3", clock=lambda: NOW) as noted:
        other = TestClient(create_app(noted), base_url=HERE)
        assert "/start-demo" in other.get("/").text
        other.post("/api/entries", json={"entries": [note()]})
        assert "/start-demo" not in other.get("/").text


def test_the_document_tells_every_mistake_as_a_problem(client: TestClient) -> None:
    document = client.get("/api/openapi.json").json()
    for path, operations in document["paths"].items():
        assert path.startswith("/api/")
        for operation in operations.values():
            mistakes = {code for code in operation["responses"] if code[0] in "45"}
            assert "503" in mistakes
            for code in mistakes:
                assert list(operation["responses"][code]["content"]) == ["application/problem+json"]
    assert "ValidationError" not in str(document)


def test_an_export_can_be_read_back(client: TestClient, garden: Garden, tmp_path: Path) -> None:
    from heapwright.workshop.transfer import import_journal

    client.post("/api/entries", json={"entries": [note()]})
    told = client.get("/api/export/journal.json")
    assert "attachment" in told.headers["content-disposition"]
    with Garden.open(tmp_path / "other.sqlite3", clock=lambda: NOW) as other:
        import_journal(other, told.content)
        assert other.state() == garden.state()
    assert client.get("/api/export/readings.csv").headers["content-type"].startswith("text/csv")


def test_a_port_in_use_is_said_with_what_to_do() -> None:
    with server.take_port(0) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(ServiceProblem) as caught:
            server.take_port(port)
    assert f"Port {port} is in use" in caught.value.sentence()
    assert "--port" in caught.value.sentence()


@pytest.mark.parametrize("port", [-1, 65536, 10**9])
def test_a_port_that_cannot_be_is_refused(port: int) -> None:
    with pytest.raises(OutOfRange, match="65535"):
        server.take_port(port)


def test_a_taken_port_leaves_the_journal_alone(tmp_path: Path) -> None:
    journal = tmp_path / "garden.sqlite3"
    with server.take_port(0) as taken, pytest.raises(ServiceProblem):
        server.serve(journal, port=taken.getsockname()[1])
    assert not journal.exists()


def test_the_program_starts_answers_and_stops_without_a_trace(tmp_path: Path) -> None:
    """A whole process: the stop key ends it quietly, and the journal is there."""
    journal = tmp_path / "garden.sqlite3"
    start = (
        "import sys; from pathlib import Path; from heapwright.web.server import serve; "
        "serve(Path(sys.argv[1]), port=0, on_ready=lambda at: print(at, flush=True))"
    )
    command = [sys.executable, "-c", start, str(journal)]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as program:
        assert program.stdout is not None
        assert program.stderr is not None
        address = program.stdout.readline().strip()
        assert address.startswith("http://127.0.0.1:")
        assert "Heapwright" in httpx.get(address, timeout=60).text
        program.send_signal(signal.SIGINT)
        told = program.stderr.read()
        assert program.wait(timeout=60) == 0
    assert told == ""
    assert journal.exists()
