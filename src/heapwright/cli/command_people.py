"""The commands `people ...`: who may use a shared garden, and as what.

Knows how a passphrase is asked for without being seen. Knows nothing of how it is kept.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, GardenPath, group, is_alone
from heapwright.errors import NotFound, NotUnderstood
from heapwright.wording import listed, worded

if TYPE_CHECKING:
    from heapwright.people.store import People, Person

_BEGIN = worded("Nobody yet. Begin with `heapwright people add NAME --role owner`.")
people = group("Who may use a shared garden: list them, add one, change a role or passphrase.")
_Name = Annotated[str, typer.Argument(metavar="NAME", help="The person's name.")]
_Role = Annotated[
    str,
    typer.Option("--role", metavar="helper|keeper|owner", help="What they are in this garden."),
]


def register(app: typer.Typer) -> None:
    """Add this module's commands."""
    app.add_typer(people, name="people")


@people.callback()
def show(context: typer.Context, as_json: AsJson = False, garden: GardenPath = None) -> None:
    """List who may use the garden when it is shared."""
    if not is_alone(context):
        return
    with _opened(garden) as (store, key):
        found = store.of_garden(key)
    if as_json:
        screen.put_json([{"name": one.name, "role": str(one.roles[key])} for one in found])
        return
    if not found:
        screen.put([_BEGIN])
        return
    screen.put(screen.table([(one.name, str(one.roles[key])) for one in found], ("Name", "Role")))


@people.command("add")
def add(name: _Name, role: _Role = "helper", garden: GardenPath = None) -> None:
    """Let a person in. Their passphrase is asked for and not shown; at least 12 letters.

    Somebody who is in another garden of the same folder keeps the passphrase they have.
    """
    from heapwright.people.roles import Role, read_role

    wanted = read_role(role)
    with _opened(garden) as (store, key):
        if wanted is not Role.OWNER and not store.has_owner(key):
            raise NotUnderstood(
                "The garden has no owner yet",
                instead="Add the owner first, with --role owner",
                kept="Nobody was added.",
            )
        known = store.known(name)
        if known is not None:
            _refuse_twice(known, key)
            store.give_role(known.id, key, wanted)
        else:
            known = store.add(name, _asked(), key, wanted)
    screen.put([worded("{name} is in this garden as {wanted}.", name=known.name, wanted=wanted)])


@people.command("role")
def change_role(name: _Name, role: _Role, garden: GardenPath = None) -> None:
    """Give a person of this garden another role."""
    from heapwright.people.roles import read_role

    wanted = read_role(role)
    with _opened(garden) as (store, key):
        person = _person(store, name, key)
        store.give_role(person.id, key, wanted)
    screen.put([worded("{name} is in this garden as {wanted}.", name=person.name, wanted=wanted)])


@people.command("passphrase")
def change_passphrase(name: _Name, garden: GardenPath = None) -> None:
    """Give a person a new passphrase; all their phones are signed out."""
    with _opened(garden) as (store, key):
        person = _person(store, name, key)
        store.set_passphrase(person.id, _asked())
    screen.put(
        [worded("{name} has a new passphrase and is signed out everywhere.", name=person.name)]
    )


@people.command("sign-out")
def sign_out(name: _Name, garden: GardenPath = None) -> None:
    """Sign a person out on every phone."""
    from heapwright.people.sign_ins import end_all

    with _opened(garden) as (store, key):
        person = _person(store, name, key)
        end_all(store, person.id)
    screen.put([worded("{name} is signed out everywhere.", name=person.name)])


@people.command("remove")
def remove(name: _Name, garden: GardenPath = None) -> None:
    """Take a person out of this garden; what they logged stays."""
    with _opened(garden) as (store, key):
        person = _person(store, name, key)
        store.take_out(person.id, key)
    screen.put([worded("{name} is no longer in this garden.", name=person.name)])


@contextmanager
def _opened(garden: Path | None) -> Iterator[tuple[People, str]]:
    """Open the people of a garden that is there; the garden's key among them comes along."""
    from heapwright.people.file import place_beside
    from heapwright.people.store import People

    with place.opened(garden) as here, closing(People.open(place_beside(here.path))) as store:
        yield store, here.path.name


def _person(store: People, name: str, key: str) -> Person:
    person = store.known(name)
    if person is None or key not in person.roles:
        there = listed(one.name for one in store.of_garden(key))
        raise NotFound(
            worded('Nobody in this garden is called "{name}"', name=name[:60]),
            instead=worded("In it are: {known}", known=there) if there else _BEGIN,
            kept="Nothing was changed.",
        )
    return person


def _refuse_twice(known: Person, key: str) -> None:
    if key in known.roles:
        raise NotUnderstood(
            worded("{name} is in this garden already", name=known.name),
            instead="Change the role with `heapwright people role`",
            kept="Nothing was changed.",
        )


def _asked() -> str:
    """Ask for a new passphrase twice, unseen; from a pipe it is read as one line.

    Raises
    ------
    NotUnderstood
        If the two differ or there is nobody to ask.

    """
    if not sys.stdin.isatty():
        line = sys.stdin.readline().rstrip("\r\n")
        if not line:
            raise NotUnderstood(
                "There is nobody to ask for a passphrase",
                instead="Run it in a terminal, or give the passphrase as one line of input",
                kept="Nothing was changed.",
            )
        return line
    first = _unseen(worded("Passphrase (not shown)"))
    if _unseen(worded("The same once more")) != first:
        raise NotUnderstood(
            "The two passphrases differ", instead="Begin again", kept="Nothing was changed."
        )
    return first


def _unseen(question: str) -> str:
    return str(typer.prompt(screen.told(question), hide_input=True))
