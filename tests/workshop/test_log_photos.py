"""A photo from the form to the bin's page, back out of the journal, and into another one."""

from __future__ import annotations

import io
import json
import re
import zipfile
from datetime import timedelta
from pathlib import Path

import pytest
from PIL import Image
from starlette.testclient import TestClient

from heapwright.journal.entries import Entry, EntryKind
from heapwright.web.app import create_app
from heapwright.workshop import build, stock
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.photos import photo_day, photos_in
from heapwright.workshop.transfer import export_journal, export_with_photos, import_journal
from tests import photo_samples
from tests.workshop.conftest import NOW

ENTRY_ID = "0123456789abcdef" * 2
JPEG = photo_samples.jpeg()


@pytest.fixture
def client(garden: Garden) -> TestClient:
    """Return a browser on a garden with a heap in its left bin."""
    stock.add_lot(garden, material="straw", container="wheelbarrow", count=4, origin="page")
    counts = {line.lot.key: 3 for line in stock.stock(garden)}
    build.record_build(
        garden, "left", counts, 30.0, "First", at=NOW - timedelta(days=5), origin="page"
    )
    return TestClient(create_app(garden), base_url="http://127.0.0.1", follow_redirects=False)


def send(client: TestClient, data: bytes = JPEG, **fields: str):
    return client.post(
        "/log",
        data={"bin": "left", "entry_id": ENTRY_ID} | fields,
        files={"photo": ("IMG_1.jpg", data, "image/jpeg")},
    )


def photos(garden: Garden) -> list[Entry]:
    return [entry for entry in garden.entries() if entry.kind is EntryKind.PHOTO]


def test_a_photo_goes_in_with_the_visit(client: TestClient, garden: Garden) -> None:
    answer = send(client, temperature="131", photo_caption="Steam")
    assert answer.status_code == 303, answer.text
    (entry,) = photos(garden)
    assert entry.body == {
        "bin": "left",
        "sha256": entry.body["sha256"],
        "width": 640,
        "height": 480,
        "caption": "Steam",
    }
    assert garden.photos.names() == {entry.body["sha256"]}
    assert "Photo: Steam" in client.get(answer.headers["location"]).text


def test_the_same_form_sent_again_stores_one_photo_and_one_taken_anew_another(
    client: TestClient, garden: Garden
) -> None:
    send(client)
    assert "again=1" in send(client).headers["location"]
    assert len(photos(garden)) == 1
    send(client, photo_samples.jpeg(photo_samples.drawn(320, 240)))
    assert len(photos(garden)) == 2


def test_a_form_with_a_mistake_keeps_its_photo_until_it_is_right(
    client: TestClient, garden: Garden
) -> None:
    answer = send(client, temperature="hot")
    assert answer.status_code == 422
    assert "The photo is kept (640 × 480)" in answer.text
    (held,) = garden.photos.names()
    assert f'name="photo_held" value="{held}"' in answer.text
    assert photos(garden) == []
    again = client.post("/log", data={"bin": "left", "temperature": "131", "photo_held": held})
    assert again.status_code == 303
    (entry,) = photos(garden)
    assert entry.body["sha256"] == held


def test_a_photo_that_waits_can_be_left_out(client: TestClient, garden: Garden) -> None:
    send(client, temperature="hot")
    (held,) = garden.photos.names()
    data = {"bin": "left", "temperature": "131", "photo_held": held, "photo_without": "yes"}
    assert client.post("/log", data=data).status_code == 303
    assert photos(garden) == []


def test_the_question_about_a_reading_carries_the_photo_along(
    client: TestClient, garden: Garden
) -> None:
    answer = send(client, temperature="158", unit="C")
    assert answer.status_code == 422
    fields = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', answer.text))
    assert fields["photo_held"]
    assert client.post("/log", data=fields | {"sure": "F"}).status_code == 303
    assert len(photos(garden)) == 1


def test_a_photo_from_a_phone_that_waited_is_stored_once(
    client: TestClient, garden: Garden
) -> None:
    def waited():
        return client.post(
            "/log",
            data={"bin": "left", "entry_id": ENTRY_ID},
            files={"photo": ("heap.jpg", JPEG, "image/jpeg")},
            headers={"accept": "application/json", "heapwright-waited": "7200"},
        ).json()

    assert waited()["outcome"] == "stored"
    assert waited()["outcome"] == "there"
    (entry,) = photos(garden)
    assert entry.at == NOW - timedelta(hours=2)


def test_a_photo_is_shown_small_on_the_bin_and_large_with_its_day(
    client: TestClient, garden: Garden
) -> None:
    log(garden, EntryKind.READING, {"bin": "left", "temperature_c": 55.0}, origin="page")
    send(client, photo_caption="Steam <b>")
    (entry,) = photos(garden)
    page = client.get("/bins/left").text
    assert f'src="/photos/{entry.id}/small.jpg"' in page
    assert 'loading="lazy"' in page
    assert "Steam &lt;b&gt;, photo of" in page
    large = client.get(f"/photos/{entry.id}").text
    assert f'src="/photos/{entry.id}/picture.jpg" width="640" height="480"' in large
    assert "Read 131 °F." in large
    for name, side in (("picture", 640), ("small", 480)):
        answer = client.get(f"/photos/{entry.id}/{name}.jpg")
        assert answer.headers["content-type"] == "image/jpeg"
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["cache-control"].startswith("private")
        assert max(Image.open(io.BytesIO(answer.content)).size) == side


