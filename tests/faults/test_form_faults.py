"""What people and programs send into the forms that cannot be: a sentence, a 4xx, nothing lost."""

from __future__ import annotations

import html
import itertools
import re
import shutil
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from heapwright.errors import StoreProblem, UnreadableFile
from heapwright.journal.entries import EntryKind
from heapwright.web import routes_setup
from heapwright.web.app import create_app
from heapwright.web.import_form import LARGEST_LOG_BYTES, pack, unpack
from heapwright.workshop import build, setup, stock
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log

HERE = "http://127.0.0.1"
NOW = datetime(2026, 6, 10, 15, 0, tzinfo=UTC)
TYPED = Path(__file__).parent / "data" / "thermometer-typed.csv"
BASE_ID = "0123456789abcdef" * 2
FORMS = [
    "/log",
    "/log/undo",
    "/build/right",
    "/stock",
    "/stock/gone",
    "/import",
    "/import/journal",
    "/setup",
    "/setup/bins",
    "/setup/bins/left",
    "/setup/containers",
    "/bins/left/ready",
    "/bins/left/screen",
]


@pytest.fixture(scope="module")
def journal(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The journal of a garden with a heap in its left bin, an empty one, and leaves on hand."""
    path = tmp_path_factory.mktemp("forms") / "garden.heapwright"
    with Garden.open(path, lambda: NOW) as opened:
        setup.settings(
            opened, origin="page", name="Test garden", climate="tucson", time_zone="America/Phoenix"
        )
        for name in ("Left", "Right"):
            setup.save_bin(
                opened, name=name, origin="page", width_m=0.92, depth_m=0.92, height_m=0.92
            )
        stock.add_lot(opened, material="straw", container="wheelbarrow", count=4, origin="page")
        stock.add_lot(
            opened, material="grass clippings", container="wheelbarrow", count=3, origin="page"
        )
        counts = {line.lot.key: line.lot.count for line in stock.stock(opened)}
        build.record_build(
            opened, "left", counts, 30.0, "First", at=NOW - timedelta(days=5), origin="page"
        )
        stock.add_lot(
            opened, material="shredded leaves", container="39 gal leaf bag", count=6, origin="page"
        )
    return path


@pytest.fixture
def garden(journal: Path, tmp_path: Path) -> Iterator[Garden]:
    """That garden, to be written in."""
    copy = tmp_path / "garden.heapwright"
    shutil.copy(journal, copy)
    seconds = itertools.count(1)  # later than anything the journal holds
    with Garden.open(copy, lambda: NOW + timedelta(seconds=next(seconds))) as opened:
        yield opened


@pytest.fixture
def client(garden: Garden) -> TestClient:
    return TestClient(
        create_app(garden), base_url=HERE, raise_server_exceptions=False, follow_redirects=False
    )


def leaves(garden: Garden) -> str:
    """The key of the lot of leaves."""
    return stock.stock(garden)[0].lot.key


def words(page: str) -> str:
    """A page's text as a person reads it."""
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))


def beside(page: str, field: str) -> str:
    """The sentence that stands beside a field."""
    found = re.search(
        rf'id="[^"]*field-{re.escape(field)}-wrong">.*?<span>(.*?)</span>', page, re.S
    )
    assert found, f"no sentence beside {field}"
    return html.unescape(found[1])


def readings(garden: Garden) -> int:
    return sum(entry.kind is EntryKind.READING for entry in garden.entries())


# ---- Log ----


