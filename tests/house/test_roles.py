"""Every route of the program says which role it needs, and every kind of entry has one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from heapwright.journal.entries import EntryKind
from heapwright.people.roles import Role
from heapwright.web import app as application
from heapwright.web import roles
from heapwright.workshop.pen import NEEDED, needed_for
from tests.routes_there import routes_there

#: What the framework itself adds; it tells nothing of a garden.
_OF_THE_FRAMEWORK = {"/api/openapi.json", "/static"}


def endpoints(routes: list[Any]) -> Iterator[tuple[str, str, Any]]:
    """Every route's methods, path and function, those of included routers too."""
    for route in routes_there(routes):
        if route.path not in _OF_THE_FRAMEWORK:
            yield " ".join(sorted(route.methods)), route.path, route.endpoint


ROUTES = list(endpoints(application._made().routes))


def test_there_are_routes_to_look_at() -> None:
    assert len(ROUTES) > 40


@pytest.mark.parametrize(
    "methods, path, endpoint", ROUTES, ids=[f"{methods} {path}" for methods, path, _ in ROUTES]
)
def test_a_route_declares_the_role_it_needs(methods: str, path: str, endpoint: Any) -> None:
    assert roles.declared(endpoint) is not None, (
        f"{methods} {path}: put a mark of web.roles, such as @for_readers, on {endpoint.__name__}"
    )


def test_a_route_that_declares_nothing_is_the_owners() -> None:
    def forgotten() -> None:
        pass

    assert roles.need_of(forgotten).role is Role.OWNER


def test_nothing_that_writes_is_open_to_everybody_but_the_sign_in() -> None:
    # A probe's report carries a token of its own, which its route checks.
    own_proof = {"/sign-in", "/api/probes/{key}/readings"}
    writing = {
        path
        for methods, path, endpoint in ROUTES
        if "POST" in methods and roles.need_of(endpoint).role is None
    }
    assert writing <= own_proof


@pytest.mark.parametrize("kind", list(EntryKind))
def test_a_kind_of_entry_has_the_role_that_may_write_it(kind: EntryKind) -> None:
    assert str(kind) in NEEDED, f"give {kind} a row in workshop.pen"


def test_a_kind_nobody_thought_of_is_the_owners(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(NEEDED, "note")  # type: ignore[arg-type]
    assert needed_for(EntryKind.NOTE) is Role.OWNER


def test_a_role_holds_those_before_it() -> None:
    assert [[one.reaches(other) for other in Role] for one in Role] == [
        [True, False, False],
        [True, True, False],
        [True, True, True],
    ]
