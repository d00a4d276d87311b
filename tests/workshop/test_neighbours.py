"""One garden on a shared server shows nothing of another, route by route.

The routes are taken from the application itself: a new one that names a thing in its address or
stores something fails here until it has a case. Each case is asked twice: by Nell, who owns the
garden next door and must neither see nor change anything, and by Ann, whose garden it is. If their
answers were alike, the case would prove nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from httpx import Response
from starlette.testclient import TestClient

from heapwright.journal.entries import EntryKind, new_entry_id
from heapwright.web import roles
from heapwright.workshop.beds_log import save_bed
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.setup import save_bin
from heapwright.workshop.stock import add_lot
from tests.house.test_roles import ROUTES
from tests.laws.journal_cases import FILL
from tests.photo_samples import jpeg
from tests.shared_house import ANN, NELL, NOW, OURS, SECRETS, House, shared_house

#: Stands in everything of the one garden and nowhere else.
MARK = "Quince"
BIN = "quince-bin"
HEAP = "quince-heap"
BED = "quince-bed"
ARRIVAL = "quince-leaves"
AWAY = "2026-08-01"


@dataclass(frozen=True)
class Thing:
    """What is to be reached for in the other garden."""

    note: str
    photo: str
    lot: str
    probe: str
    person: int


@dataclass(frozen=True)
class Case:
    """A request for something of the other garden; `{...}` of the address are filled from `path`.

    `form` and `json` say what is sent; `changes` whether Ann's own request stores something.
    """

    path: Mapping[str, str] | Callable[[Thing], Mapping[str, str]] | None = None
    query: Callable[[Thing], Mapping[str, str]] | None = None
    form: Callable[[Thing], Mapping[str, str]] | None = None
    json: Callable[[Thing], Any] | None = None
    changes: bool = False


def _nothing(_: Thing) -> Mapping[str, str]:
    return {}


def _photo(it: Thing) -> Mapping[str, str]:
    return {"entry_id": it.photo}


_BIN = {"key": BIN}
_SIZES = {"width": "90 cm", "depth": "90 cm", "height": "90 cm", "wall": "wire", "cover": "open"}
_NEW_SECRET = {"passphrase": "a quite new secret", "again": "a quite new secret"}


def _reading(_: Thing) -> Any:
    entry = {
        "id": new_entry_id(),
        "kind": "note",
        "at": (NOW - timedelta(hours=1)).isoformat(),
        "body": {"bin": BIN, "text": "From next door"},
    }
    return {"entries": [entry]}


#: By method and address. Those whose answers cannot differ by garden stand in `SAME_FOR_ALL`.
CASES: Mapping[tuple[str, str], Case] = {
    ("GET", "/bins/{key}"): Case(_BIN),
    ("GET", "/bins/{key}/card"): Case(_BIN),
    ("GET", "/bins/{key}/fault"): Case(_BIN),
    ("GET", "/bins/{key}/ready"): Case(_BIN),
    ("GET", "/b/{key}"): Case(_BIN),
    ("GET", "/batches/{key}/story"): Case({"key": HEAP}),
    ("GET", "/log/correct/{entry_id}"): Case(),
    ("POST", "/log/correct/{entry_id}"): Case(form=lambda _: {"bin": BIN, "text": "Not so"}),
    ("GET", "/photos/{entry_id}"): Case(_photo),
    ("GET", "/photos/{entry_id}/picture.jpg"): Case(_photo),
    ("GET", "/photos/{entry_id}/small.jpg"): Case(_photo),
    ("GET", "/build/{key}"): Case(_BIN),
    ("GET", "/build/{key}/sheet"): Case(_BIN),
    ("GET", "/api/bins/{key}"): Case(_BIN),
    ("GET", "/api/bins/{key}/diagnosis"): Case(_BIN),
    ("GET", "/api/bins/{key}/forecast"): Case(_BIN),
    ("GET", "/api/bins/{key}/ready"): Case(_BIN),
    ("GET", "/api/bins/{key}/taught"): Case(_BIN),
    ("GET", "/api/bins/{key}/whatif"): Case(_BIN),
    ("GET", "/log/saved"): Case(query=lambda it: {"entry": it.note, "bin": BIN}),
    ("GET", "/log/undone"): Case(query=lambda it: {"entry": it.note}),
    ("GET", "/setup"): Case(query=lambda it: {"entry": it.note}),
    ("GET", "/compare"): Case(query=lambda it: {"heap": HEAP}),
    ("GET", "/compare/sheet"): Case(query=lambda it: {"heap": HEAP}),
    ("GET", "/api/compare"): Case(query=lambda it: {"heap": HEAP}),
    ("GET", "/api/compare.csv"): Case(query=lambda it: {"heap": HEAP}),
    # A year that is over: nothing has to be planned for it.
    ("GET", "/ledger"): Case(query=lambda _: {"year": "2025"}),
    ("GET", "/api/ledger"): Case(query=lambda _: {"year": "2025"}),
    ("GET", "/stock"): Case(query=lambda it: {"entry": it.note}),
    ("POST", "/log"): Case(form=lambda _: {"bin": BIN, "note": "Hello"}, changes=True),
    ("POST", "/log/undo"): Case(form=lambda it: {"entry_id": it.note}, changes=True),
    ("POST", "/bins/{key}/ready"): Case(_BIN, form=_nothing),
    ("POST", "/bins/{key}/screen"): Case(_BIN, form=_nothing),
    ("POST", "/build/{key}"): Case(_BIN, form=_nothing),
    ("GET", "/year"): Case(query=lambda it: {"entry": it.note}),
    ("GET", "/year/wishes"): Case(query=lambda it: {"entry": it.note}),
    ("POST", "/year/away/{key}/gone"): Case({"key": AWAY}, form=_nothing, changes=True),
    ("GET", "/stock/ahead"): Case(query=lambda it: {"entry": it.note}),
    ("POST", "/stock/ahead/{key}"): Case({"key": ARRIVAL}, form=_nothing),
    ("POST", "/stock/ahead/{key}/gone"): Case({"key": ARRIVAL}, form=_nothing, changes=True),
    ("POST", "/stock/gone"): Case(
        form=lambda it: {"lot": it.lot, f"gone.{it.lot}": "1"}, changes=True
    ),
    ("POST", "/setup/bins/{key}"): Case(
        _BIN, form=lambda _: {"bin_name": "Taken", **_SIZES, "ground": "soil"}, changes=True
    ),
    ("POST", "/setup/bins/{key}/gone"): Case(_BIN, form=_nothing, changes=True),
    ("POST", "/import"): Case(form=lambda _: {"bin": BIN}),
    ("POST", "/api/entries"): Case(json=_reading, changes=True),
    ("POST", "/people/{person}/role"): Case(form=lambda _: {"role": "keeper"}),
    ("POST", "/people/{person}/passphrase"): Case(form=lambda _: _NEW_SECRET),
    ("POST", "/people/{person}/out"): Case(form=_nothing),
    ("POST", "/you/garden"): Case(form=lambda _: {"garden": OURS}),
    ("POST", "/beds/{key}"): Case({"key": BED}, form=_nothing),
    ("POST", "/beds/{key}/gone"): Case({"key": BED}, form=_nothing, changes=True),
    ("POST", "/beds/{key}/spread"): Case(
        {"key": BED}, form=lambda _: {"amount": "40 L", "what": "own compost"}, changes=True
    ),
    ("POST", "/probes/{key}/move"): Case(form=lambda _: {"bin": BIN}),
    ("POST", "/probes/{key}/token"): Case(form=_nothing),
    ("POST", "/probes/{key}/gone"): Case(form=_nothing, changes=True),
}
#: Routes that store or name something of whoever asks, and take nothing that could name another
#: garden's; what they may show is held by `test_no_page_shows_anything_of_next_door`.
ONLY_OWN = {
    ("POST", "/start-demo"),
    ("POST", "/stock"),
    ("POST", "/stock/ahead"),
    ("POST", "/beds"),
    ("POST", "/site"),
    ("POST", "/year/wishes"),
    ("POST", "/year/away"),
    ("POST", "/year/calendar"),
    # A calendar's secret opens its own garden alone: tests/workshop/test_year.py.
    ("GET", "/calendar/{token}.ics"),
    ("POST", "/setup"),
    ("POST", "/setup/bins"),
    ("POST", "/setup/containers"),
    ("POST", "/setup/leave-demo"),
    ("POST", "/import/journal"),
    ("POST", "/people"),
    ("POST", "/sign-in"),
    ("POST", "/sign-out"),
    ("POST", "/sign-out/everywhere"),
    ("POST", "/you/passphrase"),
    ("POST", "/probes"),
    ("POST", "/paper/copy"),
    ("GET", "/icon/{name}"),
    # A probe's token opens its own garden alone: tests/faults/test_probe_faults.py.
    ("POST", "/api/probes/{key}/readings"),
}


def _wanted() -> list[tuple[str, str]]:
    return [
        (method, path)
        for methods, path, _ in ROUTES
        for method in methods.split()
        if method != "HEAD" and (method != "GET" or "{" in path)
    ]


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with shared_house(tmp_path) as opened:
        yield opened


@pytest.fixture(scope="module")
def quiet_house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A house to look at only, with something in it."""
    with shared_house(tmp_path_factory.mktemp("quiet")) as opened:
        put_things_in(opened)
        yield opened


