"""Thermometers' logs as people type and export them: good rows kept, bad ones told, doubts asked.

The files are invented.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.errors import HeapwrightError, NotFound, NotUnderstood, UnreadableFile
from heapwright.journal.fold import fold
from heapwright.journal.store import Journal
from heapwright.journal.thermometer_csv import ImportPreview, preview
from tests.laws.journal_cases import FILL, a_row_of_bins

NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
TYPED = (Path(__file__).parent / "data" / "thermometer-typed.csv").read_bytes()


def read(text: str | bytes, **said: Any) -> ImportPreview:
    data = text.encode() if isinstance(text, str) else text
    return preview(data, bin_key="one", now=NOW, **said)


def temperatures(found: ImportPreview) -> list[float]:
    return [round(row.entry.body["temperature_c"], 2) for row in found.good]


def times(found: ImportPreview) -> list[str]:
    return [f"{row.entry.at:%Y-%m-%d %H:%M}" for row in found.good]


def asked(found: ImportPreview) -> list[str]:
    assert (found.good, found.bad) == ((), ())
    return [question.answer for question in found.questions]


def test_preview_of_a_typed_log_keeps_good_rows_and_tells_bad_ones_by_line():
    found = read(TYPED, time_zone="America/Phoenix")
    assert found.questions == ()
    assert found.columns == {
        "date": "Date",
        "time": "Time",
        "temperature": "Temp (F)",
        "depth": "Depth (in)",
        "note": "Notes",
    }
    assert [row.line for row in found.good] == [2, 3, 4, 6, 8, 11, 12]
    assert temperatures(found) == [17.78, 47.78, 58.33, 59.0, 62.22, 60.83, 60.83]
    assert times(found)[0] == "2026-11-16 14:40"
    assert found.good[2].entry.body["note"] == "steaming"
    assert found.good[2].entry.body["depth_m"] == pytest.approx(0.4572)
    assert [(row.line, row.text.split(" | ")[2]) for row in found.bad] == [
        (7, "hot"),
        (10, "=1+1"),
    ]
    assert '"hot" is not a number' in found.bad[0].reason
    assert "is a formula" in found.bad[1].reason
    assert found.blank == 1
    assert found.date_form == "month/day/year"
    assert found.summary() == (
        "Rows: 7 to store, 2 not understood, 1 without a temperature, skipped."
    )


def test_preview_of_the_same_file_twice_stores_nothing_twice(tmp_path: Path):
    told = a_row_of_bins("one")
    told.write("build", {"batch": "a", "name": "A", "bin": "one", "fill": FILL}, day=228)
    with Journal.open(tmp_path / "garden.db") as journal:
        journal.append(told.entries)
        first = read(TYPED)
        journal.append(first.entries, now=NOW).or_raise()
        again = read(TYPED)
        again = again.with_known(journal.known_ids([e.id for e in again.entries]))
        assert (again.entries, again.already_stored) == ((), 7)
        # Even a face that does not ask first stores nothing twice.
        later = preview(TYPED, bin_key="one", now=datetime(2026, 12, 1, tzinfo=UTC))
        result = journal.append(later.entries, now=datetime(2026, 12, 1, tzinfo=UTC))
        assert (result.stored, result.refused) == ((), ())
        assert len(fold(journal.entries()).batches["a"].entries) == 1 + 7


def test_preview_ids_differ_for_another_bin_and_for_repeats():
    one, other = (
        {e.id for e in preview(TYPED, bin_key=bin_key, now=NOW).entries} for bin_key in ("a", "b")
    )
    assert len(one) == len(other) == 7
    assert one.isdisjoint(other)


def test_preview_of_a_longer_log_finds_the_shorter_one_in_it():
    shorter = b"\n".join(TYPED.split(b"\n")[:5])
    known = {e.id for e in read(shorter).entries}
    assert len(known) == 3
    assert read(TYPED, known_ids=known).already_stored == 3


@pytest.mark.parametrize(
    "written, at",
    [
        ("2026-11-20 08:05", "2026-11-20 08:05"),
        ("2026-11-20T08:05:30", "2026-11-20 08:05"),
        ("2026-11-20T08:05:30.250Z", "2026-11-20 08:05"),
        ("2026-11-20T08:05:00-07:00", "2026-11-20 15:05"),
        ("2026-11-20 08:05 +0130", "2026-11-20 06:35"),
        ("2026/11/20 8:05", "2026-11-20 08:05"),
        ("20261120 0805", "2026-11-20 08:05"),
        ("11/20/2026 8:05 am", "2026-11-20 08:05"),
        ("11/20/26, 8:05 PM", "2026-11-20 20:05"),
        ("20/11/2026 08.05", "2026-11-20 08:05"),
        ("20.11.2026 08:05", "2026-11-20 08:05"),
        ("20.11.26", "2026-11-20 12:00"),
        ("11-20-2026 12 am", "2026-11-20 00:00"),
        ("Nov 20 2026 12pm", "2026-11-20 12:00"),
        ("November 20th, 2026 8:05 p.m.", "2026-11-20 20:05"),
        ("Fri, 20 Nov 2026 08:05", "2026-11-20 08:05"),
        ("20-Nov-26 08h05", "2026-11-20 08:05"),
        ("Friday Sept. 4, 2026", "2026-09-04 12:00"),
        ("5/5/2026", "2026-05-05 12:00"),
    ],
)
def test_preview_reads_dates_in_the_usual_forms(written: str, at: str):
    found = read(f'When,core temp (F)\n"{written}",137\n')
    assert found.bad == ()
    assert times(found) == [at]


@pytest.mark.parametrize(
    "written, why",
    [
        ("yesterday", 'Date "yesterday" is not understood'),
        ("11/20", "the year is missing"),
        ("46346.33", "a spreadsheet may have lost the date's form"),
        ("2026-02-30", "there is no such day"),
        ("2026-11-20 25:00", 'Time "25:00" is not understood'),
        ("2026-11-20 13 pm", 'Time "13 pm" is not understood'),
        ("2026-11-20 8", 'Time "8" is not understood'),
        ("1926-11-20", "the year lies between 1950 and 9998"),
        ("9999-12-31 23:00-07:00", "the year lies between 1950 and 9998"),
        ("1/1/0000", "there is no such day"),
        ("2026-11-25 18:30", "has not come yet"),
        ("2027-01-01", "has not come yet"),
        ("=TODAY()", "is not understood"),
        ("", "The date is missing"),
        ("Flob 20 2026", "is not understood"),
    ],
)
def test_preview_tells_dates_that_cannot_be(written: str, why: str):
    found = read(f'Date,Temp (F)\n"{written}",137\n2026-11-01 08:00,140\n')
    assert times(found) == ["2026-11-01 08:00"]
    (bad,) = found.bad
    assert bad.line == 2
    assert why.lower() in bad.reason.lower()
    assert "saved" not in bad.reason


def test_preview_asks_for_day_and_month_unless_told_or_decided():
    doubt = "Date,Temp (F)\n3/4/2026,137\n5/6/2026,140\n"
    assert asked(read(doubt)) == ["day_first"]
    assert "3/4/2026 can be read two ways" in read(doubt).summary()
    assert times(read(doubt, day_first=True))[0] == "2026-04-03 12:00"
    assert times(read(doubt, day_first=False))[0] == "2026-03-04 12:00"
    assert times(read(doubt + "13/6/2026,140\n"))[0] == "2026-04-03 12:00"
    assert times(read(doubt + "6/13/2026,140\n"))[0] == "2026-03-04 12:00"
    # One of the two ways would be in the future.
    assert times(read(doubt + "11/12/2026,140\n"))[0] == "2026-03-04 12:00"
    assert times(read(doubt + "12/11/2026,140\n"))[0] == "2026-04-03 12:00"
    both = doubt + "13/6/2026,140\n6/13/2026,140\n"
    assert asked(read(both)) == ["day_first"]
    told = read(both, day_first=True)
    assert [row.line for row in told.bad] == [5]
    assert "there is no such day" in told.bad[0].reason


def test_preview_puts_a_reading_of_this_morning_without_a_time_at_now():
    morning = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)
    found = preview(b"Date,Temp F\n2026-11-25,137\n", bin_key="one", now=morning)
    assert found.entries[0].at == morning
    evening = preview(b"Date,Temp F\n2026-11-25,137\n", bin_key="one", now=NOW)
    assert f"{evening.entries[0].at:%H:%M}" == "12:00"
    assert evening.entries[0].id == found.entries[0].id


def test_preview_asks_for_the_unit_unless_told_or_decided():
    doubt = "Date,Temp\n2026-11-01,58\n2026-11-02,64\n"
    assert asked(read(doubt)) == ["default_unit"]
    assert temperatures(read(doubt, default_unit="C")) == [58.0, 64.0]
    assert temperatures(read(doubt, default_unit="°f")) == [14.44, 17.78]
    with pytest.raises(NotUnderstood, match="Choose one of: C, F"):
        read(doubt, default_unit="K")
    # Most values can only be °F; one alone may be a slip.
    assert temperatures(read("Date,Temp\n2026-11-01,137\n2026-11-02,140\n")) == [58.33, 60.0]
    assert asked(read(doubt + "2026-11-03,137\n")) == ["default_unit"]
    assert temperatures(read("Date,Temp\n2026-11-01,137F\n2026-11-02,60 C\n")) == [58.33, 60.0]
    column = "Date,Temp,Unit\n2026-11-01,137,F\n2026-11-02,60,°C\n"
    assert temperatures(read(column)) == [58.33, 60.0]


@pytest.mark.parametrize(
    "written, why",
    [
        ("hot", '"hot" is not a number'),
        ("=1+1", "is a formula"),
        ("@A1", "is a formula"),
        ("+A1", "is a formula"),
        ("-A1+2", "is a formula"),
        ("137 C", "Did you mean 137 °F"),
        ("-127 C", "no garden gets so cold"),
        ("-45 C", "lies between -40 and 95 °C"),
        ("98 C", "lies between -40 and 95 °C"),
        ("330 K", "kelvin"),
        ("nan C", "is not a number"),
        ("1,370", "can be read as 1370 or as 1.37"),
        ("1e400", "no heap holds that much"),
    ],
)
def test_preview_tells_temperatures_that_cannot_be(written: str, why: str):
    found = read(f'Date,Temp (F)\n2026-11-01,"{written}"\n2026-11-02,140\n')
    assert temperatures(found) == [60.0]
    assert why.lower() in found.bad[0].reason.lower()


@pytest.mark.parametrize("nothing", ["", " ", "-", "n/a", "NA", "None", "—", "?"])
def test_preview_skips_and_counts_rows_without_a_temperature(nothing: str):
    found = read(f"Date,Temp (F),Notes\n2026-11-01,{nothing},away\n2026-11-02,140,\n")
    assert (found.blank, found.bad, temperatures(found)) == (1, (), [60.0])


@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
@pytest.mark.parametrize(
    "codec, name",
    [
        ("utf-8", "UTF-8"),
        ("utf-8-sig", "UTF-8"),
        ("utf-16", "UTF-16"),
        ("utf-16-le", "UTF-16"),
        ("utf-16-be", "UTF-16"),
        ("utf-32", "UTF-32"),
        ("cp1252", "Windows-1252"),
    ],
)
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_preview_reads_every_delimiter_encoding_and_line_end(
    sign: str, codec: str, name: str, line_end: str
):
    rows = [("Date", "Temp (°C)", "Note"), ("2026-11-01", '"58.5"', "Grünes")]
    text = line_end.join(sign.join(row) for row in [*rows, ("2026-11-02", "60", "")])
    found = read(text.encode(codec))
    assert (found.encoding, temperatures(found)) == (name, [58.5, 60.0])
    assert found.good[0].entry.body["note"] == "Grünes"
    assert any("Windows-1252" in said for said in found.said) == (name == "Windows-1252")


def test_preview_reads_decimal_commas_beside_semicolons():
    assert temperatures(read("Date;Temp C\n20.11.2026;58,5\n21.11.2026;60,25\n")) == [58.5, 60.25]
    assert temperatures(read("sep=;\nDate;Temp C\n20.11.2026;58,5\n")) == [58.5]


def test_preview_tells_a_decimal_comma_that_splits_its_cell():
    found = read("Date,Temp C\n2026-11-20,58,5\n2026-11-21,60\n")
    assert temperatures(found) == [60.0]
    assert "decimal comma" in found.bad[0].reason


def test_preview_does_not_lose_rows_to_a_stray_quotation_mark():
    found = read('Date,Temp F,Note\n2026-11-01,137,"stray\n2026-11-02,140,b\n2026-11-03,144,c"\n')
    assert temperatures(found) == [58.33, 60.0, 62.22]
    assert any("do not pair up" in said for said in found.said)
    found = read('Date,Temp F,Note\n2026-11-01,137,"never closed\n2026-11-02,140,b\n')
    assert temperatures(found) == [58.33, 60.0]


def test_preview_keeps_a_note_of_several_lines_and_counts_lines_right():
    found = read('Date,Temp F,Note\n2026-11-01,137,"one\ntwo"\n2026-11-02,hot,\n')
    assert found.good[0].entry.body["note"] == "one\ntwo"
    assert found.bad[0].line == 4


def test_preview_passes_over_a_loggers_title_and_names_unused_columns():
    found = read(
        "Plot title: left bin\nSerial,12345\n\nTime stamp,Ambient temp F,Core temp F,Battery\n"
        "2026-11-20 08:00,50,137,3.1\n"
    )
    assert temperatures(found) == [58.33]
    assert "2 lines above the headings were passed over." in found.said
    assert "Columns not used: Ambient temp F, Battery." in found.said


def test_preview_without_headings_goes_by_what_is_in_the_columns():
    found = read("left,11/20/2026,8:05 am,137F\nleft,11/21/2026,8:10 am,140F\n")
    assert times(found) == ["2026-11-20 08:05", "2026-11-21 08:10"]
    assert any("no headings" in said for said in found.said)


def test_preview_asks_for_columns_it_cannot_find_and_takes_the_answer():
    data = "Tag,Wert\n2026-11-20,58\n"
    assert asked(read(data)) == ["columns", "columns"]
    told = read(data, columns={"date": "Tag", "temperature": "wert"}, default_unit="C")
    assert temperatures(told) == [58.0]
    with pytest.raises(NotFound, match="The columns are: Tag, Wert"):
        read(data, columns={"date": "Day"})
    with pytest.raises(NotFound, match="no column"):
        read(data, columns={"colour": "Tag"})


def test_preview_asks_which_of_several_temperatures_is_meant():
    data = "Date,Temp left F,Temp right F\n2026-11-20,137,140\n"
    assert asked(read(data)) == ["columns"]
    assert temperatures(read(data, columns={"temperature": "Temp right F"})) == [60.0]


def test_preview_takes_depths_in_any_unit_and_asks_where_none_is_said():
    data = "Date,Temp F,Depth\n2026-11-20,137,{}\n"
    depths = {"18 in": 0.4572, '18"""': 0.4572, "45 cm": 0.45, "1 ft 6 in": 0.4572}
    for written, metres in depths.items():
        quoted = f'"{written}' + ('"' if not written.endswith('"""') else "")
        (row,) = read(data.format(quoted)).good
        assert row.entry.body["depth_m"] == pytest.approx(metres)
    assert asked(read(data.format("18"))) == ["depth_unit"]
    (row,) = read(data.format("18"), depth_unit="in").good
    assert row.entry.body["depth_m"] == pytest.approx(0.4572)
    (row,) = read(data.format("18"), columns={"depth": ""}).good
    assert "depth_m" not in row.entry.body


