"""Serves gardens to several people in the home network, by http, https or behind a proxy.

Knows what has to be there before anything is shared: an owner for every garden. Knows sockets and
the order of starting; pages and people are others' business.
"""

from __future__ import annotations

import contextlib
import ipaddress
import socket
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import uvicorn

from heapwright.errors import NotFound, NotUnderstood, StoreProblem
from heapwright.people import file
from heapwright.people.store import People
from heapwright.web import addresses, guards, tls
from heapwright.web.app import create_shared_app, create_trust_app
from heapwright.web.faults import log
from heapwright.web.server import HOST, log_beside, look_ahead, quiet, take_port
from heapwright.web.sessions import Sharing
from heapwright.web.trust import Trust
from heapwright.wording import worded
from heapwright.workshop.garden import Garden

EVERYWHERE = "0.0.0.0"
JOURNALS = "*.heapwright"
_SECONDS_PER_DAY = 86_400.0


@dataclass(frozen=True, slots=True)
class Wish:
    """How the gardens are to be shared.

    Attributes
    ----------
    port : int
        0 takes any free one. With https the next one hands out the certificate by plain http.
    names : sequence of str
        Further names that the machine answers to.
    https : bool
    proxy : str
        The address of the one proxy whose forwarded headers are believed, "" for none.

    """

    port: int
    names: Sequence[str] = field(default_factory=tuple)
    https: bool = False
    proxy: str = ""


@dataclass(frozen=True, slots=True)
class Opened:
    """What a person has to know once it answers.

    Attributes
    ----------
    addresses : sequence of str
        Where the pages are, the likeliest for a phone first.
    trust_address, fingerprint : str
        Where a phone fetches the certificate and how it is known again; "" without https.
    is_new : bool
        Whether the authority was made just now: phones that trusted an earlier one have to again.

    """

    addresses: Sequence[str]
    trust_address: str = ""
    fingerprint: str = ""
    is_new: bool = False


def serve_shared(
    paths: Sequence[Path], wish: Wish, on_ready: Callable[[Opened], None] | None = None
) -> None:
    """Share gardens until stopped.

    Parameters
    ----------
    paths : sequence of Path
        Journals, or one folder of them.
    wish : Wish
    on_ready : callable, optional
        Called with what a person has to know once the pages can be opened.

    Raises
    ------
    NotFound
        When there is no journal, or a garden has no owner yet.
    NotUnderstood
        When the wish contradicts itself.
    OutOfRange, ServiceProblem
        As for `server.take_port`.
    StoreProblem
        When a file cannot be used.

    """
    _check(wish)
    journals = journals_of(paths)
    wish = replace(wish, names=[addresses.read_host(name) for name in wish.names])
    hosts = [*addresses.own_names(), *addresses.home_numbers(), *wish.names]
    with opened(journals) as sharing, take_port(wish.port, _listens_at(wish)) as listening:
        log_beside(journals[0])
        for garden in sharing.gardens.values():
            look_ahead(garden)
        answers_to = [*guards.THIS_MACHINE, *hosts]
        if wish.https:
            _by_https(sharing, listening, wish, answers_to, journals[0].parent, on_ready)
            return
        app = create_shared_app(sharing, hosts=answers_to, home_only=not wish.proxy)
        port = int(listening.getsockname()[1])
        told = Opened([f"http://{host}:{port}/" for host in _for_people(hosts, wish)])
        if on_ready is not None:
            on_ready(told)
        with contextlib.suppress(KeyboardInterrupt):
            uvicorn.Server(quiet(app, **believing(wish.proxy))).run(sockets=[listening])


@contextmanager
def opened(journals: Sequence[Path]) -> Iterator[Sharing]:
    """Open the gardens and their people; refuse while one of them has no owner."""
    with contextlib.ExitStack() as stack:
        people = stack.enter_context(
            contextlib.closing(People.open(file.place_beside(journals[0])))
        )
        for journal in journals:
            if not people.has_owner(journal.name):
                raise _no_owner(journal)
        gardens = {one.name: stack.enter_context(Garden.open(one)) for one in journals}
        yield Sharing(people, gardens)


def journals_of(paths: Sequence[Path]) -> list[Path]:
    """Return the journals that are meant, all of one folder.

    Raises
    ------
    NotFound
        When there is none.
    NotUnderstood
        When they lie in several folders: their people are kept beside them.

    """
    found: list[Path] = []
    for path in paths:
        place = path.expanduser().absolute()
        found += sorted(place.glob(JOURNALS)) if place.is_dir() else [place]
    journals = list(dict.fromkeys(found))
    missing = next((one for one in journals if not one.is_file()), None)
    if missing is not None or not journals:
        raise NotFound(
            worded("There is no garden at {place}", place=str(missing or paths[0])),
            instead="Begin one with `heapwright bins save`, or name the file or its folder",
            kept="Nothing was started.",
        )
    if len({one.parent for one in journals}) > 1:
        raise NotUnderstood(
            "The gardens lie in several folders",
            why="their people are kept in one file beside them",
            instead="Move the journals into one folder, or start the program once for each",
            kept="Nothing was started.",
        )
    return journals


