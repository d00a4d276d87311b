"""Passphrases are kept by scrypt as published, with the published least cost.

RFC 7914, section 12 gives test vectors; they are written here from memory, and a wrong memory could
not have come out. The least cost is that of the sources named in `people/data/limits.csv`.
"""

from __future__ import annotations

import pytest

from heapwright.people import passphrase
from heapwright.people.limits import whole
from heapwright.people.passphrase import Cost, usual_cost

VECTORS = [
    (
        "password",
        b"NaCl",
        Cost(10, 8, 16),
        "fdbabe1c9d3472007856e7190d01e9fe7c6ad7cbc8237830e77376634b373162",
    ),
    (
        "pleaseletmein",
        b"SodiumChloride",
        Cost(14, 8, 1),
        "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2",
    ),
]


@pytest.mark.parametrize("said, salt, cost, key", VECTORS, ids=[v[0] for v in VECTORS])
def test_key_matches_rfc7914_section12(said: str, salt: bytes, cost: Cost, key: str) -> None:
    # The vectors are 64 bytes long; the first 32 do not depend on how many are asked for.
    assert passphrase._key(said, salt, cost).hex() == key


def test_cost_is_no_less_than_the_cheat_sheets_least() -> None:
    assert (usual_cost().log2_n, usual_cost().r, usual_cost().p) == (17, 8, 1)


def test_lengths_are_within_sp_800_63b_section_5112() -> None:
    assert whole("shortest_passphrase") >= 8
    assert whole("longest_passphrase") >= 64


def test_a_kept_passphrase_opens_at_its_own_cost_for_ever() -> None:
    kept = passphrase.hashed("four old pails hum", usual_cost())
    assert kept.startswith("scrypt$17$8$1$")
    assert passphrase.is_same("four old pails hum", kept)
    assert not passphrase.is_same("four old pails hums", kept)
    cheap = passphrase.hashed("four old pails hum", Cost(4, 8, 1))
    assert passphrase.is_same("four old pails hum", cheap)