@pytest.fixture
def thing(house: House) -> Thing:
    return put_things_in(house)


def put_things_in(house: House) -> Thing:
    """Something to reach for in the one garden, each with the mark in it."""
    ours = house.gardens[OURS]
    note = log(
        ours, EntryKind.NOTE, {"bin": BIN, "text": f"{MARK} leaves fell"}, origin="page"
    ).stored[0]
    ann = house.signed_in(ANN)
    add_lot(ours, material="dry leaves", container="wheelbarrow", count=9, origin="page")
    ann.post("/probes", data={"name": f"{MARK} probe", "bin": BIN, "depth": "45 cm"})
    save_bin(ours, name=f"{MARK} old", origin="page", width_m=0.9, depth_m=0.9, height_m=0.9)
    heap = {"batch": HEAP, "name": f"{MARK} heap", "bin": "quince-old", "fill": FILL}
    log(ours, EntryKind.BUILD, heap, at=NOW - timedelta(days=300), origin="page")
    save_bed(ours, name=f"{MARK} bed", use="mulch", due=NOW.date(), area_m2=5.0, origin="page")
    comes = {"key": ARRIVAL, "material_key": "leaves_mixed_dry", "volume_m3_week": [0.1, 0.2, 0.3]}
    season = {"from_day": "10-15", "to_day": "12-01"}
    log(ours, EntryKind.ARRIVAL, {**comes, **season}, origin="page")
    away = {"key": AWAY, "from_date": AWAY, "to_date": "2026-08-09", "why": f"{MARK} fair"}
    log(ours, EntryKind.AWAY, away, origin="page")
    ann.post("/log", data={"bin": "quince-old"}, files={"photo": ("a.jpg", jpeg(), "image/jpeg")})
    photo = next(one.id for one in ours.entries() if one.kind is EntryKind.PHOTO)
    person = next(one.id for one in house.people.of_garden(OURS) if one.name != ANN)
    return Thing(
        note=note,
        photo=photo,
        lot=next(iter(ours.state().lots)),
        probe=next(iter(ours.state().probes)),
        person=person,
    )


