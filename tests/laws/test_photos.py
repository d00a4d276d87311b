"""What is kept of a photo, and that it is kept once, whole, with its entry, in one file.

Checked with Pillow's own reader of what a file hides (EXIF, comments).
"""

from __future__ import annotations

import hashlib
import io
from datetime import timedelta
from pathlib import Path

import pytest
from PIL import Image

from heapwright.errors import StoreProblem
from heapwright.journal.connection import writing
from heapwright.journal.entries import Entry, EntryKind, new_entry_id
from heapwright.journal.picture import Photo, brought_back, limits, prepared
from heapwright.journal.store import Journal
from tests import photo_samples
from tests.laws.journal_cases import START, a_row_of_bins


def opened(data: bytes) -> Image.Image:
    image = Image.open(io.BytesIO(data))
    image.load()
    return image


def named(photo: Photo, bin_key: str = "one") -> Entry:
    body = {
        "bin": bin_key,
        "sha256": photo.sha256,
        "width": photo.width,
        "height": photo.height,
    }
    return Entry(new_entry_id(), EntryKind.PHOTO, START, body, START, origin="page")


def test_the_sample_says_where_it_was_taken() -> None:
    hidden = opened(photo_samples.jpeg()).getexif()
    assert tuple(map(float, hidden.get_ifd(0x8825)[2])) == photo_samples.LATITUDE
    assert hidden[0x010F] == photo_samples.MAKER


@pytest.mark.parametrize("which", ["jpeg", "small"])
def test_nothing_but_the_picture_is_kept_of_a_photo(which: str) -> None:
    kept = getattr(prepared(photo_samples.jpeg()), which)
    image = opened(kept)
    assert image.format == "JPEG"
    assert dict(image.getexif()) == {}
    assert dict(image.getexif().get_ifd(0x8825)) == {}
    assert {"exif", "comment", "icc_profile", "xmp"} & set(image.info) == set()
    for secret in (photo_samples.MAKER.encode(), photo_samples.COMMENT, b"Exif", b"GPS"):
        assert secret not in kept


@pytest.mark.parametrize("turned, size", [(1, (640, 480)), (3, (640, 480)), (6, (480, 640))])
def test_a_photo_taken_sideways_is_kept_upright(turned: int, size: tuple[int, int]) -> None:
    # Written so that turning it as its tag says shows the sample as it was drawn.
    back = {1: None, 3: Image.Transpose.ROTATE_180, 6: Image.Transpose.ROTATE_90}[turned]
    upright = photo_samples.drawn(*size)
    lying = upright if back is None else upright.transpose(back)
    photo = prepared(photo_samples.jpeg(lying, orientation=turned))
    assert (photo.width, photo.height) == size == opened(photo.jpeg).size
    red, _, blue = opened(photo.jpeg).getpixel((size[0] // 8, size[1] // 8))
    assert red > 150 > blue


@pytest.mark.parametrize("form", ["PNG", "WEBP"])
@pytest.mark.parametrize("mode", ["RGB", "RGBA", "P", "L", "LA", "1"])
def test_every_form_that_is_taken_becomes_a_jpeg(form: str, mode: str) -> None:
    photo = prepared(photo_samples.other(form, photo_samples.drawn().convert(mode)))
    assert opened(photo.jpeg).mode == "RGB"
    assert photo.sha256 == hashlib.sha256(photo.jpeg).hexdigest()


def test_a_large_photo_is_scaled_down_and_a_small_one_is_not_blown_up() -> None:
    most, small = int(limits()["side_px"][1]), int(limits()["small_px"][1])
    large = prepared(photo_samples.jpeg(photo_samples.drawn(4000, 3000)))
    assert (large.width, large.height) == (most, most * 3 // 4)
    assert max(opened(large.small).size) == small
    tiny = prepared(photo_samples.jpeg(photo_samples.drawn(64, 32)))
    assert (tiny.width, tiny.height) == (64, 32) == opened(tiny.small).size


def test_the_same_photo_has_the_same_name_and_comes_back_from_an_export_unchanged() -> None:
    photo = prepared(photo_samples.jpeg())
    assert prepared(photo_samples.jpeg()) == photo
    back = brought_back(photo.jpeg, photo.sha256)
    assert (back.jpeg, back.sha256, back.width, back.height) == (
        photo.jpeg,
        photo.sha256,
        photo.width,
        photo.height,
    )


def test_a_photo_is_kept_once_with_its_entry_and_outlives_the_program(tmp_path: Path) -> None:
    photo = prepared(photo_samples.jpeg())
    bins = a_row_of_bins("one").entries
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.append([*bins, named(photo)], photos=[photo])
        journal.append([named(photo)], photos=[photo, photo])
        assert journal.photos.names() == {photo.sha256}
    with Journal.open(tmp_path / "garden.db") as journal:
        assert journal.photos.find(photo.sha256) == photo
        assert journal.photos.jpeg(photo.sha256, small=True) == photo.small
        assert journal.photos.jpeg("0" * 64) is None


def test_a_backup_holds_the_photos(tmp_path: Path) -> None:
    photo = prepared(photo_samples.jpeg())
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.append([named(photo)], photos=[photo])
        copy = journal.back_up(tmp_path / "copy.db")
    with Journal.open(copy) as journal:
        assert journal.photos.find(photo.sha256) == photo


def test_a_photo_whose_form_was_never_finished_is_dropped_and_a_named_one_never(
    tmp_path: Path,
) -> None:
    one, two, three = (
        prepared(photo_samples.jpeg(photo_samples.drawn(100 + n, 100))) for n in range(3)
    )
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.photos.hold(one, START)
        journal.photos.hold(two, START)
        journal.append([named(two)])
        later = START + timedelta(hours=limits()["held_hours"][1] + 1)
        journal.photos.hold(three, later)
        assert journal.photos.names() == {two.sha256, three.sha256}


@pytest.mark.parametrize("deed", ["DELETE FROM photos", "UPDATE photos SET width = 1"])
def test_the_file_itself_refuses_to_change_a_photo_that_is_named(tmp_path: Path, deed: str) -> None:
    photo = prepared(photo_samples.jpeg())
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.append([named(photo)], photos=[photo])
        with (
            pytest.raises(StoreProblem),
            writing(journal._engine, journal.path) as connection,
        ):
            connection.exec_driver_sql(deed)
        assert journal.photos.find(photo.sha256) == photo