def test_preview_asks_which_bin_is_which_when_the_file_names_several():
    data = "Date,Bin,Temp F\n2026-11-20,Left,137\n2026-11-20,Right,140\n2026-11-21,Middle,140\n"
    assert asked(read(data)) == ["bins"]
    told = read(data, bins={"left": "one", "RIGHT": "two"})
    assert [row.entry.body["bin"] for row in told.good] == ["one", "two"]
    assert 'No bin is known for "Middle"' in told.bad[0].reason
    assert asked(read(data, bins={"west": "one"})) == ["bins"]
    ignored = read(data, columns={"bin": ""})
    assert [row.entry.body["bin"] for row in ignored.good] == ["one"] * 3


def test_preview_takes_the_bin_it_is_told_when_the_file_says_one_unknown_name():
    data = "Date,Pile,Temp F\n2026-11-20,A,137\n2026-11-21,A,140\n"
    found = read(data, bins={"west": "two"})
    assert [row.entry.body["bin"] for row in found.good] == ["one", "one"]
    known = read(data, bins={"a": "two"})
    assert [row.entry.body["bin"] for row in known.good] == ["two", "two"]


def test_preview_keeps_a_place_in_words_in_the_note():
    data = "Date,Temp F,Where,Note\n2026-11-20,137,Core,\n2026-11-21,140,left of the post,dry\n"
    first, second = (row.entry.body for row in read(data).good)
    assert (first["where"], "note" in first) == ("core", False)
    assert ("where" in second, second["note"]) == (False, "left of the post, dry")