@pytest.mark.parametrize(
    "fields, wrong, sentence",
    [
        ({"temperature": "hot"}, "temperature", '"hot" is not a number'),
        ({"temperature": "640"}, "temperature", "640 °F"),
        ({"temperature": "1" + "0" * 400}, "temperature", "letters long"),
        ({"temperature": "1e400"}, "temperature", "No heap holds that much"),
        ({"temperature": "10^400"}, "temperature", "not a number"),
        ({"temperature": "=1+1"}, "temperature", "not a number"),
        ({"temperature": "58 K"}, "temperature", "Kelvin"),
        ({"temperature": "12\x0034"}, "temperature", "no letter"),
        ({"temperature": "130", "depth_other": "9 ft"}, "depth_other", "lies between"),
        ({"temperature": "130", "where": "moon"}, "where", '"moon" is not known'),
        ({"water": "-3", "water_unit": "pail"}, "water", "lies between 0"),
        ({"water": "3", "water_unit": "bathtub"}, "water", "no unit of water"),
        ({"water": "30", "water_unit": "hose"}, "water", "not known yet"),
        ({"water": "1,500", "water_unit": "L"}, "water", "1500 or as 1.5"),
        ({"squeeze": "slimy"}, "squeeze", '"slimy" is not known'),
        ({"pests": "dragons"}, "pests", '"dragons" is not known'),
        ({"turned": "move"}, "to_bin", "moved to is missing"),
        ({"turned": "move", "to_bin": "left"}, "to_bin", "the bin it was in"),
        ({"taken": "some"}, "taken_amount", "is missing"),
        ({"taken": "some", "taken_amount": "-3 pails"}, "taken_amount", "more than nothing"),
        ({"taken": "some", "taken_amount": "3 kg"}, "taken_amount", "is a weight"),
        ({"note": "x" * 1_000_000}, "note", "1000000 letters long"),
        ({"note": "bell\x07"}, "note", "no letter"),
        ({"temperature": "130", "at": "2031-01-01T08:00"}, "at", "has not come yet"),
        ({"temperature": "130", "at": "1066-10-14T08:00"}, "at", "The year 1066"),
        ({"temperature": "130", "at": "yesterday"}, "at", "not a date and time"),
        ({"temperature": "130", "at": "0001-01-01T00:00"}, "at", "The year 1"),
    ],
)
def test_log_says_beside_the_field_what_cannot_be_and_keeps_the_rest(
    client: TestClient, garden: Garden, fields: dict[str, str], wrong: str, sentence: str
) -> None:
    before = garden.entries()
    kept = {"bin": "left", "note": "steaming & <b>warm</b>", "smell": "earthy"}
    answer = client.post("/log", data=kept | fields)
    assert answer.status_code == 422
    assert sentence in beside(answer.text, wrong)
    if "note" not in fields:
        assert "steaming &amp; &lt;b&gt;warm&lt;/b&gt;" in answer.text
    assert re.search(r'name="smell" value="earthy"[^>]* checked', answer.text)
    assert answer.text.count("autofocus") == 1
    assert garden.entries() == before


def test_log_without_a_bin_or_with_one_that_is_gone_asks_for_it(client: TestClient) -> None:
    for key in ("", "nowhere", "\x00", "left/../right"):
        answer = client.post("/log", data={"bin": key, "temperature": "130", "note": "kept"})
        assert answer.status_code == 422
        assert "Tap the bin" in beside(answer.text, "bin")
        assert 'value="130"' in answer.text
        assert "kept" in answer.text


def test_log_of_nothing_says_what_to_fill_in(client: TestClient) -> None:
    answer = client.post("/log", data={"bin": "left"})
    assert answer.status_code == 422
    assert "Nothing is filled in yet" in words(answer.text)


def test_log_of_a_heap_in_an_empty_bin_is_refused_but_a_note_is_kept(
    client: TestClient, garden: Garden
) -> None:
    answer = client.post("/log", data={"bin": "right", "temperature": "130"})
    assert answer.status_code == 422
    assert "Right is empty" in beside(answer.text, "bin")
    assert client.post("/log", data={"bin": "right", "note": "a board fell"}).status_code == 303
    assert garden.state().notes[-1].body == {"text": "a board fell", "bin": "right"}


@pytest.mark.parametrize(
    "fields, question, meant",
    [
        ({"temperature": "158", "unit": "C"}, "158 °C?", "158 °F (70 °C)"),
        ({"temperature": "158C", "unit": "F"}, "158 °C?", "158 °F (70 °C)"),
        ({"temperature": "58", "unit": "F"}, "58 °F?", "58 °C (136 °F)"),
        ({"temperature": "190", "unit": "F"}, "hot enough to scorch", "Yes, it reads 190 °F"),
        ({"temperature": "5", "unit": "C"}, "5 °C?", "Yes, it reads 5 °C"),
    ],
)
def test_log_asks_about_the_improbable_before_anything_is_kept(
    client: TestClient, garden: Garden, fields: dict[str, str], question: str, meant: str
) -> None:
    body = {"bin": "left", "temperature_c": 58.0}
    log(garden, EntryKind.READING, body, at=NOW - timedelta(hours=20), origin="page")
    answer = client.post("/log", data={"bin": "left", "squeeze": "drops", **fields})
    assert answer.status_code == 422
    assert question in words(answer.text)
    assert meant in words(answer.text)
    assert '<input type="hidden" name="squeeze" value="drops">' in answer.text
    assert readings(garden) == 1


