"""Makes a passphrase unreadable for whoever keeps it, and tells whether one is the same.

Knows scrypt (RFC 7914) and what a passphrase must be. Knows no person. One is worked out at a time:
each needs 128 MiB, and a crowd at the door must not fill the memory.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets
import threading
import unicodedata
from dataclasses import dataclass

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.people.limits import whole
from heapwright.wording import worded

_SALT_BYTES = 16  # SP 800-132, section 5.1: 128 bits or more (from memory)
_KEY_BYTES = 32  # as long as SHA-256, which scrypt stands on; more would prove no more (ours)
_one_at_a_time = threading.Lock()


@dataclass(frozen=True, slots=True)
class Cost:
    """What one try costs: scrypt's N as a power of two, its block size and its parallel runs."""

    log2_n: int
    r: int
    p: int


def usual_cost() -> Cost:
    """Return the cost new passphrases are kept with; kept ones carry their own."""
    return Cost(whole("scrypt_log2_n"), whole("scrypt_r"), whole("scrypt_p"))


def checked(passphrase: str, name: str) -> str:
    """Return a new passphrase that may be used.

    Only its length counts, and that it is neither the name nor one sign over and over.

    Raises
    ------
    OutOfRange
        If it is too short or too long.
    NotUnderstood
        If it could be guessed at once. The message never holds the passphrase.

    """
    letters = _settled(passphrase)
    least, most = whole("shortest_passphrase"), whole("longest_passphrase")
    if len(letters) < least:
        raise OutOfRange(
            worded("The passphrase has {number} letters", number=len(letters)),
            why=worded("it needs {least} or more so that nobody guesses it", least=least),
            instead="Take four or five words that do not belong together",
        )
    if len(letters) > most:
        raise OutOfRange(
            worded("The passphrase has {number} letters", number=len(letters)),
            why=worded("there is room for {most}", most=most),
        )
    plain = letters.casefold().strip()
    is_few = len(set(plain)) < whole("fewest_letters")
    if is_few or plain.replace(_settled(name).casefold(), "") == "":
        raise NotUnderstood(
            "The passphrase can be guessed",
            why="it is a name or few signs over and over",
            instead="Take four or five words that do not belong together",
        )
    return passphrase


def hashed(passphrase: str, cost: Cost) -> str:
    """Return what is kept of a passphrase: cost, salt and key; it cannot be turned back."""
    salt = secrets.token_bytes(_SALT_BYTES)
    key = _key(passphrase, salt, cost)
    return f"scrypt${cost.log2_n}${cost.r}${cost.p}${_text(salt)}${_text(key)}"


def is_same(passphrase: str, kept: str) -> bool:
    """Whether a passphrase is the one that was kept, compared in constant time."""
    _, log2_n, r, p, salt, key = kept.split("$")
    cost = Cost(int(log2_n), int(r), int(p))
    if len(passphrase) > whole("longest_passphrase"):
        # None so long was ever kept; the work is done all the same, so that time tells nothing.
        passphrase = ""
    return hmac.compare_digest(_key(passphrase, _bytes(salt), cost), _bytes(key))


def _key(passphrase: str, salt: bytes, cost: Cost) -> bytes:
    n = 1 << cost.log2_n
    with _one_at_a_time:
        return hashlib.scrypt(
            _settled(passphrase).encode("utf-8", "surrogatepass"),
            salt=salt,
            n=n,
            r=cost.r,
            p=cost.p,
            maxmem=2 * 128 * n * cost.r,  # it fills 128 N r bytes (RFC 7914) and needs some more
            dklen=_KEY_BYTES,
        )


def _settled(text: str) -> str:
    """Return a text in one form however a keyboard writes its letters (SP 800-63B: NFKC)."""
    return unicodedata.normalize("NFKC", text)


def _text(raw: bytes) -> str:
    return base64.b64encode(raw).decode("ascii")


def _bytes(text: str) -> bytes:
    return base64.b64decode(text)