def test_preview_of_a_line_far_too_long_for_a_cell_still_reads_the_others():
    found = read(f"Date,Temp F,Note\n2026-11-20,137,{'x' * 140_000}\n2026-11-21,140,\n")
    assert temperatures(found) == [60.0]
    assert "There is room for 4000" in found.bad[0].reason


def test_preview_reads_local_times_in_the_gardens_zone():
    data = "Date,Temp F\n2026-07-01 08:00,137\n2026-11-20 08:00,137\n"
    found = read(data, time_zone="America/New_York")
    assert times(found) == ["2026-07-01 12:00", "2026-11-20 13:00"]


@pytest.mark.parametrize(
    "data, why",
    [
        (b"", "empty"),
        (b" \r\n\n", "empty"),
        (b",,\n,,\n", "no filled cell"),
        (b"PK\x03\x04rest of a workbook", "spreadsheet's workbook"),
        (b"\xd0\xcf\x11\xe0rest", "old spreadsheet"),
        (b"\x89PNG\r\n", "picture"),
        (b"SQLite format 3\x00rest", "database"),
        (b"Date,Temp\n2026\x00\x01", "no letters"),
        (b"\xef\xbb\xbfDate\xff", "is not"),
        (b"Date\x81,Temp", "no encoding known"),
        (b"1" * 20_000_001, "20 MB"),
    ],
)
def test_preview_of_no_csv_file_says_what_it_is(data: bytes, why: str):
    with pytest.raises(UnreadableFile, match=why):
        read(data)


@given(st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
def test_preview_of_anything_ends_in_a_preview_or_a_sentence(data: bytes):
    try:
        found = read(data)
    except HeapwrightError:
        return
    assert found.summary()


_CELLS = st.sampled_from(
    ["2026-11-20", "3/4/2026", "137", "58 C", "hot", "", "=1", '"', "8:00", "a\tb", "é", "18 in"]
)


@given(st.lists(st.lists(_CELLS, min_size=1, max_size=6), max_size=8), st.sampled_from(",;\t"))
def test_preview_counts_every_row_under_the_headings_once(rows: list[list[str]], sign: str):
    lines = [sign.join(["Date", "Temp F", "Note", "Time"]), *(sign.join(row) for row in rows)]
    found = read("\n".join(lines), day_first=True)
    read_rows = {row.line for row in found.good} | {row.line for row in found.bad}
    assert len(read_rows) == len(found.good) + len(found.bad)
    assert len(read_rows) + found.blank <= len(rows)
    ids = [row.entry.id for row in found.good]
    assert len(set(ids)) == len(ids)
