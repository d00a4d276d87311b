"""Files that are no photo, or too much of one: a sentence, and nothing half-kept."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.errors import HeapwrightError, OutOfRange, StoreProblem, UnreadableFile
from heapwright.journal.connection import writing
from heapwright.journal.picture import brought_back, limits, prepared
from heapwright.journal.store import Journal
from tests import photo_samples
from tests.laws.test_photos import named

WHOLE = photo_samples.jpeg(photo_samples.drawn(320, 240))


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"no picture",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"GIF89a" + b"\0" * 50,
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n",
        WHOLE[: len(WHOLE) // 2],
        WHOLE[:200],
        photo_samples.other("PNG")[:-300],
        photo_samples.other("BMP"),
        photo_samples.other("TIFF"),
    ],
    ids=["nothing", "text", "drawing", "gif", "eps", "half", "head", "png", "bmp", "tiff"],
)
def test_what_is_no_whole_photo_is_told(data: bytes) -> None:
    with pytest.raises(UnreadableFile, match=r"no photo that can be shown.*Nothing was saved"):
        prepared(data)


@pytest.mark.parametrize("side, said", [(60_000, "far too many"), (9_000, "9000 × 9000")])
def test_a_picture_that_would_fill_the_memory_is_refused_unpacked(side: int, said: str) -> None:
    small_file = photo_samples.bomb(side, side)
    assert len(small_file) < 1000
    with pytest.raises(OutOfRange, match=rf"{said} points.*64 million"):
        prepared(small_file)


def test_a_file_that_says_less_than_it_holds_is_no_photo() -> None:
    with pytest.raises(UnreadableFile):
        prepared(photo_samples.bomb(5000, 5000))


def test_a_file_too_large_is_told_with_its_size() -> None:
    with pytest.raises(OutOfRange, match=r"20 MB large.*room for 15 MB"):
        prepared(WHOLE + b"\0" * 20_000_000)


def test_a_picture_that_shows_nothing_is_told() -> None:
    with pytest.raises(OutOfRange, match=r"shows nothing"):
        prepared(photo_samples.other("PNG", photo_samples.drawn(3, 3)))


@given(st.integers(0, len(WHOLE) - 1), st.binary(min_size=1, max_size=40))
def test_a_file_damaged_anywhere_is_a_photo_or_a_sentence(place: int, noise: bytes) -> None:
    try:
        photo = prepared(WHOLE[:place] + noise + WHOLE[place + len(noise) :])
    except HeapwrightError:
        return  # told in a sentence; any other error fails the test
    assert photo_samples.MAKER.encode() not in photo.jpeg
    assert max(photo.width, photo.height) <= limits()["side_px"][1]


def test_a_photo_is_kept_though_its_hidden_words_are_damaged() -> None:
    # The maker's name, there as text (type 2 of TIFF 6.0), is said to be a number (type 11), which
    # Pillow can read and cannot write again.
    whole = photo_samples.jpeg(photo_samples.drawn(320, 240), orientation=6)
    as_text, as_number = (struct.pack(">HH", 0x010F, kind) for kind in (2, 11))
    assert whole.count(as_text) == 1
    photo = prepared(whole.replace(as_text, as_number))
    assert (photo.width, photo.height) == (240, 320)


def test_an_export_with_another_picture_under_the_name_is_told() -> None:
    photo = prepared(WHOLE)
    with pytest.raises(UnreadableFile, match=r"was altered.*left out"):
        brought_back(photo.jpeg + b"x", photo.sha256)


def test_an_export_whose_photo_hides_where_it_was_taken_is_told() -> None:
    from hashlib import sha256

    with pytest.raises(UnreadableFile, match=r"not as an export writes it"):
        brought_back(WHOLE, sha256(WHOLE).hexdigest())


def test_a_full_disk_keeps_neither_the_photo_nor_its_entry(tmp_path: Path) -> None:
    photo = prepared(photo_samples.jpeg(photo_samples.drawn(1600, 1200)))
    with Journal.open(tmp_path / "garden.db") as journal:
        with writing(journal._engine, journal.path) as connection:
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
        # As many pages as there are: SQLite then answers as on a full disk.
        with journal._engine.connect() as held:
            held.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
            held.rollback()
            held.close()
            with pytest.raises(StoreProblem, match=r"disk is full"):
                journal.append([named(photo)], photos=[photo])
        assert journal.entries() == ()
        assert journal.photos.names() == frozenset()
