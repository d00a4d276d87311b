"""Keeps who is signed in: a random token on the phone, its hash here, and when it ends.

Knows tokens and their two ends, by disuse and by age. Knows no cookie and no page.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import delete, insert, select, update

from heapwright.people import file
from heapwright.people.limits import limit, whole
from heapwright.people.roles import Role
from heapwright.people.schema import parts, people, sign_ins
from heapwright.people.store import People, stamp

_TOKEN_BYTES = 32  # so many that guessing is hopeless and a plain hash is enough (ours)
_SALT_BYTES = 8  # only another on each page; it keeps no secret (ours)
_FORM_PURPOSE = b"heapwright: a form of this sign-in"


@dataclass(frozen=True, slots=True)
class SignedIn:
    """Who asks, in which garden, as what.

    Attributes
    ----------
    token_hash : str
        Names the sign-in without giving it away.
    form_secret : str
        What the tokens in this sign-in's forms are made with; no page of another site knows it.

    """

    person_id: int
    name: str
    garden: str
    role: Role
    token_hash: str
    form_secret: str


def begin(store: People, person_id: int, garden: str) -> str:
    """Sign a person in to a garden and return the token, which is told only here."""
    token = secrets.token_urlsafe(_TOKEN_BYTES)
    now = stamp(store.clock())
    with file.writing(store.engine, store.path) as connection:
        connection.execute(delete(sign_ins).where(sign_ins.c.made_at < _oldest(store)))
        newest_first = (
            select(sign_ins.c.token_hash)
            .where(sign_ins.c.person == person_id)
            .order_by(sign_ins.c.seen_at.desc())
        )
        crowded = list(connection.execute(newest_first).scalars())[whole("most_sign_ins") - 1 :]
        connection.execute(delete(sign_ins).where(sign_ins.c.token_hash.in_(crowded)))
        connection.execute(
            insert(sign_ins).values(
                token_hash=hash_of(token),
                person=person_id,
                garden=garden,
                made_at=now,
                seen_at=now,
            )
        )
    return token


def look_up(store: People, token: str) -> SignedIn | None:
    """Return who a token belongs to; None when it is unknown, ended, or the person left."""
    hashed = hash_of(token)
    wanted = (
        select(people.c.id, people.c.name, parts.c.role, sign_ins)
        .join_from(sign_ins, people)
        .join(parts, (parts.c.person == people.c.id) & (parts.c.garden == sign_ins.c.garden))
        .where(sign_ins.c.token_hash == hashed)
    )
    with file.reading(store.engine, store.path) as connection:
        row = connection.execute(wanted).first()
    now = store.clock()
    if row is None or row.made_at < _oldest(store) or row.seen_at < _unused(store):
        return None
    if now - datetime.fromisoformat(row.seen_at) > timedelta(minutes=limit("seen_every_minutes")):
        with file.writing(store.engine, store.path) as connection:
            connection.execute(
                update(sign_ins).where(sign_ins.c.token_hash == hashed).values(seen_at=stamp(now))
            )
    return SignedIn(row.id, row.name, row.garden, Role(row.role), hashed, form_secret_of(token))


def change_garden(store: People, signed_in: SignedIn, garden: str) -> None:
    """Let a sign-in look at another garden of the same person."""
    with file.writing(store.engine, store.path) as connection:
        connection.execute(
            update(sign_ins)
            .where(sign_ins.c.token_hash == signed_in.token_hash)
            .values(garden=garden)
        )


def end(store: People, token_hash: str) -> None:
    """End one sign-in."""
    with file.writing(store.engine, store.path) as connection:
        connection.execute(delete(sign_ins).where(sign_ins.c.token_hash == token_hash))


def end_all(store: People, person_id: int) -> None:
    """End every sign-in of a person."""
    with file.writing(store.engine, store.path) as connection:
        connection.execute(delete(sign_ins).where(sign_ins.c.person == person_id))


def hash_of(token: str) -> str:
    """Return what is kept of a token; it is random enough to need no salt."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def form_secret_of(token: str) -> str:
    """Return what the form tokens of a sign-in are made with; nobody finds the token from it."""
    return hmac.new(token.encode("utf-8", "surrogatepass"), _FORM_PURPOSE, "sha256").hexdigest()


def form_token(secret: str) -> str:
    """Return a token for one page's forms: another each time, so that packing the page (gzip)
    tells a listener nothing of it by its length.
    """
    salt = secrets.token_hex(_SALT_BYTES)
    return f"{salt}.{_form_proof(secret, salt)}"


def is_form_token(signed_in: SignedIn, sent: str) -> bool:
    """Whether a form carries a token of its sign-in, compared in constant time."""
    salt, _, proof = sent.partition(".")
    right = _form_proof(signed_in.form_secret, salt)
    return hmac.compare_digest(right.encode(), proof.encode("utf-8", "replace"))


def _form_proof(secret: str, salt: str) -> str:
    return hmac.new(secret.encode(), salt.encode("utf-8", "replace"), "sha256").hexdigest()


def _oldest(store: People) -> str:
    return stamp(store.clock() - timedelta(days=limit("absolute_days")))


def _unused(store: People) -> str:
    return stamp(store.clock() - timedelta(days=limit("idle_days")))