def _check(wish: Wish) -> None:
    if wish.https and wish.proxy:
        raise NotUnderstood(
            "--https and --behind-proxy together",
            why="behind a proxy it is the proxy that speaks https",
            instead="Leave one of them out",
            kept="Nothing was started.",
        )
    if wish.proxy:
        try:
            ipaddress.ip_address(wish.proxy)
        except ValueError as problem:
            raise NotUnderstood(
                worded('The proxy "{proxy}"', proxy=wish.proxy[:60]),
                why="only one address in numbers can be believed",
                instead="Say it such as 127.0.0.1",
                kept="Nothing was started.",
            ) from problem


def _no_owner(journal: Path) -> NotFound:
    return NotFound(
        worded("The garden {journal} has no owner yet", journal=str(journal)),
        why="without a passphrase anybody in the network could write in it",
        instead=worded(
            "Make one with `heapwright people add NAME --role owner --garden {journal}`, or start "
            "it without --share and open People on the Garden page",
            journal=str(journal),
        ),
        kept="Nothing was started.",
    )


def believing(proxy: str) -> dict[str, Any]:
    """Return the server's settings to believe one proxy's forwarded headers; none for ""."""
    return {"proxy_headers": True, "forwarded_allow_ips": proxy} if proxy else {}


def _listens_at(wish: Wish) -> str:
    is_here = bool(wish.proxy) and ipaddress.ip_address(wish.proxy).is_loopback
    return HOST if is_here else EVERYWHERE


def _for_people(hosts: Sequence[str], wish: Wish) -> list[str]:
    """Return where a person should look: numbers first, since every phone knows those."""
    if _listens_at(wish) == HOST:
        return [HOST]
    numbers = [host for host in hosts if _is_number_for_phones(host)]
    named = [host for host in hosts if host.endswith(".local") or host in wish.names]
    return [addresses.in_address(host) for host in dict.fromkeys([*numbers, *named])] or [HOST]


def _is_number_for_phones(host: str) -> bool:
    is_plain = guards.is_home_number(host) and ":" not in host
    return is_plain and not ipaddress.ip_address(host).is_loopback


def _by_https(
    sharing: Sharing,
    listening: socket.socket,
    wish: Wish,
    hosts: Sequence[str],
    folder: Path,
    on_ready: Callable[[Opened], None] | None,
) -> None:
    papers = tls.papers_for(folder, sorted(hosts))
    port = int(listening.getsockname()[1])
    trust = Trust(papers.authority, port)
    config = quiet(
        create_shared_app(sharing, hosts=hosts, trust=trust),
        ssl_certfile=papers.certificate,
        ssl_keyfile=papers.key,
    )
    plain_port = wish.port + 1 if wish.port else 0
    with take_port(plain_port, EVERYWHERE) as beside:
        plain = uvicorn.Server(quiet(create_trust_app(sharing, trust, hosts=hosts)))
        thread = threading.Thread(target=plain.run, args=([beside],), name="trust", daemon=True)
        thread.start()
        stopped = threading.Event()
        renewal = threading.Thread(
            target=_renew, args=(config, folder, hosts, stopped), name="renewal", daemon=True
        )
        renewal.start()
        shown = _for_people(hosts, wish)
        if on_ready is not None:
            on_ready(
                Opened(
                    [f"https://{host}:{port}/" for host in shown],
                    f"http://{shown[0]}:{beside.getsockname()[1]}/trust",
                    trust.fingerprint,
                    papers.is_new,
                )
            )
        with contextlib.suppress(KeyboardInterrupt):
            uvicorn.Server(config).run(sockets=[listening])
        stopped.set()
        plain.should_exit = True
        thread.join()


def _renew(
    config: uvicorn.Config, folder: Path, hosts: Sequence[str], stopped: threading.Event
) -> None:
    """Look once a day whether the machine's certificate soon ends, and take the new one over."""
    while not stopped.wait(_SECONDS_PER_DAY):
        try:
            papers = tls.papers_for(folder, sorted(hosts))
            if config.ssl is not None:
                config.ssl.load_cert_chain(papers.certificate, papers.key)
        except (StoreProblem, OSError) as problem:  # the old one serves until its end
            log.warning("The certificate could not be renewed: %s", problem)
