"""Stamps against the examples of RFC 3339, sensor values against the sensor's data sheet.

RFC 3339 section 5.8 prints the stamps; the data sheet of the common one-wire thermometer prints
Table 1 (temperature and digital output), the steps and the 3-sigma error.
"""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from heapwright.probes.clock import moment_of
from heapwright.probes.settings import code_of, probe_limits

#: RFC 3339 section 5.8, with what the text beside each says it means in UTC.
EXAMPLES = [
    ("1985-04-12T23:20:50.52Z", datetime(1985, 4, 12, 23, 20, 50, 520_000, UTC)),
    ("1996-12-19T16:39:57-08:00", datetime(1996, 12, 20, 0, 39, 57, tzinfo=UTC)),
    # A leap second: the second after is the first that Python's calendar knows.
    ("1990-12-31T23:59:60Z", datetime(1991, 1, 1, tzinfo=UTC)),
    ("1990-12-31T15:59:60-08:00", datetime(1991, 1, 1, tzinfo=UTC)),
    ("1937-01-01T12:00:27.87+00:20", datetime(1937, 1, 1, 11, 40, 27, 870_000, UTC)),
]
#: Table 1 of the data sheet: °C and the register, in sixteenths of a degree.
TABLE_1 = [
    (125.0, 0x07D0),
    (85.0, 0x0550),
    (25.0625, 0x0191),
    (10.125, 0x00A2),
    (0.5, 0x0008),
    (0.0, 0x0000),
    (-0.5, 0xFFF8),
    (-10.125, 0xFF5E),
    (-25.0625, 0xFE6F),
    (-55.0, 0xFC90),
]


@pytest.mark.parametrize(("stamp", "means"), EXAMPLES)
def test_moment_of_matches_rfc_3339(stamp: str, means: datetime) -> None:
    assert moment_of(stamp) == means


def test_moment_of_takes_either_case_as_rfc_3339_section_5_6() -> None:
    assert moment_of("1985-04-12t23:20:50z") == moment_of("1985-04-12T23:20:50Z")


def test_moment_of_matches_the_beginning_of_unix_time() -> None:
    # POSIX: seconds since the Epoch, 1970-01-01T00:00:00Z; a thousand million came in 2001.
    assert moment_of(0) == datetime(1970, 1, 1, tzinfo=UTC)
    assert moment_of(1_000_000_000) == datetime(2001, 9, 9, 1, 46, 40, tzinfo=UTC)


@pytest.mark.parametrize(("celsius", "register"), TABLE_1)
def test_code_of_matches_the_data_sheet(celsius: float, register: int) -> None:
    signed = register - 0x10000 if register & 0x8000 else register
    assert signed * probe_limits()["step_c"] == celsius
    # Of the whole table only the power-on value (marked * there) is no temperature.
    assert (code_of(celsius) is not None) == (register == 0x0550)
    for neighbour in (celsius - 0.0625, celsius + 0.0625):
        assert code_of(neighbour) is None


def test_shown_change_matches_the_data_sheets_error() -> None:
    assert probe_limits()["shown_change_c"] == 0.5  # ±0.5 °C from -10 to +85 °C, 3 sigma