def test_log_takes_the_answer_to_its_question(client: TestClient, garden: Garden) -> None:
    sent = {"bin": "left", "temperature": "158", "unit": "C", "sure": "F", "squeeze": "drops"}
    assert client.post("/log", data=sent).status_code == 303
    kinds = [entry.kind for entry in garden.entries()[-2:]]
    assert kinds == [EntryKind.READING, EntryKind.LOOK]
    assert garden.entries()[-2].body["temperature_c"] == pytest.approx(70.0)


def test_log_goes_back_to_the_filled_form_when_the_answer_is_neither(client: TestClient) -> None:
    sent = {"bin": "left", "temperature": "158", "unit": "C", "back_to_form": "yes", "note": "mine"}
    answer = client.post("/log", data=sent)
    assert answer.status_code == 200
    assert 'value="158"' in answer.text
    assert "mine" in answer.text


def test_log_sent_twice_stores_once(client: TestClient, garden: Garden) -> None:
    sent = {"bin": "left", "temperature": "137", "squeeze": "dry", "entry_id": BASE_ID}
    first = client.post("/log", data=sent)
    before = garden.entries()
    second = client.post("/log", data=sent)
    assert first.status_code == second.status_code == 303
    assert garden.entries() == before
    assert "again=1" in second.headers["location"]


def test_log_changed_and_sent_again_stores_what_was_changed(
    client: TestClient, garden: Garden
) -> None:
    sent = {"bin": "left", "temperature": "137", "entry_id": BASE_ID}
    client.post("/log", data=sent)
    client.post("/log", data=sent | {"temperature": "138"})
    assert readings(garden) == 2


def test_log_sent_by_two_taps_at_once_stores_once(client: TestClient, garden: Garden) -> None:
    sent = {"bin": "left", "temperature": "137", "cover": "tarp", "entry_id": BASE_ID}
    answers: list[int] = []
    ready = threading.Barrier(4)

    def tap() -> None:
        ready.wait()
        answers.append(client.post("/log", data=sent).status_code)

    taps = [threading.Thread(target=tap) for _ in range(4)]
    for one in taps:
        one.start()
    for one in taps:
        one.join()
    assert answers == [303] * 4
    assert readings(garden) == 1
    assert sum(entry.kind is EntryKind.COVER for entry in garden.entries()) == 1


def test_log_makes_its_own_id_when_the_form_brings_nonsense(
    client: TestClient, garden: Garden
) -> None:
    sent = {"bin": "left", "temperature": "137", "entry_id": "<script>"}
    assert client.post("/log", data=sent).status_code == 303
    assert re.fullmatch(r"[0-9a-f]{32}", garden.entries()[-1].id)


def test_log_of_letters_in_another_encoding_is_asked_for_again(
    client: TestClient, garden: Garden
) -> None:
    before = garden.entries()
    answer = client.post(
        "/log",
        content=b"bin=left&note=W%E4rme",  # ä as Latin-1 sends it
        headers={"content-type": "application/x-www-form-urlencoded"},
    )
    assert answer.status_code == 422
    assert "cannot be read" in beside(answer.text, "note")
    assert garden.entries() == before


def test_log_from_another_site_is_refused(client: TestClient, garden: Garden) -> None:
    before = garden.entries()
    answer = client.post(
        "/log",
        data={"bin": "left", "temperature": "137"},
        headers={"origin": "https://elsewhere.example"},
    )
    assert answer.status_code == 403
    assert garden.entries() == before


def test_log_keeps_the_form_when_the_journal_cannot_be_written(
    client: TestClient, garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any, **__: Any) -> None:
        raise StoreProblem("The disk is full", instead="Make room and save again")

    monkeypatch.setattr(Garden, "append", full)
    answer = client.post("/log", data={"bin": "left", "temperature": "137", "note": "mine"})
    assert answer.status_code == 503
    assert "The disk is full" in words(answer.text)
    assert 'value="137"' in answer.text
    assert "mine" in answer.text


