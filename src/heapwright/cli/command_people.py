"""The commands `people ...`: who may use a shared garden, and as what.

Knows how a passphrase is asked for without being seen. Knows nothing of how it is kept.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from heapwright.cli import place, screen
from heapwright.cli.options import AsJson, GardenPath, group, is_alone
from heapwright.errors import NotFound, NotUnderstood
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.people.store import People, Person

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
    key = _file(garden)[0].name
    with _opened(garden) as store:
        found = store.of_garden(key)
    if as_json:
        screen.put_json([{"name": one.name, "role": str(one.roles[key])} for one in found])
        return
    if not found:
        screen.put(["Nobody yet. Begin with `heapwright people add NAME --role owner`."])
        return
    screen.put(screen.table([(one.name, str(one.roles[key])) for one in found], ("Name", "Role")))


@people.command("add")
def add(name: _Name, role: _Role = "helper", garden: GardenPath = None) -> None:
    """Let a person in. Their passphrase is asked for and not shown; at least 12 letters.

    Somebody who is in another garden of the same folder keeps the passphrase they have.
    """
    from heapwright.people.roles import Role, read_role

    wanted, journal = read_role(role), _file(garden)[0]
    with _opened(garden) as store:
        if wanted is not Role.OWNER and not store.has_owner(journal.name):
            raise NotUnderstood(
                "The garden has no owner yet",
                instead="Add the owner first, with --role owner",
                kept="Nobody was added.",
            )
        known = store.known(name)
        if known is not None:
            _refuse_twice(known, journal)
            store.give_role(known.id, journal.name, wanted)
        else:
            known = store.add(name, _asked(), journal.name, wanted)
    screen.put([worded("{name} is in this garden as {wanted}.", name=known.name, wanted=wanted)])


@people.command("role")
def change_role(name: _Name, role: _Role, garden: GardenPath = None) -> None:
    """Give a person of this garden another role."""
    from heapwright.people.roles import read_role

    wanted = read_role(role)
    with _opened(garden) as store:
        person, journal = _person(store, name, garden)
        store.give_role(person.id, journal.name, wanted)
    screen.put([worded("{name} is in this garden as {wanted}.", name=person.name, wanted=wanted)])


@people.command("passphrase")
def change_passphrase(name: _Name, garden: GardenPath = None) -> None:
    """Give a person a new passphrase; all their phones are signed out."""
    with _opened(garden) as store:
        person, _ = _person(store, name, garden)
        store.set_passphrase(person.id, _asked())
    screen.put(
        [worded("{name} has a new passphrase and is signed out everywhere.", name=person.name)]
    )


@people.command("sign-out")
def sign_out(name: _Name, garden: GardenPath = None) -> None:
    """Sign a person out on every phone."""
    from heapwright.people.sign_ins import end_all

    with _opened(garden) as store:
        person, _ = _person(store, name, garden)
        end_all(store, person.id)
    screen.put([worded("{name} is signed out everywhere.", name=person.name)])


@people.command("remove")
def remove(name: _Name, garden: GardenPath = None) -> None:
    """Take a person out of this garden; what they logged stays."""
    with _opened(garden) as store:
        person, journal = _person(store, name, garden)
        store.take_out(person.id, journal.name)
    screen.put([worded("{name} is no longer in this garden.", name=person.name)])


def _file(garden: Path | None) -> tuple[Path, Path]:
    """Return the journal and the file of its people.

    Raises
    ------
    NotFound
        When there is no such garden.

    """
    from heapwright.people.file import place_beside

    journal = place.garden_path(garden).absolute()
    if not journal.is_file():
        raise NotFound(
            worded("There is no garden yet at {journal}", journal=str(journal)),
            instead="Begin one with `heapwright bins save`, or name its file with --garden",
            kept="Nobody was added.",
        )
    return journal, place_beside(journal)


@contextmanager
def _opened(garden: Path | None) -> Iterator[People]:
    from heapwright.people.store import People

    store = People.open(_file(garden)[1])
    try:
        yield store
    finally:
        store.close()


def _person(store: People, name: str, garden: Path | None) -> tuple[Person, Path]:
    journal = _file(garden)[0]
    person = store.known(name)
    if person is None or journal.name not in person.roles:
        known = ", ".join(one.name for one in store.of_garden(journal.name)) or "nobody yet"
        raise NotFound(
            worded('Nobody in this garden is called "{name}"', name=name[:60]),
            instead=worded("In it are: {known}", known=known),
            kept="Nothing was changed.",
        )
    return person, journal


def _refuse_twice(known: Person, journal: Path) -> None:
    if journal.name in known.roles:
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
    first = str(typer.prompt("Passphrase (not shown)", hide_input=True))
    if str(typer.prompt("The same once more", hide_input=True)) != first:
        raise NotUnderstood(
            "The two passphrases differ", instead="Begin again", kept="Nothing was changed."
        )
    return first
