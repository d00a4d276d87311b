"""Two gardens of one folder with their people, shared, for tests; everything in it is invented.

`Ann` owns the first garden, `Kim` keeps it and `Hal` helps there; `Nell` owns the second and has no
part in the first. Passphrases cost next to nothing here: what they really cost has its own test.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from fastapi import FastAPI
from starlette.testclient import TestClient

from heapwright.people.passphrase import Cost
from heapwright.people.roles import Role
from heapwright.people.store import People
from heapwright.people.waits import Waits
from heapwright.web.app import create_shared_app
from heapwright.web.sessions import Sharing
from heapwright.workshop.garden import Garden
from heapwright.workshop.setup import save_bin, settings

NOW = datetime(2026, 6, 18, 15, 20, tzinfo=UTC)
HERE = "http://127.0.0.1:8055"
CHEAP = Cost(4, 8, 1)
OURS, THEIRS = "ours.heapwright", "theirs.heapwright"
ANN, KIM, HAL, NELL = "Ann Oak", "Kim Elm", "Hal Ash", "Nell Fir"
SECRETS = {
    ANN: "four old pails hum",
    KIM: "seven wet leaves sing",
    HAL: "a fork is no spoon",
    NELL: "nine worms in a row",
}


class Clock:
    """A clock that only moves when a test says so, in days and in seconds alike."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> datetime:
        return self.now

    def seconds(self) -> float:
        return self.now.timestamp()

    def go_on(self, **time: float) -> None:
        self.now += timedelta(**time)


@dataclass
class House:
    """The shared program and what stands behind it."""

    app: FastAPI
    people: People
    gardens: Mapping[str, Garden]
    clock: Clock

    def phone(self, address: str = "192.168.7.20") -> TestClient:
        """A phone that has not signed in."""
        return TestClient(
            self.app,
            base_url=HERE,
            raise_server_exceptions=False,
            follow_redirects=False,
            client=(address, 50000),
        )

    def signed_in(self, name: str) -> TestClient:
        """A phone signed in as somebody; it sends the form token with all it sends."""
        phone = self.phone()
        answer = phone.post("/sign-in", data={"name": name, "passphrase": SECRETS[name]})
        assert answer.status_code == 303, answer.text
        token = phone.get("/session.json").json()["token"]
        phone.headers["heapwright-token"] = token
        return phone


@contextmanager
def shared_house(folder: Path) -> Iterator[House]:
    """Open the invented house."""
    clock = Clock()
    people = People.open(folder / "people.sqlite3", clock=clock, cost=CHEAP)
    gardens = {}
    for name, mark in ((OURS, "Quince"), (THEIRS, "Medlar")):
        garden = gardens[name] = Garden.open(folder / name, clock=clock)
        settings(garden, origin="page", name=f"{mark} yard")
        save_bin(
            garden,
            name=f"{mark} bin",
            origin="page",
            width_m=0.9,
            depth_m=0.9,
            height_m=0.9,
        )
    for name, garden_key, role in (
        (ANN, OURS, Role.OWNER),
        (KIM, OURS, Role.KEEPER),
        (HAL, OURS, Role.HELPER),
        (NELL, THEIRS, Role.OWNER),
    ):
        people.add(name, SECRETS[name], garden_key, role)
    sharing = Sharing(people, gardens, Waits(clock.seconds))
    yield House(create_shared_app(sharing), people, gardens, clock)
    for garden in gardens.values():
        garden.close()
    people.close()


def hidden(page: str, name: str) -> str:
    """The value of a hidden field of a page."""
    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert found is not None, f"no hidden field {name}"
    return found.group(1)