def test_undo_goes_back_only_to_our_own_pages(client: TestClient, garden: Garden) -> None:
    client.post("/log", data={"bin": "left", "temperature": "137"})
    entry = garden.entries()[-1].id
    for there in ("https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example", "x"):
        answer = client.post("/log/undo", data={"entry_id": entry, "back": there})
        assert answer.status_code == 303
        assert answer.headers["location"] == f"/log/undone?entry={entry}&back=%2F"
        page = client.get(f"/log/undone?entry={entry}&back={there}")
        assert "elsewhere" not in page.text
    assert client.post("/log/undo", data={"entry_id": "f" * 32}).status_code == 404


def test_undo_twice_is_one_undo_and_can_be_brought_back(client: TestClient, garden: Garden) -> None:
    client.post("/log", data={"bin": "left", "temperature": "137"})
    entry = garden.entries()[-1].id
    for _ in range(2):
        client.post("/log/undo", data={"entry_id": entry, "back": "/"})
    assert sum(one.kind is EntryKind.UNDO for one in garden.entries()) == 1
    assert garden.readings_of_bin("left") == ()
    client.post("/log/undo", data={"entry_id": entry, "bring_back": "yes"})
    assert len(garden.readings_of_bin("left")) == 1


# ---- Build ----


def build_form(garden: Garden, **changes: str) -> dict[str, str]:
    usual = {f"took.{leaves(garden)}": "2", "water": "5", "water_unit": "gal", "name": "Second"}
    return usual | changes


@pytest.mark.parametrize(
    "changes, wrong, sentence",
    [
        ({"took": "-3"}, "took", "-3 39 gal leaf bags"),
        ({"took": "7"}, "took", "6 are left"),
        ({"took": "many"}, "took", "not a number"),
        ({"took": "0"}, "", "No container of anything went in"),
        ({"water": "-1"}, "water", "lies between 0"),
        ({"name": ""}, "name", "is missing"),
        ({"name": "n" * 100}, "name", "100 letters long"),
        ({"cover": "blanket"}, "cover", "not known"),
        ({"at": "2031-01-01T08:00"}, "at", "has not come yet"),
    ],
)
def test_build_says_what_cannot_be_and_keeps_the_rest(
    client: TestClient, garden: Garden, changes: dict[str, str], wrong: str, sentence: str
) -> None:
    took = f"took.{leaves(garden)}"
    named = {took if name == "took" else name: text for name, text in changes.items()}
    before = garden.entries()
    answer = client.post("/build/right", data=build_form(garden, **named))
    assert answer.status_code == 422
    field = {"took": took.replace(".", "-"), "": "took"}.get(wrong, wrong)
    assert sentence in beside(answer.text, field)
    assert garden.entries() == before


def test_build_where_a_heap_stands_is_refused_in_words(client: TestClient, garden: Garden) -> None:
    before = garden.entries()
    answer = client.post("/build/left", data=build_form(garden))
    assert answer.status_code == 422
    assert "First stands" in words(answer.text)
    assert 'value="Second"' in answer.text
    assert garden.entries() == before


def test_build_sent_twice_is_one_heap(client: TestClient, garden: Garden) -> None:
    sent = build_form(garden, entry_id=BASE_ID)
    first = client.post("/build/right", data=sent)
    assert first.status_code == 303
    assert client.post("/build/right", data=sent).headers["location"].endswith("again=1")
    assert len(garden.state().batches) == 2
    assert stock.stock(garden)[0].lot.left == 4


def test_build_of_a_bin_that_is_not_there_is_404(client: TestClient) -> None:
    for path in ("/build/nowhere", "/build/nowhere/sheet", "/build/%00", "/build/" + "x" * 100):
        assert client.get(path).status_code in (404, 422)


def test_build_of_nonsense_wishes_still_answers(client: TestClient, garden: Garden) -> None:
    key = leaves(garden)
    for asked in (
        f"keep.{key}=-3",
        f"keep.{key}=many",
        "keep.gone=2",
        "use=gone",
        f"keep.{key}=99",
    ):
        assert client.get(f"/build/right?{asked}").status_code == 200


# ---- Stock ----


