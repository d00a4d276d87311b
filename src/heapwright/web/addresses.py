"""Finds by which names and numbers this machine is reached in its home network.

Knows sockets. Sends nothing: the way to a far address is only asked of this machine's own table.
"""

from __future__ import annotations

import contextlib
import ipaddress
import re
import socket

from heapwright.errors import NotUnderstood
from heapwright.wording import worded

#: Addresses kept for examples (RFC 5737, RFC 3849): nobody is there.
_FAR = ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1"))
_HOST = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)(\.(?!-)[a-z0-9-]{1,63}(?<!-))*")
_LONGEST_HOST = 253  # as written with dots (from RFC 1035, 2.3.4, from memory)


def home_numbers() -> list[str]:
    """Return the addresses in numbers others in the home network may reach, likeliest first."""
    found = []
    for family, far in _FAR:
        with contextlib.suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as way:
            way.connect((far, 9))
            found.append(str(way.getsockname()[0]))
    with contextlib.suppress(OSError):
        known = socket.getaddrinfo(socket.gethostname(), None)
        found += [str(one[4][0]).partition("%")[0] for one in known]
    return [one for one in dict.fromkeys(found) if not ipaddress.ip_address(one).is_loopback]


def own_names() -> list[str]:
    """Return the machine's own name, plain and as home networks announce it."""
    name = socket.gethostname().lower()
    plain = name.partition(".")[0]
    return [one for one in dict.fromkeys([name, plain, f"{plain}.local"]) if is_host(one)]


def is_host(name: str) -> bool:
    """Whether a text can be a machine's name or number."""
    can_be_name = len(name) <= _LONGEST_HOST and _HOST.fullmatch(name) is not None
    return can_be_name or is_number(name)


def is_number(host: str) -> bool:
    """Whether a host is an address in numbers."""
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True


def in_address(host: str) -> str:
    """Return a host as it stands before the port (RFC 3986, section 3.2.2)."""
    return f"[{host}]" if ":" in host else host


def read_host(said: str) -> str:
    """Return a name as it stands in addresses.

    Raises
    ------
    NotUnderstood
        If it cannot be one.

    """
    host = said.strip().lower().rstrip(".")
    if not is_host(host):
        raise NotUnderstood(
            worded('The name "{said}"', said=said[:60]),
            why="it cannot be the name of a machine",
            instead="Say it without http and port, such as compost.local",
            kept="Nothing was started.",
        )
    return host
