"""Journals for the tests: a garden in words, and random ones. Invented; no real garden."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import strategies as st

from heapwright.heap.types import Cover
from heapwright.journal.bodies import checked_entry
from heapwright.journal.entries import Entry, EntryKind
from heapwright.journal.forms import SMELLS

START = datetime(2026, 4, 1, 9, 0, tzinfo=UTC)
FILL = {
    "wet_mass_kg": 380.0,
    "moisture": 0.57,
    "volume_m3": 0.8,
    "ash_dry": 0.12,
    "fast_share": 0.25,
    "medium_share": 0.35,
    "c_to_n": 29.0,
}


class Writer:
    """Writes entries one after another, with ids and times that are the same in every run."""

    def __init__(self, start: datetime = START) -> None:
        self.start = start
        self.entries: list[Entry] = []

    def write(
        self, kind: str, body: Mapping[str, Any], *, day: float = 0.0, written: float | None = None
    ) -> Entry:
        """Add an entry `day` days after the start, written `written` (else as it happened)."""
        at = self.start + timedelta(days=day)
        written_at = at if written is None else self.start + timedelta(days=written)
        number = len(self.entries) + 1
        entry = checked_entry(
            Entry(f"{number:032x}", EntryKind(kind), at, body, written_at, origin="page")
        )
        self.entries.append(entry)
        return entry


def a_row_of_bins(*names: str) -> Writer:
    """Return a writer that has made bins with these keys, the first one on the left."""
    writer = Writer()
    for order, name in enumerate(names):
        body = {"key": name, "name": f"Bin {name}", "order": order}
        writer.write("bin", body | {"width_m": 1.0, "depth_m": 1.0, "height_m": 1.0})
    return writer


def a_lot(key: str, count: int = 10) -> dict[str, Any]:
    """Return the body of a lot of leaf bags."""
    return {
        "key": key,
        "material_key": "leaves",
        "container_name": "leaf bag",
        "container_volume_m3": 0.11,
        "count": count,
    }


# Random journals: few names, so that entries meet one another; most of them make sense only partly.

_BINS = st.sampled_from(["one", "two", "three"])
_LOTS = st.sampled_from(["bags", "grass"])
_BATCHES = st.sampled_from(["a", "b", "c", "d"])
_LINES = st.lists(
    st.fixed_dictionaries({"lot": _LOTS, "count": st.sampled_from([0.5, 1.0, 4.0])}),
    min_size=1,
    max_size=2,
    unique_by=lambda line: line["lot"],
)
_WORDS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), min_size=1, max_size=12
).filter(lambda text: text.strip() == text and text != "")


def _body(**parts: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(parts)


_BEDS = st.sampled_from(["beans", "melons"])
_SIDE = st.sampled_from([0.9, 1.0, 1.2])
_DEEDS: dict[str, st.SearchStrategy[dict[str, Any]]] = {
    "garden": _body(name=_WORDS),
    "container": _body(
        key=st.just("pail"), name=_WORDS, volume_m3=st.floats(0.001, 0.05, allow_nan=False)
    ),
    "bin": _body(key=_BINS, name=_WORDS, width_m=_SIDE, depth_m=_SIDE, height_m=_SIDE),
    "bin_gone": _body(bin=_BINS) | _body(bin=_BINS, why=_WORDS),
    "lot": st.builds(a_lot, _LOTS, st.integers(0, 9)),
    "lot_gone": _body(lot=_LOTS, count=st.sampled_from([0.5, 2.0])),
    "build": _body(batch=_BATCHES, name=_WORDS, bin=_BINS, lines=_LINES)
    | _body(batch=_BATCHES, name=_WORDS, bin=_BINS, fill=st.just(FILL)),
    "reading": _body(bin=_BINS, temperature_c=st.floats(-40, 95)),
    "look": _body(bin=_BINS, smell=st.sampled_from(SMELLS), note=_WORDS),
    "turn": _body(bin=_BINS, how=st.just("stir"))
    | st.tuples(st.permutations(["one", "two", "three"]), st.booleans()).map(
        lambda drawn: {
            "bin": drawn[0][0],
            "how": "move",
            "to_bin": drawn[0][1],
            "onto": drawn[1],
        }
    ),
    "wet": _body(bin=_BINS, water_kg=st.floats(0, 50)),
    "add": _body(bin=_BINS, lines=_LINES),
    "cover": _body(bin=_BINS, cover=st.sampled_from(list(map(str, Cover)))),
    "cure": _body(bin=_BINS),
    "use": _body(bin=_BINS, all=st.just(True))
    | _body(bin=_BINS, volume_m3=st.floats(0.01, 0.5))
    | _body(bin=_BINS, volume_m3=st.floats(0.01, 0.5), bed=_BEDS)
    | _body(bin=_BINS, volume_m3=st.floats(0.01, 0.5), store=st.just(True)),
    "note": _body(text=_WORDS),
    "site": _body(people=st.integers(0, 9)) | _body(lawn_m2=st.none()),
    "wishes": _body(sureness=st.floats(0.5, 0.95)) | _body(work_days=st.just(["mon", "sat"])),
    "bed": _body(
        key=_BEDS, name=_WORDS, use=st.just("mulch"), area_m2=_SIDE, due=st.just("2026-05-03")
    ),
    "bed_gone": _body(bed=_BEDS),
    "arrival": _body(
        key=_BEDS,
        material_key=st.just("leaves"),
        volume_m3_week=st.just([0.0, 0.1, 0.2]),
        from_day=st.just("10-15"),
        to_day=st.just("01-10"),
    ),
    "arrival_gone": _body(arrival=_BEDS),
    "away": _body(
        key=_BEDS, from_date=st.just("2026-07-01"), to_date=st.just("2026-07-14"), why=_WORDS
    ),
    "away_gone": _body(away=_BEDS),
    "spread": _body(
        bed=_BEDS, volume_m3=st.floats(0.01, 0.5), what=st.sampled_from(["own compost", "manure"])
    ),
}
_ANY_DEED = st.one_of(
    [body.map(lambda drawn, kind=kind: (kind, drawn)) for kind, body in _DEEDS.items()]
)


@st.composite
def journals(draw: st.DrawFn, size: int = 16) -> list[Entry]:
    """Draw a journal: three bins mostly there, deeds at random, undos and corrections of any."""
    count = draw(st.integers(1, size))
    # Ids in no order, as they are in life.
    ids = [hashlib.sha256(b"%d" % n).hexdigest()[:32] for n in range(count + 1)]
    entries = []
    for number in range(count):
        said = draw(st.sampled_from(["deed"] * 5 + ["undo", "correct"]))
        if said == "deed":
            kind, body = draw(_ANY_DEED)
        else:
            of = ids[draw(st.integers(0, count))]  # the last id is of no entry
            kind, body = said, {"of": of}
            if said == "correct":
                body |= {"at": _day(draw).isoformat()}
                if draw(st.booleans()):
                    body |= {"body": draw(_ANY_DEED)[1]}
        entry = Entry(ids[number], EntryKind(kind), _day(draw), body, _day(draw), origin="page")
        entries.append(checked_entry(entry))
    return entries


def _day(draw: st.DrawFn) -> datetime:
    return START + timedelta(days=draw(st.integers(0, 6)), hours=draw(st.integers(0, 1)))
