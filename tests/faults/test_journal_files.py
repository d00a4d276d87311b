"""Files that are no exported journal, or hold entries that cannot be: told, nothing half-read."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.errors import UnreadableFile
from heapwright.journal.transfer import export_json, read_json
from tests.laws.journal_cases import a_row_of_bins


def a_file(**changes: Any) -> str:
    document = json.loads(export_json(a_row_of_bins("one", "two").entries))
    return json.dumps(document | changes)


@pytest.mark.parametrize(
    "data, said",
    [
        (b"", "not JSON"),
        (b"\xff\xfe\x00", "not text in UTF-8"),
        (b"[]", "heapwright-journal"),
        (b'{"format": "other"}', "heapwright-journal"),
        (b"[" * 100_000, "not JSON"),
        (b'{"format": "heapwright-journal", "version": NaN}', "NaN is not a number"),
        (b'{"format": "heapwright-journal", "version": 1}', "no list of entries"),
    ],
)
def test_read_json_says_why_a_file_is_no_journal(data: bytes, said: str):
    with pytest.raises(UnreadableFile, match=said):
        read_json(data)


def test_read_json_of_a_newer_version_says_what_to_do():
    with pytest.raises(UnreadableFile, match=r"version 2.*Install the newer"):
        read_json(a_file(version=2))


@pytest.mark.parametrize(
    "change, said",
    [
        ({"id": "1"}, "not an entry's id"),
        ({"kind": "song"}, "Kind of entry"),
        ({"at": "yesterday"}, "is not a time"),
        ({"at": "2026-05-03T14:20:00"}, "no time zone"),
        ({"at": None}, "is not a time"),
        ({"body": []}, "not a set of named fields"),
        ({"body": {"key": "one"}}, "lacks: name, width, depth, height"),
        ({"origin": "moon"}, "Origin"),
        ({"colour": "green"}, "unknown field colour"),
        ({"author": "x" * 81}, "81 letters"),
    ],
)
def test_read_json_leaves_out_what_cannot_be_and_keeps_the_rest(change: dict[str, Any], said: str):
    document = json.loads(a_file())
    document["entries"][0] |= change
    back = read_json(json.dumps(document))
    assert len(back.entries) == 1
    (problem,) = back.problems
    assert problem.startswith("Entry 1 of 2 was left out: ")
    assert said in problem


_JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=8,
)


@given(st.dictionaries(st.sampled_from(["id", "kind", "at", "body", "author", "origin"]), _JSON))
def test_read_json_never_fails_but_with_a_sentence(row: dict[str, Any]):
    document = json.loads(a_file())
    document["entries"][0] |= row
    back = read_json(json.dumps(document))
    assert len(back.entries) + len(back.problems) == 2