@pytest.mark.parametrize(
    "changes, wrong, sentence",
    [
        ({"material": ""}, "material", "is missing"),
        ({"material": "unobtainium"}, "material", "No material called"),
        ({"material": "meat"}, "material", "must not go into a home heap"),
        ({"material": "treated sawdust"}, "material", "must not go into a home heap"),
        ({"material": "x" * 5000}, "material", "5000 letters long"),
        ({"count": "-3"}, "count", "Only whole containers count"),
        ({"count": "2.5"}, "count", "Only whole containers count"),
        ({"count": "0"}, "count", "None of it"),
        ({"count": "1" + "0" * 400}, "count", "letters long"),
        ({"count": "99999"}, "count", "lies between"),
        ({"container": "moon"}, "container", "No container is called"),
        ({"own_name": "tub"}, "own_volume", "is missing"),
        ({"own_volume": "40 L"}, "own_name", "has no name"),
        ({"own_name": "tub", "own_volume": "40 kg"}, "own_volume", "is not a unit of volume"),
        ({"own_name": "tub", "own_volume": "400 m3"}, "own_volume", "lies between"),
        ({"keep_back": "9"}, "keep_back", "There are only 3"),
        ({"packing": "squashed?"}, "packing", "not known"),
        (
            {"pail_full": "2", "pail_empty": "5", "pail": "5-gallon pail"},
            "pail_full",
            "must weigh more than the empty",
        ),
        ({"pail_full": "20"}, "pail_empty", "is missing"),
        ({"lab_moisture": "640 %"}, "lab_moisture", "Did you mean 64 %?"),
        ({"lab_nitrogen": "101"}, "lab_nitrogen", "between 0 and 100 %"),
        ({"lab_nitrogen": "20", "lab_c_to_n": "30"}, "lab_c_to_n", "cannot be more than the whole"),
        ({"lab_c_to_n": "30"}, "lab_nitrogen", "C:N alone"),
        ({"at": "2031-01-01T08:00"}, "at", "has not come yet"),
    ],
)
def test_stock_says_what_cannot_be_and_keeps_the_rest(
    client: TestClient, garden: Garden, changes: dict[str, str], wrong: str, sentence: str
) -> None:
    before = garden.entries()
    usual = {"material": "straw", "count": "3", "container": "5-gallon pail", "fullness": "half"}
    answer = client.post("/stock", data=usual | changes)
    assert answer.status_code == 422
    assert sentence in beside(answer.text, wrong)
    assert '<option value="half" selected>' in answer.text
    assert garden.entries() == before


def test_stock_offers_what_unclear_words_may_mean(client: TestClient, garden: Garden) -> None:
    usual = {"material": "manure", "count": "3", "container": "5-gallon pail"}
    answer = client.post("/stock", data=usual)
    assert answer.status_code == 422
    offered = re.findall(r'name="material_is" value="([^"]+)"', answer.text)
    assert len(offered) > 1
    taken = client.post("/stock", data=usual | {"material_is": offered[0]})
    assert taken.status_code == 303
    assert garden.entries()[-1].body["material_key"] == offered[0]


def test_stock_tells_why_a_thing_is_refused_and_what_to_do_instead(client: TestClient) -> None:
    sent = {"material": "dog poo", "count": "1", "container": "5-gallon pail"}
    sentence = beside(client.post("/stock", data=sent).text, "material")
    assert "must not go into a home heap" in sentence
    assert sentence.count(".") >= 3


def test_stock_gone_is_no_more_than_is_left(client: TestClient, garden: Garden) -> None:
    key = leaves(garden)
    for count in ("7", "-1", "all", ""):
        answer = client.post("/stock/gone", data={"lot": key, f"gone.{key}": count})
        assert answer.status_code == 422
    assert stock.stock(garden)[0].lot.left == 6
    sent = {"lot": key, f"gone.{key}": "2", "entry_id": BASE_ID}
    for _ in range(2):
        assert client.post("/stock/gone", data=sent).status_code == 303
    assert stock.stock(garden)[0].lot.left == 4
    assert client.post("/stock/gone", data={"lot": "nowhere"}).status_code == 404


# ---- Import ----


@pytest.mark.parametrize(
    "data, sentence",
    [
        (b"", "No log was chosen"),
        (b"PK\x03\x04 a workbook", "not a CSV file"),
        (b"\x00\x01\x02\x03", "not a CSV file"),
        (b"x" * (LARGEST_LOG_BYTES + 1), "up to 4 MB"),
    ],
)
def test_import_of_what_is_no_log_says_so(client: TestClient, data: bytes, sentence: str) -> None:
    answer = client.post("/import", data={"bin": "left"}, files={"log": ("log.csv", data)})
    assert answer.status_code == 422
    assert sentence in beside(answer.text, "log")


