"""What a shared garden answers to the wrong passphrase, a stale cookie, a forged form, a low role.

Nothing of it is a stack trace, nothing tells whether a name is known, no secret is written down.
"""

from __future__ import annotations

import re
import sqlite3
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from heapwright.errors import HeapwrightError, NotAllowed
from heapwright.journal.entries import EntryKind, new_entry_id
from heapwright.people import file, passphrase, sign_ins
from heapwright.people.limits import limit, whole
from heapwright.people.roles import Role, read_role
from heapwright.people.store import People
from heapwright.people.waits import Waits, wait_after
from heapwright.web import form_token, sessions
from heapwright.web.app import create_shared_app
from heapwright.workshop.log import log
from heapwright.workshop.transfer import export_journal
from tests.shared_house import (
    ANN,
    CHEAP,
    HAL,
    HERE,
    KIM,
    OURS,
    SECRETS,
    Clock,
    House,
    hidden,
    shared_house,
)

BIN = "quince-bin"
TRACES = ("Traceback", 'File "', "site-packages")
HTML = {"accept": "text/html"}


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with shared_house(tmp_path) as opened:
        yield opened


def try_in(phone: TestClient, name: str, secret: str) -> tuple[int, str]:
    """Try a name and a passphrase; the status and the page without what differs by chance."""
    answer = phone.post("/sign-in", data={"name": name, "passphrase": secret})
    page = re.sub(r'value="[^"]*"', "", answer.text)
    return answer.status_code, page


# ---- the passphrase ----


def test_a_wrong_passphrase_and_an_unknown_name_are_answered_alike(house: House) -> None:
    wrong = try_in(house.phone(), ANN, "not the passphrase")
    unknown = try_in(house.phone("192.168.7.21"), "Nobody At All", "not the passphrase")
    assert wrong[0] == 422
    assert wrong == unknown


