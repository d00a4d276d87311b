"""Doing what Today says, logged with two taps: what stands in the link, and what it may propose."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from urllib.parse import parse_qsl, urlsplit

import pytest
from starlette.testclient import TestClient

from heapwright.advice import phrases
from heapwright.advice.types import Advice, Job, Sureness
from heapwright.heap.types import Cover
from heapwright.journal.entries import EntryKind
from heapwright.sentences import say, water, word
from heapwright.web import done_link
from heapwright.web.app import create_app
from heapwright.web.forms import Filled
from heapwright.workshop import build, stock
from heapwright.workshop.answers import BinToday
from heapwright.workshop.done_as_told import DoneAsTold, done_as_told
from heapwright.workshop.garden import Garden
from heapwright.workshop.today import bin_today
from tests.workshop.conftest import NOW


@pytest.fixture
def full(garden: Garden) -> Garden:
    """Return the garden with a heap in its left bin and straw left over."""
    stock.add_lot(garden, material="straw", container="wheelbarrow", count=4, origin="page")
    counts = {line.lot.key: 3 for line in stock.stock(garden)}
    build.record_build(
        garden, "left", counts, 30.0, "First", at=NOW - timedelta(days=5), origin="page"
    )
    return garden


def advised(garden: Garden, job: Job, **parts) -> BinToday:
    """Return the left bin as Today shows it, with another job."""
    advice = Advice(job, say("Do it."), (), (), (), (), Sureness.SEEN)
    shown = BinToday(
        garden.bin("left"), "first", "First", 5.0, "hot", replace(advice, **parts), None, None, ()
    )
    return shown


def test_a_wetting_is_the_likely_water(full: Garden) -> None:
    amounts = (
        say("Squeeze first."),
        say("About {likely} ({low} to {high}).", likely=water(20), low=water(10), high=water(30)),
    )
    shown = advised(full, Job.WET, amounts=amounts)
    assert done_as_told(full, shown) == DoneAsTold("left", water_kg=20.0)


def test_a_move_names_the_next_bin_and_the_cap(full: Garden) -> None:
    shown = advised(
        full,
        Job.MOVE,
        headline=say("Move it to {bin}, outside in.", bin=word("Right")),
        afterwards=(phrases.END_WITH_BROWN,),
    )
    told = done_as_told(full, shown)
    assert told == DoneAsTold("left", turned="move", to_bin="right", cover=Cover.BROWN_CAP)


def test_brown_mixed_in_names_its_lots(full: Garden) -> None:
    (lot,) = full.state().lots
    shown = advised(full, Job.MIX_IN_BROWN, lines=((lot, 1),))
    assert done_as_told(full, shown) == DoneAsTold("left", turned="stir", lines=((lot, 1),))


@pytest.mark.parametrize("job", [Job.LEAVE, Job.READ, Job.TEST, Job.BUILD, Job.STAND_BACK])
def test_what_has_a_page_of_its_own_or_nothing_to_log_is_not_offered(
    full: Garden, job: Job
) -> None:
    assert done_as_told(full, advised(full, job)) is None


def test_every_job_is_thought_of(full: Garden) -> None:
    offered = {job for job in Job if done_as_told(full, advised(full, job)) is not None}
    assert offered == {
        *(Job.STIR, Job.MOVE, Job.MIX_IN_BROWN, Job.MIX_IN_GREEN, Job.WET, Job.CAP, Job.CURE),
    }


def test_the_link_fills_the_form_and_one_save_stores_it(full: Garden) -> None:
    (lot,) = full.state().lots
    done = DoneAsTold(
        "left", "move", "right", 18.927, Cover.BROWN_CAP, lines=((lot, 1),), cured=False
    )
    address = done_link.address(done, full.state())
    client = TestClient(create_app(full), base_url="http://127.0.0.1", follow_redirects=False)
    page = client.get(address).text
    assert "Filled in as Today said" in page
    assert "Moved to Right, outside in, with 5 gal." in page
    fields = dict(parse_qsl(urlsplit(address).query))
    assert fields["water"] == "5"
    before = len(full.entries())
    assert client.post("/log", data=fields).status_code == 303
    kinds = [entry.kind for entry in full.entries()[before:]]
    assert kinds == [EntryKind.ADD, EntryKind.TURN, EntryKind.COVER]
    assert full.state().bins["right"].batch_key is not None


@pytest.mark.parametrize(
    "asked, left",
    [
        ([("temperature", "999"), ("turned", "stir")], {"turned": "stir"}),
        ([("turned", "burn")], {}),
        ([("turned", "move"), ("to_bin", "left"), ("cover", "tarp")], {"cover": "tarp"}),
        ([("turned", "move")], {}),
        ([("water", "lots"), ("water_unit", "pail"), ("cover", "lid")], {"cover": "lid"}),
        ([("water", "1e9"), ("turned", "stir")], {"turned": "stir"}),
        ([("added.nothing", "3"), ("turned", "stir")], {"turned": "stir"}),
        ([("note", "<script>"), ("cover", "lid")], {"cover": "lid"}),
        ([], {}),
    ],
)
def test_an_address_proposes_only_what_can_be(
    full: Garden, asked: list[tuple[str, str]], left: dict[str, str]
) -> None:
    form = done_link.proposed(Filled([("bin", "left"), *asked]), full.state())
    rest = {name: text for name, text in form.given if name not in ("bin", "water_unit")}
    assert rest == left


@pytest.mark.parametrize("bin_key", ["", "nowhere", "right"])
def test_an_address_for_a_bin_without_a_heap_proposes_nothing(full: Garden, bin_key: str) -> None:
    asked = Filled([("bin", bin_key), ("turned", "stir")])
    assert done_link.proposed(asked, full.state()).is_empty


def test_the_job_of_a_real_heap_is_offered_on_today_and_its_bin(full: Garden) -> None:
    client = TestClient(create_app(full), base_url="http://127.0.0.1")
    address = done_link.for_bin(full, bin_today(full, "left"))
    for page in ("/", "/bins/left"):
        assert (f'href="{address.replace("&", "&amp;")}"' in client.get(page).text) == bool(address)


@pytest.mark.parametrize("key, status", [("left", 303), ("nowhere", 404), ("a" * 80, 404)])
def test_a_printed_code_opens_log_with_its_bin_or_says_it_is_gone(
    full: Garden, key: str, status: int
) -> None:
    client = TestClient(create_app(full), base_url="http://127.0.0.1", follow_redirects=False)
    answer = client.get(f"/b/{key}")
    assert answer.status_code == status
    if status == 303:
        assert answer.headers["location"] == f"/log?bin={key}"
    else:
        assert "No bin has this code" in answer.text
        assert 'href="/log?bin=left"' in answer.text


def test_a_code_of_a_bin_out_of_use_says_so(full: Garden) -> None:
    from heapwright.workshop.log import log

    log(full, EntryKind.BIN_GONE, {"bin": "right"}, origin="page")
    client = TestClient(create_app(full), base_url="http://127.0.0.1")
    answer = client.get("/b/right")
    assert answer.status_code == 404
    assert "Right is out of use" in answer.text