def test_import_larger_than_the_door_is_413(client: TestClient) -> None:
    files = {"log": ("log.csv", b"x" * (17 * 1024 * 1024))}
    assert client.post("/import", data={"bin": "left"}, files=files).status_code == 413


def test_import_of_a_page_that_was_tampered_with_says_so(
    client: TestClient, garden: Garden
) -> None:
    before = garden.entries()
    for packed in ("nonsense", "%00", pack(b"x")[:-4], "=" * 50):
        answer = client.post("/import", data={"bin": "left", "packed": packed, "step": "store"})
        assert answer.status_code == 422
    assert garden.entries() == before


def test_import_does_not_swell_beyond_the_limit() -> None:
    with pytest.raises(UnreadableFile, match="up to 4 MB"):
        unpack(pack(b"0" * (LARGEST_LOG_BYTES * 20)))


def test_import_shows_first_and_stores_only_then_and_once(
    client: TestClient, garden: Garden
) -> None:
    log_text = "Date,Time,Temp (F)\n6/7/2026,7:40 am,118\n6/8/2026,8:00 am,=1+1\n6/9/2026,,131\n"
    seen = client.post("/import", data={"bin": "left"}, files={"log": ("a.csv", log_text)})
    assert seen.status_code == 200
    assert readings(garden) == 0
    assert "is a formula, not a number" in words(seen.text)
    found = re.search(r'name="packed" value="([^"]+)"', seen.text)
    assert found
    packed = html.unescape(found[1])
    for stored, known in ((2, 0), (0, 2)):
        done = client.post("/import", data={"bin": "left", "packed": packed, "step": "store"})
        assert done.status_code == 303
        assert f"stored={stored}&known={known}&bad=1" in done.headers["location"]
    assert readings(garden) == 2


def test_import_leaves_out_readings_of_times_when_nothing_stood_there(
    client: TestClient, garden: Garden
) -> None:
    log_text = "Date,Temp (F)\n2026-05-01,118\n2026-06-09,131\n"
    sent = {"bin": "left", "pasted": log_text}
    assert "nothing stood in the bin then" in words(client.post("/import", data=sent).text)
    done = client.post("/import", data=sent | {"step": "store"})
    assert "stored=1&known=0&bad=1" in done.headers["location"]
    early = {"bin": "left", "pasted": "Date,Temp (F)\n2026-05-01,118\n", "step": "store"}
    refused = client.post("/import", data=early)
    assert refused.status_code == 422
    assert "no new reading to store" in words(refused.text)


def test_import_of_columns_that_are_not_there_says_which_are(client: TestClient) -> None:
    sent = {"bin": "left", "pasted": TYPED.read_text(), "column.temperature": "Pressure"}
    answer = client.post("/import", data=sent)
    assert answer.status_code == 422
    assert "Temp (F)" in beside(answer.text, "log")


def test_journal_that_is_none_is_refused_and_one_read_back_is_stored_once(
    client: TestClient, garden: Garden
) -> None:
    for data in (b"", b"{}", b"[1, 2", "Wärme".encode("latin-1")):
        answer = client.post("/import/journal", files={"journal": ("j.json", data)})
        assert answer.status_code == 422
        assert beside(answer.text, "journal")
    exported = client.get("/export/journal.json")
    before = garden.entries()
    files = {"journal": ("j.json", exported.content)}
    assert client.post("/import/journal", files=files).status_code == 200
    assert garden.entries() == before


# ---- Garden ----


@pytest.mark.parametrize(
    "changes, wrong, sentence",
    [
        ({"name": ""}, "name", "is missing"),
        ({"time_zone": "Middle/Earth"}, "time_zone", "is not known"),
        ({"time_zone": "../../etc/passwd"}, "time_zone", "is not known"),
        ({"units": "furlongs"}, "units", "is not known"),
        ({"climate": "atlantis"}, "climate", "is not known"),
        ({"probe_depth": "hot"}, "probe_depth", "is not a length"),
        ({"probe_depth": "9 ft"}, "probe_depth", "lies between"),
        ({"hose": "0"}, "hose", "0 seconds"),
        ({"hose": "0.01"}, "hose", "No garden hose"),
        ({"hose": "-5"}, "hose", "-5 seconds"),
        ({"latitude": "91", "longitude": "0"}, "latitude", "lies between"),
        ({"latitude": "40"}, "longitude", "Longitude is missing"),
    ],
)
def test_settings_say_what_cannot_be_and_keep_the_rest(
    client: TestClient, garden: Garden, changes: dict[str, str], wrong: str, sentence: str
) -> None:
    before = garden.entries()
    usual = {"name": "Mine", "time_zone": "UTC", "units": "metric", "probe_depth": "40 cm"}
    answer = client.post("/setup", data=usual | changes)
    assert answer.status_code == 422
    assert sentence in beside(answer.text, wrong)
    assert garden.entries() == before


