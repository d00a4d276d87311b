"""What the forms store when all is well: each field ends in the right entry, in SI."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from heapwright.journal.entries import Entry, EntryKind, new_entry_id
from heapwright.web.app import create_app
from heapwright.workshop import build, setup, stock
from heapwright.workshop.garden import Garden
from tests.workshop.conftest import NOW, StillClock

#: What the settings form holds before a person changes anything.
SETTINGS_SHOWN = {
    "name": "Test garden",
    "units": "us",
    "time_zone": "UTC",
    "climate": "tucson",
    "hose": "95",
    "probe_depth": "18 in",
}


@pytest.fixture
def client(garden: Garden) -> TestClient:
    """Return a browser on a garden with a heap in its left bin and straw on hand."""
    stock.add_lot(garden, material="straw", container="wheelbarrow", count=4, origin="page")
    counts = {line.lot.key: 3 for line in stock.stock(garden)}
    build.record_build(
        garden, "left", counts, 30.0, "First", at=NOW - timedelta(days=5), origin="page"
    )
    return TestClient(create_app(garden), base_url="http://127.0.0.1", follow_redirects=False)


def sent(client: TestClient, garden: Garden, **fields: str) -> Sequence[Entry]:
    """Send the log form for the left bin; return the entries it made."""
    before = len(garden.entries())
    answer = client.post("/log", data={"bin": "left"} | fields)
    assert answer.status_code == 303, answer.text
    return garden.entries()[before:]


def test_log_keeps_depth_and_place_of_a_reading(client: TestClient, garden: Garden) -> None:
    (entry,) = sent(client, garden, temperature="120", depth="0.4572 m", where="edge")
    assert entry.body["depth_m"] == pytest.approx(0.4572)
    assert entry.body["where"] == "edge"
    (entry,) = sent(client, garden, temperature="121", depth="0.4572 m", depth_other="10")
    assert entry.body["depth_m"] == pytest.approx(0.254)  # inches, as the garden reads


@pytest.mark.parametrize(
    "amount, unit, kilograms",
    [
        ("2", "pail", 37.854),
        ("5", "gal", 18.927),
        ("20", "L", 20.0),
        ("30", "hose", 6.0),
        ("half", "pail", 9.4635),
        ("1 1/2", "gal", 5.678),
    ],
)
def test_log_reads_water_in_every_unit(
    client: TestClient, garden: Garden, amount: str, unit: str, kilograms: float
) -> None:
    (entry,) = sent(client, garden, water=amount, water_unit=unit)
    assert entry.kind is EntryKind.WET
    assert entry.body["water_kg"] == pytest.approx(kilograms, rel=1e-3)


def test_log_gives_the_water_of_a_turn_to_the_turn(client: TestClient, garden: Garden) -> None:
    (entry,) = sent(client, garden, water="20", water_unit="L", turned="stir")
    assert entry.kind is EntryKind.TURN
    assert entry.body == {"bin": "left", "how": "stir", "water_kg": 20.0}


def test_log_lays_what_follows_a_move_on_the_heap_where_it_lies_then(
    client: TestClient, garden: Garden
) -> None:
    turn, cover, cure = sent(
        client, garden, turned="move", to_bin="right", cover="tarp", cure="yes"
    )
    assert turn.body["to_bin"] == cover.body["bin"] == cure.body["bin"] == "right"
    batch = garden.batch_in("right")
    assert batch is not None
    assert batch.stage == "curing"
    assert [e.kind for e in batch.entries[-3:]] == [
        EntryKind.TURN,
        EntryKind.COVER,
        EntryKind.CURE,
    ]
    assert garden.bin("right").cover == "tarp"


def test_log_moves_onto_another_heap_only_when_told_so(client: TestClient, garden: Garden) -> None:
    lot = stock.stock(garden)[0].lot.key
    build.record_build(
        garden, "right", {lot: 1}, 5.0, "Second", at=NOW - timedelta(days=2), origin="page"
    )
    refused = client.post("/log", data={"bin": "left", "turned": "move", "to_bin": "right"})
    assert refused.status_code == 422
    assert "Second stands in Right" in refused.text
    (turn,) = sent(client, garden, turned="move", to_bin="right", onto="yes")
    assert turn.body["onto"] is True
    assert garden.batch_in("left") is None


def test_log_takes_what_is_added_from_its_lot(client: TestClient, garden: Garden) -> None:
    lot = stock.stock(garden)[0].lot
    assert lot.left == 1
    (entry,) = sent(client, garden, **{f"added.{lot.key}": "1/2"})
    assert entry.kind is EntryKind.ADD
    assert entry.body["lines"] == [{"lot": lot.key, "count": 0.5}]
    assert garden.lot(lot.key).left == 0.5


def test_log_of_another_day_is_put_there_in_the_gardens_time(
    client: TestClient, garden: Garden, clock: StillClock
) -> None:
    clock.go_on(minutes=1)
    setup.settings(garden, origin="page", time_zone="America/Phoenix")
    (entry,) = sent(client, garden, temperature="118", at="2026-06-09T07:40")
    assert entry.at.isoformat() == "2026-06-09T14:40:00+00:00"


def test_log_in_a_metric_garden_reads_celsius_litres_and_centimetres(
    client: TestClient, garden: Garden, clock: StillClock
) -> None:
    clock.go_on(minutes=1)
    setup.settings(garden, origin="page", units="metric")
    reading, wet = sent(
        client, garden, temperature="58,5", depth_other="45", water="1", water_unit="pail"
    )
    assert reading.body == {"bin": "left", "temperature_c": 58.5, "depth_m": 0.45}
    assert wet.body["water_kg"] == pytest.approx(10.0)


def test_build_of_an_old_heap_is_put_where_it_began(client: TestClient, garden: Garden) -> None:
    lot = stock.stock(garden)[0].lot.key
    fields = {f"took.{lot}": "1", "name": "Was there", "at": "2026-05-20T12:00", "water": ""}
    answer = client.post("/build/right", data=fields)
    assert answer.status_code == 303
    batch = garden.batch_in("right")
    assert batch is not None
    assert batch.name == "Was there"
    assert f"{batch.built_at:%Y-%m-%d}" == "2026-05-20"


def test_settings_store_only_what_was_changed(
    client: TestClient, garden: Garden, clock: StillClock
) -> None:
    clock.go_on(minutes=1)
    client.post("/setup", data=SETTINGS_SHOWN | {"name": "New name"})
    entry = garden.entries()[-1]
    assert entry.kind is EntryKind.GARDEN
    assert entry.body == {"name": "New name"}
    again = client.post("/setup", data=SETTINGS_SHOWN | {"name": "New name"})
    assert again.headers["location"] == "/setup?same=1"


def test_a_bin_renamed_keeps_its_exact_sizes(
    client: TestClient, garden: Garden, clock: StillClock
) -> None:
    clock.go_on(minutes=1)
    page = client.get("/setup").text
    assert 'name="width" type="text" value="36 in"' in page  # 0.92 m, rounded
    shown = {"width": "36 in", "depth": "36 in", "height": "4 ft", "shade": "50 %"}
    answer = client.post(
        "/setup/bins/left", data=shown | {"bin_name": "Sunny", "wall": "wire", "ground": "grid"}
    )
    assert answer.status_code == 303
    one = garden.bin("left")
    assert (one.wall, one.ground) == ("wire", "grid")
    assert (one.name, one.width_m, one.depth_m) == ("Sunny", 0.92, 0.92)
    assert one.height_m == pytest.approx(1.2192)


def test_whatever_a_page_stores_says_that_it_was_a_page(
    client: TestClient, garden: Garden, clock: StillClock
) -> None:
    clock.go_on(minutes=1)
    before = len(garden.entries())
    size = {"width": "3 ft", "depth": "3 ft", "height": "3 ft"}
    lot = stock.stock(garden)[0].lot.key
    for address, fields in (
        ("/setup", SETTINGS_SHOWN | {"name": "New name"}),
        ("/setup/bins", {"bin_name": "Third", "how_many": "1"} | size),
        ("/setup/bins/left", {"bin_name": "Sunny"} | size),
        ("/setup/containers", {"own_name": "green tub", "own_volume": "30 L"}),
        (
            "/stock",
            {"material": "straw", "container": "other", "count": "2"}
            | {"own_name": "blue tub", "own_volume": "40 L"},
        ),
        ("/setup/bins/right/gone", {}),
        ("/stock/gone", {"lot": lot, f"gone.{lot}": "1"}),
        ("/log", {"bin": "left", "temperature": "120"}),
    ):
        answer = client.post(address, data=fields)
        assert answer.status_code == 303, (address, answer.text)
    reading = garden.entries()[-1].id
    client.post("/log/undo", data={"entry_id": reading})
    client.post("/log/undo", data={"entry_id": reading, "bring_back": "yes"})
    made = garden.entries()[before:]
    assert {entry.kind for entry in made} == {
        EntryKind.GARDEN,
        EntryKind.BIN,
        EntryKind.BIN_GONE,
        EntryKind.CONTAINER,
        EntryKind.LOT,
        EntryKind.LOT_GONE,
        EntryKind.READING,
        EntryKind.UNDO,
    }
    assert {entry.origin for entry in made} == {"page"}


def test_a_bin_is_put_out_of_use_once_and_only_when_it_is_empty(
    client: TestClient, garden: Garden, clock: StillClock
) -> None:
    clock.go_on(minutes=1)
    before = len(garden.entries())
    refused = client.post("/setup/bins/left/gone", data={"entry_id": new_entry_id()})
    assert refused.status_code == 422
    assert "Left cannot be put out of use. First stands in it. Log first" in refused.text
    assert client.post("/setup/bins/nowhere/gone", data={}).status_code == 404
    assert len(garden.entries()) == before
    same = {"entry_id": new_entry_id()}
    first = client.post("/setup/bins/right/gone", data=same)
    assert (first.status_code, len(garden.entries())) == (303, before + 1)
    assert "Right is out of use." in client.get(first.headers["location"]).text
    again = client.post("/setup/bins/right/gone", data=same)
    assert again.headers["location"] == "/setup?again=1"
    assert len(garden.entries()) == before + 1
    assert client.get("/bins/right").status_code == 404
    assert client.get("/api/bins").json()[0]["key"] == "left"
    assert len(client.get("/api/bins").json()) == 1