def ask(phone: TestClient, method: str, path: str, case: Case, thing: Thing) -> Response:
    """Send a case's request."""
    path_of = case.path(thing) if callable(case.path) else case.path or {}
    filled = {
        "key": thing.probe,
        "person": str(thing.person),
        "entry_id": thing.note,
        **path_of,
    }
    query = dict(case.query(thing)) if case.query else None
    data = dict(case.form(thing)) if case.form else None
    json = case.json(thing) if case.json else None
    return phone.request(method, path.format(**filled), params=query, data=data, json=json)


@pytest.mark.parametrize(
    "method, path", _wanted(), ids=[f"{method} {path}" for method, path in _wanted()]
)
def test_a_route_that_names_or_stores_something_has_a_case(method: str, path: str) -> None:
    assert ((method, path) in CASES) != ((method, path) in ONLY_OWN), (
        f"tests/workshop/test_neighbours.py needs a case for {method} {path}"
    )


@pytest.mark.parametrize(
    "method, path", list(CASES), ids=[f"{method} {path}" for method, path in CASES]
)
def test_a_neighbour_neither_sees_nor_changes_it(
    house: House, thing: Thing, method: str, path: str
) -> None:
    case, ours = CASES[method, path], house.gardens[OURS]
    nell = house.signed_in(NELL)
    before, people = ours.entries(), house.people.of_garden(OURS)
    answer = ask(nell, method, path, case, thing)
    assert answer.status_code < 500
    assert MARK not in answer.text
    assert ours.entries() == before
    assert house.people.of_garden(OURS) == people
    assert house.people.proved(people[-1].name, SECRETS[people[-1].name]) is not None

    ann = house.signed_in(ANN)
    own = ask(ann, method, path, case, thing)
    assert own.status_code < 500
    assert (own.status_code, own.headers.get("location"), own.text) != (
        answer.status_code,
        answer.headers.get("location"),
        answer.text,
    ), "the case asks for nothing that is there"
    if case.changes:
        assert len(ours.entries()) > len(before), "the case stores nothing for its rightful owner"


