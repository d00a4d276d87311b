"""Photos that cannot be kept, sent by the form: a sentence beside the field, all else kept."""

from __future__ import annotations

import io
import os
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from heapwright.errors import StoreProblem, UnreadableFile
from heapwright.journal.entries import EntryKind
from heapwright.journal.photo_store import PhotoStore
from heapwright.journal.photo_zip import PhotoZip
from heapwright.journal.store import Journal
from heapwright.web.app import create_app
from heapwright.workshop import setup
from heapwright.workshop.build import record_build
from heapwright.workshop.garden import Garden
from heapwright.workshop.stock import add_lot, stock
from heapwright.workshop.transfer import export_journal, import_journal
from tests import photo_samples

NOW = datetime(2026, 6, 10, 15, 0, tzinfo=UTC)


@pytest.fixture
def garden(tmp_path: Path):
    with Garden.open(tmp_path / "garden.heapwright", lambda: NOW) as opened:
        setup.settings(opened, origin="page", name="Test", climate="tucson")
        setup.save_bin(
            opened, name="Left", origin="page", width_m=0.92, depth_m=0.92, height_m=0.92
        )
        add_lot(opened, material="straw", container="wheelbarrow", count=4, origin="page")
        counts = {line.lot.key: 3 for line in stock(opened)}
        at = NOW - timedelta(days=5)
        record_build(opened, "left", counts, 30.0, "First", at=at, origin="page")
        yield opened


@pytest.fixture
def client(garden: Garden) -> TestClient:
    return TestClient(create_app(garden), base_url="http://127.0.0.1", follow_redirects=False)


def send(
    client: TestClient, data: bytes, name: str = "IMG_1.jpg", kind: str = "image/jpeg", **more
):
    return client.post(
        "/log",
        data={"bin": "left", "note": "steaming", "entry_id": "ab" * 16} | more,
        files={"photo": (name, data, kind)},
    )


@pytest.mark.parametrize(
    "data, said",
    [
        (b"not a picture", "no photo that can be shown"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", "no photo that can"),
        (photo_samples.jpeg()[:1000], "no photo that can be shown"),
        (photo_samples.bomb(), "far too many points"),
        (photo_samples.jpeg() + b"\0" * 15_100_000, "MB large"),
    ],
    ids=["text", "drawing", "truncated", "bomb", "15-MB"],
)
def test_a_photo_that_cannot_be_kept_is_told_beside_its_field(
    client: TestClient, garden: Garden, data: bytes, said: str
) -> None:
    before = garden.entries()
    answer = send(client, data, temperature="131")
    assert answer.status_code == 422
    beside = answer.text[answer.text.index('id="field-photo-wrong"') :][:400]
    assert said in beside
    assert ">\nsteaming</textarea>" in answer.text
    assert 'value="131"' in answer.text
    assert garden.entries() == before
    assert garden.photos.names() == frozenset()


def test_a_bad_photo_is_told_before_the_question_about_the_reading(
    client: TestClient, garden: Garden
) -> None:
    answer = send(client, b"no picture", temperature="158", unit="C")
    assert answer.status_code == 422
    assert 'id="field-photo-wrong"' in answer.text


def test_what_is_larger_than_any_form_may_be_is_told(client: TestClient, garden: Garden) -> None:
    before = garden.entries()
    answer = send(client, photo_samples.jpeg() + b"\0" * 20_000_000)
    assert answer.status_code == 413
    assert "larger than 16 MB" in answer.text
    assert garden.entries() == before


def test_a_photo_of_an_empty_bin_is_held_with_the_mistake(
    client: TestClient, garden: Garden
) -> None:
    setup.save_bin(garden, name="Right", origin="page", width_m=0.9, depth_m=0.9, height_m=0.9)
    answer = send(client, photo_samples.jpeg(), bin="right")
    assert answer.status_code == 422
    assert "Right is empty" in answer.text
    assert "The photo is kept" in answer.text


def test_a_name_of_a_photo_that_is_not_held_is_told(client: TestClient, garden: Garden) -> None:
    data = {"bin": "left", "note": "steaming", "photo_held": "../../etc/passwd"}
    answer = client.post("/log", data=data)
    assert answer.status_code == 422
    assert "The photo that waited for this form is gone" in answer.text
    assert "passwd" not in answer.text


def test_a_full_disk_stores_neither_photo_nor_reading_and_keeps_the_form(
    client: TestClient, garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_args, **_named):
        raise StoreProblem("The disk is full", instead="Make room and save again")

    before = garden.entries()
    monkeypatch.setattr(Journal, "append", full)
    monkeypatch.setattr(PhotoStore, "hold", full)
    answer = send(client, photo_samples.jpeg(), temperature="131")
    assert answer.status_code in (422, 503)
    assert "The disk is full" in answer.text
    assert 'value="131"' in answer.text
    assert garden.entries() == before
    assert garden.photos.names() == frozenset()


# Files brought in.


def packed(members: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as package:
        for name, data in members.items():
            package.writestr(name, data)
    return out.getvalue()


@pytest.mark.parametrize(
    "data",
    [
        b"PK\x03\x04 broken",
        packed({"other.txt": b"x"}),
        packed({"journal.json": b"not json"}),
    ],
    ids=["broken", "other", "no-journal"],
)
def test_a_zip_that_is_no_export_is_told(garden: Garden, data: bytes) -> None:
    with pytest.raises(UnreadableFile):
        import_journal(garden, data)


def damaged_anywhere() -> Iterator[bytes]:
    """Yield a packed journal with one byte turned round, one place after the other."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("journal.json", '{"heapwright-journal": 1, "entries": []}' * 3)
    whole = out.getvalue()
    for place in range(len(whole)):
        for bits in (0x01, 0xFF):
            yield whole[:place] + bytes((whole[place] ^ bits,)) + whole[place + 1 :]


def test_a_zip_damaged_anywhere_is_read_or_told_in_a_sentence() -> None:
    told = 0
    for data in damaged_anywhere():
        try:
            PhotoZip(io.BytesIO(data)).journal()
        except UnreadableFile:
            told += 1  # any other error fails the test
    assert told > 100


def test_a_zip_with_altered_strange_and_unnamed_files_brings_only_what_is_sound(
    client: TestClient, garden: Garden, tmp_path: Path
) -> None:
    send(client, photo_samples.jpeg())
    entry = next(e for e in garden.entries() if e.kind is EntryKind.PHOTO)
    sha256 = str(entry.body["sha256"])
    kept = garden.photos.jpeg(sha256) or b""
    data = packed(
        {
            "journal.json": export_journal(garden).encode(),
            "../../outside.jpg": kept,
            "photos/../../outside.jpg": kept,
            f"photos/{'0' * 64}.jpg": kept,
            f"photos/{sha256}.jpg": kept[:-10] + b"\0" * 10,
        }
    )
    with Garden.open(tmp_path / "new" / ".." / "other.heapwright") as other:
        done = import_journal(other, data)
        assert done.photos == 0
        assert len(done.problems) == 1
        assert "was altered" in done.problems[0]
        assert other.entries() == garden.entries()
        assert other.photos.names() == frozenset()
    assert not any("outside" in name for _, _, names in os.walk(tmp_path) for name in names)


@pytest.mark.parametrize("path", ["/photos/x", "/photos/x/picture.jpg", "/photos/%2e%2e/small.jpg"])
def test_an_address_of_no_photo_is_not_found(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404
