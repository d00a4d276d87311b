"""How it is told at the command line what was stored, and how it is taken back.

Knows the words and the order of entries on a screen. Knows nothing of single commands.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from heapwright.cli import screen
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.journal.entries import Entry
    from heapwright.sentences import Reader
    from heapwright.workshop.answers import LogAnswer
    from heapwright.workshop.garden import Garden

#: How much of an entry's id is shown; as much of it is understood.
ID_SHOWN = 8
#: Entries that are no part of a heap's story.
_NO_STORY = frozenset(
    ("bin", "container", "lot", "lot_gone", "garden", "probe", "probe_gone")
) | frozenset(
    ("site", "wishes", "bed", "bed_gone", "arrival", "arrival_gone", "away", "away_gone", "spread")
)


def undo_command(answer: LogAnswer) -> str:
    """Return the command that takes back what was just stored."""
    return "heapwright undo " + " ".join(one[:ID_SHOWN] for one in answer.stored)


def last_line(answer: LogAnswer) -> str:
    """Return the line that ends what is told of something stored."""
    return worded("Stored. To take it back: {answer}", answer=undo_command(answer))


def as_plain(answer: LogAnswer, reader: Reader | None = None) -> dict[str, Any]:
    """Return what became of entries for `--json`, with the command that takes them back."""
    from heapwright.workshop.plain import to_plain

    return {**to_plain(answer, reader), "undo": undo_command(answer)}


def put(garden: Garden, answer: LogAnswer, reader: Reader, *, as_json: bool) -> None:
    """Write what became of entries, in words or in JSON."""
    if as_json:
        screen.put_json(as_plain(answer, reader))
    else:
        screen.put(lines(garden, answer, reader))


def lines(garden: Garden, answer: LogAnswer, reader: Reader) -> Iterator[str]:
    """Yield what was stored, what to look at again, and the way back."""
    from heapwright.sentences import render

    yield from entry_lines(garden, answer.entries, reader)
    for warning in answer.warnings:
        yield from screen.paragraph(render(warning, reader), "Look again: ")
    yield last_line(answer)


def entry_lines(garden: Garden, entries: Sequence[Entry], reader: Reader) -> Iterator[str]:
    """Yield a table of entries: id, when, where, what; and whether it was taken back."""
    from heapwright.cli import people
    from heapwright.workshop.log import counting

    state = garden.state()
    zone, now = people.zone_of(garden), garden.now()
    standing = counting(garden)
    rows = []
    for entry in entries:
        key = str(entry.body.get("bin", ""))
        where = state.bins[key].name if key in state.bins else key
        told = _told(garden, entry, reader)
        gone = entry.kind not in ("undo", "correct") and entry.id not in standing
        mark = "  (taken back)" if gone else ""
        rows.append((entry.id[:ID_SHOWN], screen.when(entry.at, zone, now), where, told + mark))
    yield from screen.table(rows)


def _told(garden: Garden, entry: Entry, reader: Reader) -> str:
    """Return what an entry tells; what is not part of a heap's story is told by its own words."""
    from heapwright.sentences import render
    from heapwright.workshop.story import story

    body = entry.body
    if "of" in body:
        return worded("{kind} of {of}", kind=entry.kind, of=str(body["of"])[:ID_SHOWN])
    if entry.kind == "note":
        return str(body["text"])
    if entry.kind == "bin_gone":
        return "put out of use"
    if entry.kind in _NO_STORY:
        known = (body.get(name) for name in ("name", "key", "lot", "probe", "bed", "arrival"))
        named = next((str(one) for one in known if one), ", ".join(body))
        return f"{entry.kind.replace('_', ' ')}: {named}"
    return render(story(entry, garden.state().bins), reader)