def _pages() -> list[str]:
    return [path for methods, path, _ in ROUTES if "GET" in methods and "{" not in path]


@pytest.mark.parametrize("path", _pages())
def test_no_page_shows_anything_of_next_door(quiet_house: House, path: str) -> None:
    nell = quiet_house.signed_in(NELL)
    answer = nell.get(path, params={"bin": BIN, "garden": OURS})
    assert answer.status_code < 500
    assert MARK not in answer.text


@pytest.mark.parametrize("path", _pages())
def test_nobody_at_the_door_sees_anything(quiet_house: House, path: str) -> None:
    answer = quiet_house.phone().get(path)
    assert MARK not in answer.text
    assert ANN not in answer.text
    endpoint = next(e for m, p, e in ROUTES if p == path and "GET" in m)
    if roles.need_of(endpoint).role is not None:
        assert answer.status_code in (303, 401)


def test_ann_sees_her_own(quiet_house: House) -> None:
    page = quiet_house.signed_in(ANN).get("/setup").text
    assert f"{MARK} bin" in page
    assert "Medlar" not in page


def test_a_garden_is_only_chosen_by_who_has_a_part_in_it(house: House) -> None:
    nell = house.signed_in(NELL)
    assert nell.post("/you/garden", data={"garden": OURS}).status_code == 404
    assert nell.get("/session.json").json()["garden"] == "Medlar yard"


def test_who_is_in_two_gardens_chooses_and_has_each_ones_role(house: House) -> None:
    from heapwright.people.roles import Role
    from tests.shared_house import THEIRS

    ann = house.people.known(ANN)
    assert ann is not None
    house.people.give_role(ann.id, THEIRS, Role.HELPER)
    phone = house.signed_in(ANN)
    assert phone.get("/session.json").json()["role"] == "owner"
    assert phone.post("/you/garden", data={"garden": THEIRS}).status_code == 303
    told = phone.get("/session.json").json()
    assert (told["garden"], told["role"]) == ("Medlar yard", "helper")
    assert phone.get("/people").status_code == 403
    assert MARK not in phone.get("/").text


def test_a_person_taken_out_sees_nothing_from_the_next_tap_on(house: House) -> None:
    kim = house.signed_in("Kim Elm")
    assert kim.get("/log").status_code == 200
    found = house.people.known("Kim Elm")
    assert found is not None
    house.people.take_out(found.id, OURS)
    assert kim.get("/log").status_code == 303


def test_the_gardens_memory_is_shared_but_not_its_pen(house: House) -> None:
    from heapwright.people.roles import Role
    from heapwright.workshop.pen import Pen

    ours: Garden = house.gardens[OURS]
    view = ours.written_by(Pen("Hal Ash", Role.HELPER))
    log(view, EntryKind.NOTE, {"bin": BIN, "text": "Warm"}, origin="page")
    assert ours.entries()[-1].author == "Hal Ash"
    assert view.entries() is ours.entries()
    log(ours, EntryKind.NOTE, {"bin": BIN, "text": "Cool"}, origin="command")
    assert view.entries()[-1].author == ""


def test_a_journal_read_back_keeps_who_wrote_it(house: House) -> None:
    from heapwright.workshop.transfer import export_journal
    from tests.shared_house import HAL, THEIRS

    house.signed_in(HAL).post("/log", data={"bin": BIN, "note": "by Hal"})
    exported = export_journal(house.gardens[OURS])
    nell = house.signed_in(NELL)
    sent = nell.post("/import/journal", files={"journal": ("j.json", exported)})
    assert sent.status_code == 200
    assert HAL in {entry.author for entry in house.gardens[THEIRS].entries()}