def test_an_unknown_name_costs_as_much_work(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    worked = []
    really = passphrase.is_same
    monkeypatch.setattr(
        passphrase, "is_same", lambda said, kept: worked.append(kept) or really(said, kept)
    )
    assert house.people.proved(ANN, "wrong") is None
    assert house.people.proved("Nobody At All", "wrong") is None
    costs = [kept.split("$")[:4] for kept in worked]
    assert costs == [["scrypt", "4", "8", "1"]] * 2


def test_a_passphrase_is_never_shown_again(house: House) -> None:
    _, page = try_in(house.phone(), ANN, "zzz-not-the-passphrase")
    answer = house.phone().post("/sign-in", data={"name": ANN, "passphrase": "zzz-not-the-one"})
    assert "zzz-not" not in answer.text
    assert "zzz-not" not in page


@pytest.mark.parametrize(
    "secret", ["", "short", "a" * 11, "x" * 257, "aaaaaaaaaaaaaaaa", "Ann Oak", "ANN OAKann oak"]
)
def test_a_poor_passphrase_is_refused_without_repeating_it(house: House, secret: str) -> None:
    ann = house.people.known(ANN)
    assert ann is not None
    with pytest.raises(HeapwrightError) as told:
        house.people.set_passphrase(ann.id, secret)
    assert len(secret) < 7 or secret not in told.value.sentence()
    assert house.people.proved(ANN, SECRETS[ANN]) is not None


@pytest.mark.parametrize(
    "secret",
    ["correct fork battery heap", "пять мокрых листьев", "e\u0301te\u0301 d'e\u0301te\u0301 noir"],
)
def test_any_letters_will_do(house: House, secret: str) -> None:
    person = house.people.add("New One", secret, OURS, Role.HELPER)
    assert house.people.proved("new one", secret) == person
    assert house.people.proved("new one", secret + " ") is None


def test_one_letter_written_two_ways_is_one(house: House) -> None:
    house.people.add("New One", "caf\u00e9 caf\u00e9 caf\u00e9", OURS, Role.HELPER)
    assert house.people.proved("New One", "cafe\u0301 cafe\u0301 cafe\u0301") is not None


# ---- too many tries ----


def test_wrong_tries_have_to_wait_longer_and_longer(house: House) -> None:
    phone = house.phone()
    for _ in range(whole("free_tries")):
        assert try_in(phone, ANN, "wrong again")[0] == 422
    answer = phone.post("/sign-in", data={"name": ANN, "passphrase": SECRETS[ANN]})
    assert answer.status_code == 429
    assert int(answer.headers["retry-after"]) >= limit("first_wait_s")
    assert "Wait" in answer.text
    house.clock.go_on(seconds=limit("first_wait_s") + 1)
    assert try_in(phone, ANN, "wrong again")[0] == 422
    house.clock.go_on(seconds=limit("first_wait_s") + 1)
    assert try_in(phone, ANN, SECRETS[ANN])[0] == 429
    house.clock.go_on(seconds=limit("longest_wait_s"))
    assert try_in(phone, ANN, SECRETS[ANN])[0] == 303


def test_a_name_is_guarded_whatever_address_tries_it(house: House) -> None:
    for number in range(whole("free_tries")):
        try_in(house.phone(f"192.168.7.{number + 50}"), ANN, "wrong again")
    assert try_in(house.phone("192.168.7.99"), ANN, "wrong again")[0] == 429
    assert try_in(house.phone("192.168.7.99"), KIM, SECRETS[KIM])[0] == 303


def test_a_name_is_guarded_however_its_letters_are_written(house: House) -> None:
    spellings = [
        "Ann Oak",
        "ann  OAK",
        "\uff21nn Oak",
        "\uff21\uff2e\uff2e Oak",
        "A\uff4e\uff4e oak",
    ]
    assert len(spellings) == whole("free_tries")
    for number, name in enumerate(spellings):
        assert house.people.proved(name, SECRETS[ANN]) is not None, "the same person"
        try_in(house.phone(f"192.168.7.{number + 50}"), name, "wrong again")
    assert try_in(house.phone("192.168.7.99"), ANN, "wrong again")[0] == 429


def test_an_address_is_held_back_whatever_names_it_tries(house: House) -> None:
    phone = house.phone()
    for number in range(whole("free_tries")):
        try_in(phone, f"Somebody {number}", "wrong again")
    assert try_in(phone, KIM, SECRETS[KIM])[0] == 429


def test_many_at_once_gain_nothing() -> None:
    clock = Clock()
    waits = Waits(clock.seconds)
    passed: list[float] = []
    threads = [
        threading.Thread(target=lambda: passed.append(waits.begin(["name ann"]))) for _ in range(60)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert passed.count(0.0) == whole("free_tries")


def test_waits_grow_to_their_end_and_are_forgotten_in_time() -> None:
    assert [wait_after(n) for n in (0, 1, 2)] == [2.0, 4.0, 8.0]
    assert wait_after(10_000) == limit("longest_wait_s")
    clock = Clock()
    waits = Waits(clock.seconds)
    while waits.begin(["name ann"]) == 0.0:
        pass
    clock.go_on(hours=limit("forget_hours") + 1)
    assert waits.begin(["name ann"]) == 0.0


def test_remembering_tries_does_not_fill_the_memory() -> None:
    waits = Waits(Clock().seconds)
    for number in range(whole("most_followed") + 50):
        waits.begin([f"address {number}"])
    assert len(waits._tries) <= whole("most_followed") + 1


# ---- the sign-in and its end ----


def test_the_cookie_is_for_this_site_alone_and_unread_by_scripts(house: House) -> None:
    answer = house.phone().post("/sign-in", data={"name": ANN, "passphrase": SECRETS[ANN]})
    cookie = answer.headers["set-cookie"].lower()
    assert cookie.startswith("heapwright=")
    for part in ("httponly", "samesite=lax", "path=/"):
        assert part in cookie
    assert "secure" not in cookie


def test_by_https_the_cookie_is_bound_to_it(house: House) -> None:
    phone = TestClient(
        house.app,
        base_url="https://127.0.0.1",
        follow_redirects=False,
        client=("127.0.0.1", 50000),
    )
    answer = phone.post("/sign-in", data={"name": ANN, "passphrase": SECRETS[ANN]})
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith("__Host-heapwright=")
    assert "Secure" in cookie
    assert "domain" not in cookie.lower()


@pytest.mark.parametrize(
    "cookie", ["", "x", "0" * 43, "%00", "a" * 5000, "' OR 1=1 --", "../../etc", "\u00fc"]
)
def test_a_made_up_cookie_opens_nothing(house: House, cookie: str) -> None:
    raw = f"heapwright={cookie}".encode("latin-1")
    answer = house.phone().get("/api/bins", headers={b"cookie": raw})  # type: ignore[dict-item]
    assert answer.status_code == 401
    assert answer.json()["code"] == "not-signed-in"


def test_a_changed_letter_of_the_cookie_opens_nothing(house: House) -> None:
    phone = house.signed_in(ANN)
    token = phone.cookies["heapwright"]
    other = ("A" if token[0] != "A" else "B") + token[1:]
    answer = house.phone().get("/api/bins", headers={"cookie": f"heapwright={other}"})
    assert answer.status_code == 401


@pytest.mark.parametrize("waited", ["idle_days", "absolute_days"])
def test_a_sign_in_ends_by_disuse_and_by_age(house: House, waited: str) -> None:
    phone = house.signed_in(ANN)
    step = limit("idle_days") - 1 if waited == "absolute_days" else limit(waited) + 1
    for _ in range(int(limit(waited) / step) + 1):
        house.clock.go_on(days=step)
        answer = phone.get("/api/bins")
    assert answer.status_code == 401


def test_used_now_and_then_a_sign_in_goes_on(house: House) -> None:
    phone = house.signed_in(ANN)
    house.clock.go_on(days=limit("idle_days") - 1)
    assert phone.get("/api/bins").status_code == 200
    house.clock.go_on(days=limit("idle_days") - 1)
    assert phone.get("/api/bins").status_code == 200


def test_an_ended_sign_in_answers_programs_in_json_and_people_with_the_door(house: House) -> None:
    phone = house.phone()
    told = phone.get("/bins/quince-bin", headers={"accept": "application/json"})
    assert (told.status_code, told.headers["content-type"]) == (401, "application/problem+json")
    shown = phone.get("/bins/quince-bin?day=3", headers=HTML)
    assert shown.status_code == 303
    assert shown.headers["location"] == "/sign-in?back=%2Fbins%2Fquince-bin%3Fday%3D3"
    sent = phone.post("/log", data={"bin": BIN}, headers={"accept": "application/json"})
    assert sent.status_code == 401
    assert house.phone().get("/session.json", headers=HTML).status_code == 401


def test_what_was_typed_survives_an_ended_sign_in(house: House) -> None:
    phone = house.phone()
    typed = {"bin": BIN, "note": 'Leaves <b>& "worms"</b>\nand rain', "entry_id": new_entry_id()}
    door = phone.post("/log", data=typed)
    assert door.status_code == 401
    import html

    kept = html.unescape(hidden(door.text, "kept"))
    page = phone.post(
        "/sign-in",
        data={"name": HAL, "passphrase": SECRETS[HAL], "kept": kept, "kept_for": "/log"},
    )
    assert page.status_code == 200
    assert 'action="/log"' in page.text
    fields = dict(
        re.findall(r'<textarea[^>]*name="([^"]*)"[^>]*>\n(.*?)</textarea>', page.text, re.S)
    )
    fields = {name: html.unescape(text) for name, text in fields.items()}
    assert fields == typed
    fields[form_token.FIELD] = hidden(page.text, form_token.FIELD)
    assert phone.post("/log", data=fields).status_code == 303
    entry = house.gardens[OURS].entries()[-1]
    assert (entry.author, entry.body["text"]) == (HAL, typed["note"])


@pytest.mark.parametrize("back", ["//evil.example", "https://evil.example", "/\\evil.example"])
def test_signing_in_never_leads_elsewhere(house: House, back: str) -> None:
    data = {"name": ANN, "passphrase": SECRETS[ANN], "back": back}
    assert house.phone().post("/sign-in", data=data).headers["location"] == "/"


def test_signing_out_ends_it_here_and_everywhere(house: House) -> None:
    one, other = house.signed_in(ANN), house.signed_in(ANN)
    assert one.post("/sign-out").status_code == 200
    assert one.get("/api/bins").status_code == 401
    assert other.get("/api/bins").status_code == 200
    third = house.signed_in(ANN)
    third.post("/sign-out/everywhere")
    assert other.get("/api/bins").status_code == 401


def test_signing_in_again_ends_the_phones_former_sign_in(house: House) -> None:
    phone = house.signed_in(ANN)
    former = phone.cookies["heapwright"]
    phone.post("/sign-in", data={"name": KIM, "passphrase": SECRETS[KIM]})
    assert sign_ins.look_up(house.people, former) is None


def test_a_new_passphrase_ends_the_other_sign_ins(house: House) -> None:
    one, other = house.signed_in(HAL), house.signed_in(HAL)
    new = "twelve and more letters"
    data = {"present": SECRETS[HAL], "passphrase": new, "again": new}
    assert one.post("/you/passphrase", data=data).status_code == 303
    assert one.get("/api/bins").status_code == 200
    assert other.get("/api/bins").status_code == 401
    assert house.people.proved(HAL, new) is not None


@pytest.mark.parametrize(
    "changed", [{"present": "not it at all"}, {"again": "something else here"}, {"passphrase": "x"}]
)
def test_a_passphrase_is_changed_only_by_who_knows_it(
    house: House, changed: dict[str, str]
) -> None:
    new = "twelve and more letters"
    data = {"present": SECRETS[HAL], "passphrase": new, "again": new, **changed}
    answer = house.signed_in(HAL).post("/you/passphrase", data=data)
    assert answer.status_code == 422
    assert house.people.proved(HAL, SECRETS[HAL]) is not None


def test_one_person_has_not_endless_sign_ins(house: House) -> None:
    ann = house.people.known(ANN)
    assert ann is not None
    first = sign_ins.begin(house.people, ann.id, OURS)
    house.clock.go_on(minutes=1)
    for _ in range(whole("most_sign_ins")):
        sign_ins.begin(house.people, ann.id, OURS)
    assert sign_ins.look_up(house.people, first) is None


# ---- forged forms ----


def test_a_form_without_its_token_stores_nothing(house: House) -> None:
    phone = house.signed_in(HAL)
    del phone.headers["heapwright-token"]
    before = house.gardens[OURS].entries()
    sent = phone.post("/log", data={"bin": BIN, "note": "forged"})
    assert sent.status_code == 403
    assert "does not belong to your present sign-in" in sent.text
    entries = {"entries": []}
    assert phone.post("/api/entries", json=entries).status_code == 403
    assert house.gardens[OURS].entries() == before


def test_anothers_token_will_not_do(house: House) -> None:
    hal, kim = house.signed_in(HAL), house.signed_in(KIM)
    hal.headers["heapwright-token"] = kim.headers["heapwright-token"]
    assert hal.post("/log", data={"bin": BIN, "note": "forged"}).status_code == 403


@pytest.mark.parametrize("token", ["", ".", "a.b", "\u00e9.\u00e9", "0" * 81, "a" * 9000])
def test_a_made_up_token_will_not_do(house: House, token: str) -> None:
    phone = house.signed_in(HAL)
    del phone.headers["heapwright-token"]
    data = {"bin": BIN, "note": "forged", form_token.FIELD: token}
    assert phone.post("/log", data=data).status_code == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_another_sites_form_is_refused_even_with_the_token(house: House, site: str) -> None:
    phone = house.signed_in(HAL)
    headers = {"sec-fetch-site": site, "origin": "http://evil.example"}
    assert phone.post("/log", data={"bin": BIN, "note": "x"}, headers=headers).status_code == 403


@pytest.mark.parametrize("path", ["/log", "/stock", "/setup", "/import", "/people", "/you"])
def test_every_form_that_posts_carries_a_token_that_fits(house: House, path: str) -> None:
    phone = house.signed_in(ANN)
    page = phone.get(path).text
    forms = re.findall(r"<form\b[^>]*method=\"post\"[^>]*>.*?</form>", page, re.S)
    assert forms
    ann = sign_ins.look_up(house.people, phone.cookies["heapwright"])
    assert ann is not None
    for form in forms:
        assert sign_ins.is_form_token(ann, hidden(form, form_token.FIELD))


def test_a_token_is_another_on_each_page_and_no_part_of_what_was_filled_in(house: House) -> None:
    phone = house.signed_in(HAL)
    tokens = {hidden(phone.get("/log").text, form_token.FIELD) for _ in range(2)}
    assert len(tokens) == 2
    del phone.headers["heapwright-token"]
    same = {"bin": BIN, "note": "once", "entry_id": new_entry_id()}
    for token in tokens:  # the same form with another token is still the same form
        phone.post("/log", data={**same, form_token.FIELD: token})
    texts = [entry.body.get("text") for entry in house.gardens[OURS].entries()]
    assert texts.count("once") == 1


# ---- a role that does not reach ----


@pytest.mark.parametrize(
    "name, method, path",
    [
        (HAL, "GET", "/build"),
        (HAL, "GET", f"/build/{BIN}"),
        (HAL, "POST", "/stock"),
        (HAL, "GET", "/setup"),
        (HAL, "GET", "/import"),
        (HAL, "POST", f"/bins/{BIN}/ready"),
        (HAL, "GET", "/people"),
        (HAL, "GET", "/api/export/journal.json"),
        (KIM, "GET", "/people"),
        (KIM, "POST", "/people"),
        (KIM, "POST", "/setup"),
        (KIM, "POST", f"/setup/bins/{BIN}/gone"),
        (KIM, "GET", "/export/journal.json"),
        (KIM, "POST", "/import/journal"),
    ],
)
def test_a_role_that_does_not_reach_is_told_kindly(
    house: House, name: str, method: str, path: str
) -> None:
    phone = house.signed_in(name)
    before = house.gardens[OURS].entries()
    answer = phone.request(method, path, data={"role": "owner"} if method == "POST" else None)
    assert answer.status_code == 403
    assert ("does this" in answer.text) and not any(trace in answer.text for trace in TRACES)
    assert house.gardens[OURS].entries() == before


@pytest.mark.parametrize(
    "kind, body, status",
    [
        ("note", {"bin": BIN, "text": "Warm"}, None),
        ("bin", {"key": "new", "name": "New", "width_m": 1, "depth_m": 1, "height_m": 1}, 403),
        ("garden", {"name": "Mine now"}, 403),
        ("bin_gone", {"bin": BIN}, 403),
    ],
)
def test_the_interface_for_programs_holds_each_kind_to_its_role(
    house: House, kind: str, body: dict[str, object], status: int | None
) -> None:
    entry = {
        "id": new_entry_id(),
        "kind": kind,
        "at": "2026-06-18T14:00:00Z",
        "body": body,
        "author": ANN,
    }
    told = house.signed_in(HAL).post("/api/entries", json={"entries": [entry]}).json()
    if status is None:
        assert told["stored"] == [entry["id"]]
        assert house.gardens[OURS].entries()[-1].author == HAL, "the body may not say who wrote it"
    else:
        assert told["refused"][0]["problem"]["status"] == status


def test_a_helper_takes_back_only_what_is_their_own(house: House) -> None:
    ours = house.gardens[OURS]
    hal, kim = house.signed_in(HAL), house.signed_in(KIM)
    hal.post("/log", data={"bin": BIN, "note": "by Hal"})
    by_hal = ours.entries()[-1].id
    kim.post("/log", data={"bin": BIN, "note": "by Kim"})
    by_kim = ours.entries()[-1].id
    assert hal.post("/log/undo", data={"entry_id": by_kim}).status_code == 403
    assert hal.post("/log/undo", data={"entry_id": by_hal}).status_code == 303
    bring_back = {"entry_id": by_hal, "bring_back": "1"}
    assert hal.post("/log/undo", data=bring_back).status_code == 303
    assert kim.post("/log/undo", data={"entry_id": by_hal}).status_code == 303
    settings_entry = next(e.id for e in ours.entries() if e.kind is EntryKind.GARDEN)
    assert kim.post("/log/undo", data={"entry_id": settings_entry}).status_code == 403


def test_what_an_owner_set_is_not_altered_by_way_of_another_entry(house: House) -> None:
    """A keeper neither brings back what the owner took back nor corrects an owner's entry."""
    ours, ann, kim = house.gardens[OURS], house.signed_in(ANN), house.signed_in(KIM)
    log(ours, EntryKind.GARDEN, {"name": "Rowan yard"}, origin="page")
    renamed = ours.entries()[-1].id
    assert ann.post("/log/undo", data={"entry_id": renamed}).status_code == 303
    taken_back = ours.entries()[-1].id
    before = ours.entries()
    for kind, body in (
        ("undo", {"of": taken_back}),
        ("correct", {"of": renamed, "at": "2026-06-18T10:00:00+00:00"}),
    ):
        entry = {"id": new_entry_id(), "kind": kind, "at": "2026-06-18T14:00:00Z", "body": body}
        told = kim.post("/api/entries", json={"entries": [entry]}).json()
        assert told["refused"][0]["problem"]["status"] == 403, kind
    assert ours.entries() == before
    assert ours.state().settings.name == "Quince yard"


def test_who_was_a_keeper_does_not_bring_back_a_keepers_entry_as_helper(house: House) -> None:
    ours, kim = house.gardens[OURS], house.people.known(KIM)
    assert kim is not None
    phone = house.signed_in(KIM)
    phone.post("/stock", data={"material": "dry leaves", "container": "wheelbarrow", "count": "9"})
    lot = ours.entries()[-1]
    assert (lot.kind, lot.author) == (EntryKind.LOT, KIM)
    phone.post("/log/undo", data={"entry_id": lot.id})
    house.people.give_role(kim.id, OURS, Role.HELPER)
    before = ours.entries()
    bring_back = {"entry_id": lot.id, "bring_back": "1"}
    assert phone.post("/log/undo", data=bring_back).status_code == 403
    assert ours.entries() == before


def test_what_a_phone_sends_again_under_another_name_is_stored_once(house: House) -> None:
    entry = {
        "id": new_entry_id(),
        "kind": "note",
        "at": "2026-06-18T14:00:00Z",
        "body": {"bin": BIN, "text": "Warm"},
    }
    sent = {"entries": [entry]}
    house.signed_in(HAL).post("/api/entries", json=sent)
    told = house.signed_in(KIM).post("/api/entries", json=sent).json()
    assert told["already_there"] == [entry["id"]]
    assert house.gardens[OURS].entries()[-1].author == HAL


# ---- people ----


def test_no_garden_is_left_without_an_owner(house: House) -> None:
    ann = house.people.known(ANN)
    assert ann is not None
    phone = house.signed_in(ANN)
    for path, data in (("role", {"role": "keeper"}), ("out", {})):
        answer = phone.post(f"/people/{ann.id}/{path}", data=data)
        assert answer.status_code == 422
        assert "only owner" in answer.text
    assert house.people.has_owner(OURS)


def test_an_owner_opens_no_other_garden_by_a_new_passphrase(house: House) -> None:
    nell = house.people.known("Nell Fir")
    assert nell is not None
    house.people.give_role(nell.id, OURS, Role.HELPER)
    new = {"passphrase": "a quite new secret", "again": "a quite new secret"}
    answer = house.signed_in(ANN).post(f"/people/{nell.id}/passphrase", data=new)
    assert answer.status_code == 403
    assert house.people.proved("Nell Fir", SECRETS["Nell Fir"]) is not None


@pytest.mark.parametrize(
    "name", ["", "   ", "a" * 41, "a" * 100_000, "Ann\u202eOak", "Ann\x00", "ann  OAK", "\ud800"]
)
def test_a_name_that_cannot_be_is_refused(house: House, name: str) -> None:
    with pytest.raises(HeapwrightError):
        house.people.add(name, "a quite new secret", OURS, Role.HELPER)
    typed = name.encode("utf-8", "replace").decode().replace("?", "")
    data = {"name": typed, "passphrase": "a quite new secret", "again": "a quite new secret"}
    answer = house.signed_in(ANN).post("/people", data={**data, "role": "helper"})
    assert answer.status_code in (409, 422)
    assert house.phone().post("/sign-in", data={**data, "name": typed}).status_code == 422


@pytest.mark.parametrize("role", ["", "king", "OWNER ", "<script>"])
def test_a_role_there_is_not_is_named(role: str) -> None:
    if role.strip().lower() == "owner":
        assert read_role(role) is Role.OWNER
        return
    with pytest.raises(HeapwrightError, match="helper, keeper or owner"):
        read_role(role)


def test_a_pen_refuses_before_anything_is_stored(house: House) -> None:
    from heapwright.workshop.pen import Pen

    view = house.gardens[OURS].written_by(Pen(HAL, Role.HELPER))
    before = view.entries()
    with pytest.raises(NotAllowed):
        log(view, EntryKind.BIN_GONE, {"bin": BIN}, origin="page")
    assert view.entries() == before


# ---- who may come at all ----


@pytest.mark.parametrize("host", ["evil.example", "8.8.8.8", "ours.evil.example", ""])
def test_a_foreign_name_for_this_machine_is_refused(house: House, host: str) -> None:
    answer = house.phone().get("/sign-in", headers={"host": host})
    assert answer.status_code == 421
    assert "--name" in answer.text


@pytest.mark.parametrize("host", ["192.168.7.1:8055", "10.1.2.3", "[fd00::1]:8055", "localhost"])
def test_a_home_networks_number_is_answered(house: House, host: str) -> None:
    assert house.phone().get("/sign-in", headers={"host": host}).status_code == 200


@pytest.mark.parametrize("address", ["8.8.8.8", "2001:4860::1", "not an address", ""])
def test_who_asks_from_outside_is_refused(house: House, address: str) -> None:
    answer = house.phone(address).get("/sign-in")
    assert answer.status_code == 403
    assert "home network only" in answer.text


@pytest.mark.parametrize(
    "address", ["192.168.1.4", "100.64.3.2", "fe80::1%eth0", "::ffff:10.0.0.1"]
)
def test_who_asks_from_home_is_answered(house: House, address: str) -> None:
    assert house.phone(address).get("/sign-in").status_code == 200


def test_a_forwarded_header_is_not_believed_by_itself(house: House) -> None:
    for number in range(whole("free_tries") + 1):
        answer = house.phone().post(
            "/sign-in",
            data={"name": f"Nobody {number}", "passphrase": "wrong again"},
            headers={"x-forwarded-for": f"10.0.0.{number}"},
        )
    assert answer.status_code == 429


# ---- what is kept ----


def test_no_secret_is_in_the_file_the_journal_or_an_export(house: House, tmp_path: Path) -> None:
    phone = house.signed_in(ANN)
    token = phone.cookies["heapwright"]
    phone.post("/log", data={"bin": BIN, "note": "Warm"})
    everything = b"".join(path.read_bytes() for path in tmp_path.rglob("*") if path.is_file())
    for secret in (*SECRETS.values(), token, phone.headers["heapwright-token"]):
        assert secret.encode() not in everything
    export = export_journal(house.gardens[OURS])
    assert "scrypt" not in export
    assert ANN in export, "who wrote an entry belongs to the garden's story"


def test_the_file_of_people_is_its_users_alone(house: House) -> None:
    assert house.people.path.stat().st_mode & 0o777 == 0o600


def test_a_file_that_is_no_file_of_people_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "people.sqlite3"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE recipes (id)")
    with pytest.raises(HeapwrightError, match="another program"):
        People.open(path, cost=CHEAP)
    path.write_bytes(b"no database at all, but some words")
    with pytest.raises(HeapwrightError, match="cannot be used"):
        People.open(path, cost=CHEAP)


@pytest.mark.parametrize(
    "name, why",
    [
        ("SQLITE_READONLY_DIRECTORY", "may be read but not written"),
        ("SQLITE_IOERR_WRITE", "disk cannot be written to"),
        ("SQLITE_BUSY_SNAPSHOT", "program has been writing"),
        ("SQLITE_MISUSE", "SQLITE_MISUSE"),
    ],
)
def test_what_the_database_says_is_told_in_words(house: House, name: str, why: str) -> None:
    trouble = sqlite3.OperationalError("at row 3, secret")
    trouble.sqlite_errorname = name
    with (
        pytest.raises(HeapwrightError, match=why) as told,
        file.reading(house.people.engine, house.people.path),
    ):
        raise trouble
    assert "secret" not in told.value.sentence()


def test_a_garden_that_is_no_longer_shared_lets_nobody_in(house: House) -> None:
    phone = house.signed_in(ANN)
    sharing = sessions.Sharing(house.people, {}, Waits(house.clock.seconds))
    elsewhere = TestClient(
        create_shared_app(sharing),
        base_url=HERE,
        follow_redirects=False,
        client=("127.0.0.1", 1),
        cookies=dict(phone.cookies),
    )
    assert elsewhere.get("/").status_code == 303
    data = {"name": ANN, "passphrase": SECRETS[ANN]}
    assert elsewhere.post("/sign-in", data=data).status_code == 422
