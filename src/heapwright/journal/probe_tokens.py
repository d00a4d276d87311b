"""Keeps what proves that a report comes from a probe: the hash of its token, never the token.

Knows one small SQLite file beside the journal that only its owner may read. Nothing of it is part
of the journal, so no export and no backup of the journal can give a token away. Knows nothing of
bins or readings.

A token is 32 random bytes, so guessing is hopeless and a plain SHA-256 is enough: slow hashes are
for secrets that people choose.
"""

from __future__ import annotations

import hashlib
import hmac
import os
import secrets
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from heapwright.errors import StoreProblem
from heapwright.wording import worded

SUFFIX = ".probes"
_OWNER_ONLY = 0o600
_TOKEN_BYTES = 32
_PATIENCE_S = 10.0
_TABLES = (
    """CREATE TABLE IF NOT EXISTS tokens
       (probe TEXT PRIMARY KEY, sha256 TEXT NOT NULL, made_at TEXT NOT NULL)""",
    """CREATE TABLE IF NOT EXISTS refusals
       (probe TEXT PRIMARY KEY, at TEXT NOT NULL, why TEXT NOT NULL)""",
)


@dataclass(frozen=True, slots=True)
class LastRefusal:
    """What of a probe's last faulty message was not stored, and why."""

    at: datetime
    why: str


class ProbeTokens:
    """The tokens of one garden's probes; safe for any number of threads and programs.

    Parameters
    ----------
    journal : Path
        The journal's file; the tokens lie beside it.

    """

    def __init__(self, journal: Path) -> None:
        self.path = journal.with_name(journal.name + SUFFIX)

    def renew(self, probe_key: str) -> str:
        """Make a new token for a probe and return it; an older one no longer counts.

        This is the only time it is there to be read.
        """
        token = secrets.token_urlsafe(_TOKEN_BYTES)
        now = datetime.now(UTC).isoformat()
        with self._open() as connection:
            connection.execute(
                "INSERT OR REPLACE INTO tokens VALUES (?, ?, ?)", (probe_key, _hash(token), now)
            )
        return token

    def withdraw(self, probe_key: str) -> None:
        """Let no token of a probe count any more."""
        with self._open() as connection:
            connection.execute("DELETE FROM tokens WHERE probe = ?", (probe_key,))

    def is_right(self, probe_key: str, token: str) -> bool:
        """Return whether a token is the probe's; takes as long for a wrong as for a right one."""
        kept = self._kept(probe_key)
        # An unknown probe is compared too, so that time tells nobody which keys there are.
        right = hmac.compare_digest(kept or _hash(""), _hash(token))
        return right and kept is not None

    def has_token(self, probe_key: str) -> bool:
        """Return whether a probe has a token."""
        return self._kept(probe_key) is not None

    def note_refusal(self, probe_key: str, at: datetime, why: str) -> None:
        """Keep what was wrong with a probe's last faulty message, to be shown to the gardener."""
        with self._open() as connection:
            connection.execute(
                "INSERT OR REPLACE INTO refusals VALUES (?, ?, ?)",
                (probe_key, at.astimezone(UTC).isoformat(), why),
            )

    def last_refusal(self, probe_key: str) -> LastRefusal | None:
        """Return what was wrong with a probe's last faulty message; None when there was none."""
        row = self._row("SELECT at, why FROM refusals WHERE probe = ?", probe_key)
        return None if row is None else LastRefusal(datetime.fromisoformat(row[0]), row[1])

    def _kept(self, probe_key: str) -> str | None:
        row = self._row("SELECT sha256 FROM tokens WHERE probe = ?", probe_key)
        return None if row is None else row[0]

    def _row(self, question: str, probe_key: str) -> tuple[str, ...] | None:
        if not self.path.exists():
            return None
        with self._open() as connection:
            row: tuple[str, ...] | None = connection.execute(question, (probe_key,)).fetchone()
        return row

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        try:
            # Made with its rights, so that it is never readable by others, not for a moment.
            os.close(os.open(self.path, os.O_CREAT | os.O_RDWR, _OWNER_ONLY))
            with closing(sqlite3.connect(self.path, timeout=_PATIENCE_S)) as connection:
                for table in _TABLES:
                    connection.execute(table)
                with connection:
                    yield connection
        except (OSError, sqlite3.Error) as problem:
            raise StoreProblem(
                worded(
                    "The probes' tokens in {path} cannot be used: {problem}",
                    path=self.path,
                    problem=problem,
                ),
                instead="See that the file and its folder may be written by you alone",
                kept="The journal is unharmed.",
            ) from problem


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()