def test_forecast_cannot_be_switched_on_without_a_place(client: TestClient, garden: Garden) -> None:
    setup.settings(garden, origin="page", climate="")
    sent = {"name": "Mine", "time_zone": "UTC", "online_weather": "yes"}
    answer = client.post("/setup", data=sent)
    assert answer.status_code == 422
    assert "needs a place" in beside(answer.text, "latitude")
    assert garden.state().settings.online_weather is False


@pytest.mark.parametrize(
    "changes, wrong, sentence",
    [
        ({"bin_name": ""}, "bin_name", "is missing"),
        ({"bin_name": "\x00"}, "bin_name", "no letter"),
        ({"width": "wide"}, "width", "is not a length"),
        ({"width": "-3 ft"}, "width", "cannot be less than nothing"),
        ({"height": "50 m"}, "height", "lies between"),
        ({"wall": "cheese"}, "wall", "is not known"),
        ({"shade": "640 %"}, "shade", "Did you mean 64 %?"),
        ({"how_many": "0"}, "how_many", "1 to 12"),
        ({"how_many": "900"}, "how_many", "1 to 12"),
    ],
)
def test_bins_say_what_cannot_be(
    client: TestClient, garden: Garden, changes: dict[str, str], wrong: str, sentence: str
) -> None:
    before = garden.entries()
    usual = {"bin_name": "New", "width": "3 ft", "depth": "3 ft", "height": "3 ft"}
    answer = client.post("/setup/bins", data=usual | changes)
    assert answer.status_code == 422
    assert sentence in beside(answer.text, wrong)
    assert garden.entries() == before


def test_bins_sent_twice_are_made_once(client: TestClient, garden: Garden) -> None:
    sent = {"bin_name": "Row", "width": "3 ft", "depth": "3 ft", "height": "3 ft", "how_many": "3"}
    for _ in range(2):
        answer = client.post("/setup/bins", data=sent | {"entry_id": BASE_ID})
        assert answer.status_code == 303
    assert [one.name for one in garden.state().bins.values()][2:] == ["Row 1", "Row 2", "Row 3"]


def test_a_row_of_bins_that_broke_off_is_finished_when_sent_again(
    client: TestClient, garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    sent = {"bin_name": "Row", "width": "3 ft", "depth": "3 ft", "height": "3 ft", "how_many": "3"}
    sent |= {"entry_id": BASE_ID}
    made = routes_setup.save_bin
    calls = itertools.count()

    def breaks_off(*given: Any, **named: Any) -> Any:
        if next(calls) == 1:
            raise StoreProblem("The disk is full", instead="Make room and save again")
        return made(*given, **named)

    monkeypatch.setattr(routes_setup, "save_bin", breaks_off)
    assert client.post("/setup/bins", data=sent).status_code == 503
    assert client.post("/setup/bins", data=sent).status_code == 303
    assert [one.name for one in garden.state().bins.values()][2:] == ["Row 1", "Row 2", "Row 3"]


@pytest.mark.parametrize(
    "path",
    FORMS,
)
@pytest.mark.parametrize(
    "body, kind",
    [
        (b"\xff\xfe\x00garbage", "application/x-www-form-urlencoded"),
        (b"--x\r\nbroken", "multipart/form-data; boundary=x"),
        (b"", "multipart/form-data"),
        (b"a=1&" * 3000, "application/x-www-form-urlencoded"),
        (b"{}", "application/json"),
    ],
)
def test_garbled_forms_are_answered_calmly(
    client: TestClient, garden: Garden, path: str, body: bytes, kind: str
) -> None:
    before = garden.entries()
    answer = client.post(path, content=body, headers={"content-type": kind})
    assert 400 <= answer.status_code < 500
    assert "Traceback" not in answer.text
    assert garden.entries() == before