def test_a_photo_taken_back_is_shown_no_more_and_comes_back(
    client: TestClient, garden: Garden
) -> None:
    send(client)
    (entry,) = photos(garden)
    address = f"/photos/{entry.id}/picture.jpg"
    client.post("/log/undo", data={"entry_id": entry.id})
    assert client.get(address).status_code == 404
    assert client.get(f"/photos/{entry.id}").status_code == 404
    assert photos_in(garden, "left") == ()
    client.post("/log/undo", data={"entry_id": entry.id, "bring_back": "yes"})
    assert client.get(address).status_code == 200


def test_the_photos_of_a_heap_follow_one_another(client: TestClient, garden: Garden) -> None:
    for number in range(3):
        data = photo_samples.jpeg(photo_samples.drawn(100 + number, 100))
        client.post(
            "/log",
            data={"bin": "left", "at": f"2026-06-0{7 + number}T09:00"},
            files={"photo": ("a.jpg", data, "image/jpeg")},
        )
    row = photos_in(garden, "left")
    assert [one.width for one in row] == [100, 101, 102]
    day = photo_day(garden, row[1].entry_id)
    assert (day.before, day.after) == (row[0], row[2])
    assert day.entries == ()


def test_an_export_with_photos_fills_another_garden(
    client: TestClient, garden: Garden, tmp_path: Path
) -> None:
    send(client)
    packed = client.get("/export/journal-with-photos.zip")
    assert packed.headers["content-type"] == "application/zip"
    with Garden.open(tmp_path / "other.heapwright") as other:
        done = import_journal(other, packed.content)
        assert (done.photos, done.problems) == (1, ())
        assert other.entries() == garden.entries()
        assert photos_in(other, "left")[0].is_here
        again = import_journal(other, io.BytesIO(packed.content))
        assert (again.photos, again.answer.stored) == (0, ())


def test_a_journal_without_its_photos_says_so_until_they_come(
    client: TestClient, garden: Garden, tmp_path: Path
) -> None:
    send(client)
    (entry,) = photos(garden)
    with Garden.open(tmp_path / "other.heapwright") as other:
        import_journal(other, export_journal(garden))
        assert not photos_in(other, "left")[0].is_here
        there = TestClient(create_app(other), base_url="http://127.0.0.1")
        assert "The picture is not here" in there.get(f"/photos/{entry.id}").text
        assert there.get(f"/photos/{entry.id}/picture.jpg").status_code == 404
        out = io.BytesIO()
        assert export_with_photos(garden, out) == 1
        out.seek(0)
        assert import_journal(other, out).photos == 1
        assert there.get(f"/photos/{entry.id}/picture.jpg").status_code == 200


def test_only_photos_that_an_entry_names_go_out(client: TestClient, garden: Garden) -> None:
    send(client)
    send(client, photo_samples.jpeg(photo_samples.drawn(50, 50)), temperature="hot")
    assert len(garden.photos.names()) == 2
    out = io.BytesIO()
    export_with_photos(garden, out)
    with zipfile.ZipFile(out) as package:
        (entry,) = photos(garden)
        assert package.namelist() == ["journal.json", f"photos/{entry.body['sha256']}.jpg"]
        assert len(json.loads(package.read("journal.json"))["entries"]) == len(garden.entries())


def test_the_command_brings_a_photo_and_the_export_takes_it_along(tmp_path: Path) -> None:
    from typer.testing import CliRunner

    from heapwright.cli.app import app

    journal, photo, packed = (tmp_path / name for name in ("g.heapwright", "heap.jpg", "out.zip"))
    photo.write_bytes(JPEG)
    with Garden.open(journal) as opened:
        from heapwright.workshop import setup

        setup.save_bin(
            opened, name="Left", origin="page", width_m=0.92, depth_m=0.92, height_m=0.92
        )
        stock.add_lot(opened, material="straw", container="wheelbarrow", count=4, origin="page")
        counts = {line.lot.key: 3 for line in stock.stock(opened)}
        build.record_build(opened, "left", counts, 30.0, "First", origin="page")

    def run(*words: str, garden: Path = journal) -> str:
        answer = CliRunner().invoke(app, [*words, "--garden", str(garden)])
        assert answer.exit_code == 0, answer.output
        return answer.output

    assert "Photo: steam" in run("log", "left", "--photo", str(photo), "--note", "steam")
    assert "1 photo" in run("export", str(packed), "--photos")
    assert "1 photo" in run("import", str(packed), garden=tmp_path / "new.heapwright")
    with Garden.open(tmp_path / "new.heapwright") as other:
        assert photos_in(other, "left")[0].is_here
