"""People at the command line: let in, given a role or passphrase, taken out; what serving needs."""

from __future__ import annotations

from pathlib import Path

import pytest

from heapwright.people import passphrase
from heapwright.people.file import place_beside
from heapwright.people.passphrase import Cost
from heapwright.people.store import People
from tests.workshop.cli_terminal import Terminal, a_terminal, with_bins

SECRET = "four old pails hum\n"


@pytest.fixture
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    monkeypatch.setattr(passphrase, "usual_cost", lambda: Cost(4, 8, 1))
    made = a_terminal(tmp_path, monkeypatch)
    with_bins(made)
    return made


def test_an_owner_is_made_first_and_then_others(terminal: Terminal) -> None:
    assert "Nobody yet" in terminal.tell("people")
    refused = terminal.refused("people", "add", "Hal Ash", typed=SECRET)
    assert "no owner yet" in refused
    told = terminal.tell("people", "add", "Ann Oak", "--role", "owner", typed=SECRET)
    assert "Ann Oak is in this garden as owner" in told
    terminal.tell("people", "add", "Hal Ash", typed=SECRET)
    assert terminal.json("people") == [
        {"name": "Ann Oak", "role": "owner"},
        {"name": "Hal Ash", "role": "helper"},
    ]
    assert "already" in terminal.refused("people", "add", "hal ash", typed=SECRET)


def test_roles_passphrases_and_leaving(terminal: Terminal) -> None:
    terminal.tell("people", "add", "Ann Oak", "--role", "owner", typed=SECRET)
    terminal.tell("people", "add", "Hal Ash", typed=SECRET)
    assert "as keeper" in terminal.tell("people", "role", "Hal Ash", "--role", "keeper")
    told = terminal.tell("people", "passphrase", "Hal Ash", typed="seven wet leaves sing\n")
    assert "signed out everywhere" in told
    store = People.open(place_beside(terminal.garden))
    try:
        assert store.proved("Hal Ash", "seven wet leaves sing") is not None
        assert store.proved("Hal Ash", SECRET.strip()) is None
    finally:
        store.close()
    assert "signed out" in terminal.tell("people", "sign-out", "Hal Ash")
    assert "only owner" in terminal.refused("people", "remove", "Ann Oak")
    assert "no longer" in terminal.tell("people", "remove", "Hal Ash")
    assert terminal.json("people") == [{"name": "Ann Oak", "role": "owner"}]


def test_who_is_in_the_next_garden_is_let_in_with_the_passphrase_they_have(
    terminal: Terminal,
) -> None:
    terminal.tell("people", "add", "Ann Oak", "--role", "owner", typed=SECRET)
    other = terminal.garden.with_name("other.heapwright")
    other.write_bytes(terminal.garden.read_bytes())
    at_other = ("--garden", str(other))
    assert "Nobody yet" in terminal.tell("people", *at_other)
    told = terminal.tell("people", "add", "ann oak", "--role", "owner", *at_other)
    assert "Ann Oak is in this garden as owner" in told


def test_an_unknown_name_is_told_who_is_there_in_the_gardens_language(terminal: Terminal) -> None:
    terminal.tell("people", "add", "Ann Oak", "--role", "owner", typed=SECRET)
    terminal.tell("people", "add", "Hal Ash", typed=SECRET)
    assert "Ann Oak and Hal Ash" in terminal.refused("people", "sign-out", "Bo")
    terminal.tell("setup", "--language", "es")
    assert "Ann Oak y Hal Ash" in terminal.refused("people", "sign-out", "Bo")


def test_a_file_that_is_no_garden_has_no_people(terminal: Terminal) -> None:
    words = terminal.garden.with_name("words.txt")
    words.write_text("These are no garden.", encoding="utf-8")
    at_words = ("--garden", str(words))
    told = terminal.refused("people", "add", "Ann Oak", *at_words, code=3, typed=SECRET)
    assert "not a journal" in told
    assert not place_beside(words).exists()


@pytest.mark.parametrize(
    "words, typed, why",
    [
        (("add", "Ann Oak", "--role", "owner"), "short\n", "it needs 12 or more"),
        (("add", "Ann Oak", "--role", "owner"), "", "nobody to ask"),
        (("add", "Ann Oak", "--role", "king"), SECRET, "helper, keeper or owner"),
        (("role", "Nobody", "--role", "owner"), None, "Nobody in this garden"),
        (("remove", "Nobody"), None, "Nobody in this garden"),
    ],
)
def test_what_cannot_be_is_told(
    terminal: Terminal, words: tuple[str, ...], typed: str | None, why: str
) -> None:
    told = terminal.refused("people", *words, typed=typed)
    assert why.lower() in told.lower()
    assert typed is None or not typed.strip() or typed.strip() not in told
    assert "Nobody yet" in terminal.tell("people")


@pytest.mark.parametrize(
    "words, why",
    [
        (("--share",), "has no owner yet"),
        (("--https",), "--https without --share"),
        (("--name", "a.local"), "--name without --share"),
        (("--behind-proxy", "127.0.0.1"), "--behind-proxy without --share"),
        (("--share", "--demo"), "invented garden is not shared"),
        (("--share", "/nowhere/at/all"), "There is no garden"),
    ],
)
def test_serving_refuses_what_would_be_less_safe_than_meant(
    terminal: Terminal, words: tuple[str, ...], why: str
) -> None:
    assert why in terminal.refused("serve", "--port", "0", "--no-open", *words)
