"""Keeps the people of a folder's gardens: who there is, what each may do where, and passphrases.

Knows how a person is added, altered and taken out, and that no garden may be left without an owner.
Sign-ins are `sign_ins`. Knows no page.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

from sqlalchemy import Connection, Engine, delete, func, insert, select, update

from heapwright.errors import AlreadyThere, NotFound, NotUnderstood, OutOfRange
from heapwright.people import file, passphrase
from heapwright.people.limits import whole
from heapwright.people.passphrase import Cost
from heapwright.people.roles import Role
from heapwright.people.schema import parts, people, sign_ins
from heapwright.wording import worded

Clock = Callable[[], datetime]
_UNSEEN = re.compile(
    "[\x00-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2066-\u2069\ufffd\ud800-\udfff]"
)


@dataclass(frozen=True, slots=True)
class Person:
    """A person and what they are in each garden (by its journal's file name)."""

    id: int
    name: str
    roles: Mapping[str, Role]


def utc_now() -> datetime:
    """Return the present moment in UTC."""
    return datetime.now(UTC)


class People:
    """The file of people, open. Use it from any number of threads.

    Parameters
    ----------
    path : Path
    clock : callable
        Gives the present moment, timezone-aware.
    cost : Cost, optional
        What a new passphrase costs to try; the table's if not given.

    """

    def __init__(
        self, path: Path, engine: Engine, clock: Clock = utc_now, cost: Cost | None = None
    ) -> None:
        self.path = path
        self.engine = engine
        self.clock = clock
        self._cost = cost or passphrase.usual_cost()

    @classmethod
    def open(cls, path: Path | str, clock: Clock = utc_now, cost: Cost | None = None) -> People:
        """Open the file, making it when there is none.

        Raises
        ------
        StoreProblem
            When it cannot be used.

        """
        place = Path(path).expanduser().absolute()
        return cls(place, file.opened(place), clock, cost)

    def close(self) -> None:
        """Close the file."""
        self.engine.dispose()

    def of_garden(self, garden: str) -> tuple[Person, ...]:
        """Return the people of a garden, by name."""
        return tuple(person for person in self._everybody() if garden in person.roles)

    def person(self, person_id: int) -> Person:
        """Return a person.

        Raises
        ------
        NotFound
            If there is none.

        """
        found = next((one for one in self._everybody() if one.id == person_id), None)
        if found is None:
            raise _nobody()
        return found

    def in_garden(self, person_id: int, garden: str) -> Person:
        """Return a person of a garden; a neighbour's people do not exist there.

        Raises
        ------
        NotFound
            If nobody in the garden is that person.

        """
        found = next((one for one in self.of_garden(garden) if one.id == person_id), None)
        if found is None:
            raise _nobody()
        return found

    def has_owner(self, garden: str) -> bool:
        """Whether somebody administers a garden."""
        return any(one.roles[garden] is Role.OWNER for one in self.of_garden(garden))

    def known(self, name: str) -> Person | None:
        """Return the person of that name, None when nobody has it."""
        plain = plain_name(name)
        return next((one for one in self._everybody() if plain_name(one.name) == plain), None)

    def add(self, name: str, secret: str, garden: str, role: Role) -> Person:
        """Add a new person to a garden.

        Raises
        ------
        AlreadyThere
            If the name is taken.
        OutOfRange, NotUnderstood
            If the name or the passphrase cannot be.

        """
        shown = checked_name(name)
        kept = passphrase.hashed(passphrase.checked(secret, shown), self._cost)
        with file.writing(self.engine, self.path) as connection:
            if _id_of(connection, shown) is not None:
                raise AlreadyThere(
                    worded('The name "{shown}" is taken', shown=shown),
                    instead="Take another name, or let the person in with `heapwright people role`",
                    kept="Nobody was added.",
                )
            values = {"name": shown, "plain_name": plain_name(shown), "passphrase": kept}
            made = connection.execute(insert(people).values(**values, made_at=stamp(self.clock())))
            person_id = int(made.lastrowid)
            connection.execute(insert(parts).values(person=person_id, garden=garden, role=role))
        return self.person(person_id)

    def give_role(self, person_id: int, garden: str, role: Role) -> None:
        """Let a person be `role` in a garden, whether they were in it or not.

        Raises
        ------
        NotFound
            If there is no such person.
        OutOfRange
            If the garden would be left without an owner.

        """
        with file.writing(self.engine, self.path) as connection:
            _name_of(connection, person_id)
            if role is not Role.OWNER:
                _refuse_without_owner(connection, person_id, garden)
            connection.execute(
                delete(parts).where(parts.c.person == person_id, parts.c.garden == garden)
            )
            connection.execute(insert(parts).values(person=person_id, garden=garden, role=role))

    def take_out(self, person_id: int, garden: str) -> None:
        """Take a person out of a garden; whoever is in no garden any more is forgotten.

        Raises
        ------
        NotFound
            If the person is not in this garden.
        OutOfRange
            If the garden would be left without an owner.

        """
        with file.writing(self.engine, self.path) as connection:
            _refuse_without_owner(connection, person_id, garden)
            gone = connection.execute(
                delete(parts).where(parts.c.person == person_id, parts.c.garden == garden)
            )
            if gone.rowcount == 0:
                raise _nobody()
            connection.execute(
                delete(sign_ins).where(sign_ins.c.person == person_id, sign_ins.c.garden == garden)
            )
            left = select(func.count()).where(parts.c.person == person_id)
            if connection.execute(left).scalar() == 0:
                connection.execute(delete(people).where(people.c.id == person_id))

    def set_passphrase(self, person_id: int, secret: str, keep_token_hash: str = "") -> None:
        """Give a person a new passphrase and end their sign-ins, but for the one named.

        Raises
        ------
        NotFound
            If there is no such person.
        OutOfRange, NotUnderstood
            If the passphrase cannot be.

        """
        with file.reading(self.engine, self.path) as connection:
            name = _name_of(connection, person_id)
        kept = passphrase.hashed(passphrase.checked(secret, name), self._cost)
        with file.writing(self.engine, self.path) as connection:
            _name_of(connection, person_id)
            connection.execute(
                update(people).where(people.c.id == person_id).values(passphrase=kept)
            )
            connection.execute(
                delete(sign_ins).where(
                    sign_ins.c.person == person_id, sign_ins.c.token_hash != keep_token_hash
                )
            )

    def proved(self, name: str, secret: str) -> Person | None:
        """Return the person whose name and passphrase these are, else None.

        An unknown name costs as much time as a wrong passphrase.
        """
        with file.reading(self.engine, self.path) as connection:
            row = connection.execute(
                select(people.c.id, people.c.passphrase).where(
                    people.c.plain_name == plain_name(name)
                )
            ).first()
        kept = _nobodys(self._cost) if row is None else row.passphrase
        is_right = passphrase.is_same(secret, kept)
        return self.person(row.id) if row is not None and is_right else None

    def _everybody(self) -> list[Person]:
        wanted = select(people.c.id, people.c.name, parts.c.garden, parts.c.role).join_from(
            people, parts, isouter=True
        )
        with file.reading(self.engine, self.path) as connection:
            rows = connection.execute(wanted.order_by(people.c.plain_name)).all()
        names = {row.id: row.name for row in rows}
        return [
            Person(
                one,
                name,
                {row.garden: Role(row.role) for row in rows if row.id == one and row.garden},
            )
            for one, name in names.items()
        ]


def checked_name(name: str) -> str:
    """Return a person's name as it is shown.

    Raises
    ------
    NotUnderstood
        If it is empty or holds signs that are no letters.
    OutOfRange
        If it is too long.

    """
    shown = " ".join(unicodedata.normalize("NFC", name).split())
    if not shown:
        raise NotUnderstood("The name is missing", instead="Write how the person is called")
    if len(shown) > whole("longest_name"):
        raise OutOfRange(
            worded("The name is {number} letters long", number=len(shown)),
            why=worded("there is room for {whole}", whole=whole("longest_name")),
        )
    if _UNSEEN.search(name):
        raise NotUnderstood("The name holds a sign that is no letter", instead="Type it by hand")
    return shown


def plain_name(name: str) -> str:
    """Return a name without regard to capitals, blanks and how a keyboard writes its letters."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def stamp(when: datetime) -> str:
    """Return a moment as the file keeps it; later ones sort after earlier ones."""
    return when.astimezone(UTC).isoformat(timespec="seconds")


@cache
def _nobodys(cost: Cost) -> str:
    """Return a kept passphrase that nobody has, to be tried where there is no such person."""
    return passphrase.hashed("", cost)


def _nobody() -> NotFound:
    return NotFound("There is no such person in this garden", instead="Reload the page", kept="")


def _id_of(connection: Connection, name: str) -> int | None:
    found = connection.execute(select(people.c.id).where(people.c.plain_name == plain_name(name)))
    return found.scalar()


def _name_of(connection: Connection, person_id: int) -> str:
    found = connection.execute(select(people.c.name).where(people.c.id == person_id)).scalar()
    if found is None:
        raise _nobody()
    return str(found)


def _refuse_without_owner(connection: Connection, person_id: int, garden: str) -> None:
    owners = connection.execute(
        select(parts.c.person).where(parts.c.garden == garden, parts.c.role == Role.OWNER)
    ).scalars()
    if list(owners) == [person_id]:
        raise OutOfRange(
            "This is the garden's only owner",
            why="then nobody could administer it",
            instead="Make somebody else owner first",
            kept="Nothing was changed.",
        )
