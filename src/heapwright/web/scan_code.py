"""Draws a link as a square code that a phone's camera reads (ISO/IEC 18004, by the library segno).

Knows black and white squares and the quiet zone around them. Knows nothing of what a link opens.
"""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote, urlsplit

import segno

from heapwright.errors import NotUnderstood
from heapwright.web.guards import THIS_MACHINE
from heapwright.wording import worded

#: A quarter of the signs may be lost to dirt and rain (level Q of the standard).
CORRECTION = "q"
#: White modules around the code; the standard asks for four.
QUIET = 4
LONGEST_ADDRESS = 120


@dataclass(frozen=True, slots=True)
class ScanCode:
    """A link as a code.

    Attributes
    ----------
    link : str
    size : int
        Modules from side to side, the quiet zone with it.
    path : str
        The black modules, for an SVG of `size` by `size`.

    """

    link: str
    size: int
    path: str


def scan_code(link: str) -> ScanCode:
    """Return a link as a code."""
    made = segno.make_qr(link, error=CORRECTION)
    rows = list(made.matrix_iter(scale=1, border=QUIET))
    runs = [run for y, row in enumerate(rows) for run in _runs(bytes(row), y)]
    return ScanCode(link, len(rows), "".join(runs))


def _runs(row: bytes, y: int) -> list[str]:
    """Return each run of black modules of a row as a closed strip."""
    found, start = [], None
    for x, dark in enumerate((*row, 0)):
        if dark and start is None:
            start = x
        elif not dark and start is not None:
            found.append(f"M{start} {y}h{x - start}v1H{start}z")
            start = None
    return found


def house_address(text: str) -> str:
    """Return the address this house is reached at, such as "http://192.168.1.20:8055".

    Parameters
    ----------
    text : str
        With or without the scheme and a slash at the end.

    Raises
    ------
    NotUnderstood
        If it is no address of a house: another scheme, no host, a path, a name or password in it.

    """
    said = text.strip()
    said = said if said.endswith("//") else said.removesuffix("/")
    whole = said if "://" in said else f"http://{said}"
    try:
        parts = urlsplit(whole)
        sound = parts.scheme in ("http", "https") and bool(parts.hostname)
        sound = sound and parts.port != 0 and not (parts.username or parts.password)
    except ValueError:
        sound = False
    if (
        not sound
        or parts.path
        or parts.query
        or parts.fragment
        or len(whole) > LONGEST_ADDRESS
        or not whole.isprintable()
        or any(letter.isspace() or letter in "\"<>\\^`{|}'" for letter in whole)
    ):
        raise NotUnderstood(
            worded('"{said}" is not an address this house can be reached at', said=said[:60]),
            instead="Write it like http://192.168.1.20:8055, as it stands in a phone's browser",
            kept="",
        )
    return whole


def is_only_here(address: str) -> bool:
    """Whether an address is this machine's own, of no use on a phone."""
    return (urlsplit(address).hostname or "") in THIS_MACHINE


def bin_link(address: str, bin_key: str) -> str:
    """Return the link that opens the log of a bin."""
    return f"{address}/b/{quote(bin_key, safe='')}"
