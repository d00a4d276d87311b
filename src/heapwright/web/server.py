"""Starts the pages on this machine: the port, the browser, the log file.

Knows sockets and uvicorn. Knows nothing of gardens beyond where the journal lies.
"""

from __future__ import annotations

import contextlib
import errno
import logging
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import Any

import uvicorn
from fastapi import FastAPI

from heapwright.errors import HeapwrightError, OutOfRange, ServiceProblem
from heapwright.web.app import create_app
from heapwright.wording import worded
from heapwright.workshop.garden import Garden
from heapwright.workshop.today import today

HOST = "127.0.0.1"
DEFAULT_PORT = 8055
_HIGHEST_PORT = 65535
_LOG_BYTES = 1_000_000
_WAITING = 128  # connections that may wait while the program is still starting


def serve(
    garden: Path | Garden,
    *,
    port: int = DEFAULT_PORT,
    open_browser: bool = False,
    on_ready: Callable[[str], None] | None = None,
) -> None:
    """Serve a garden's pages on this machine until stopped.

    Parameters
    ----------
    garden : Path or Garden
        The journal file, or a garden already open.
    port : int, default 8055
        0 takes any free one.
    open_browser : bool
        Whether to open the Today page in the person's browser.
    on_ready : callable, optional
        Called with the address once it can be opened.

    Raises
    ------
    OutOfRange
        When there is no such port.
    ServiceProblem
        When the port is in use or not allowed.
    StoreProblem
        When the journal cannot be opened.

    """
    listening = take_port(port)
    with listening:
        app = create_app(garden)
        log_beside(app.state.garden.path)
        address = f"http://{HOST}:{listening.getsockname()[1]}/"
        look_ahead(app.state.garden)
        if on_ready is not None:
            on_ready(address)
        if open_browser:
            webbrowser.open(address)
        config = quiet(app)
        # The key that stops it is no fault: uvicorn hands it on once everything is closed.
        with contextlib.suppress(KeyboardInterrupt):
            uvicorn.Server(config).run(sockets=[listening])


def quiet(app: FastAPI, **more: Any) -> uvicorn.Config:
    """Return how every server of ours runs: no line per visit, and no forwarded header believed."""
    usual: dict[str, Any] = {"proxy_headers": False, "log_config": None, "access_log": False}
    return uvicorn.Config(app, server_header=False, **{**usual, **more})


def look_ahead(garden: Garden) -> None:
    """Work Today out once beside the start, so that the first page need not wait for it."""

    def look() -> None:
        with contextlib.suppress(HeapwrightError):  # the page itself will tell what is wrong
            today(garden)

    threading.Thread(target=look, name="first look", daemon=True).start()


def take_port(port: int, host: str = HOST) -> socket.socket:
    """Return a socket that listens, on this machine only unless told otherwise.

    Raises
    ------
    OutOfRange, ServiceProblem
        As `serve`.

    """
    if not 0 <= port <= _HIGHEST_PORT:
        raise OutOfRange(
            worded("Port {port}", port=port),
            why=worded("ports go up to {highest_port}", highest_port=_HIGHEST_PORT),
            instead=worded("Start with `--port {default_port}`", default_port=DEFAULT_PORT),
            kept="Nothing was started.",
        )
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if sys.platform != "win32":  # there the option would let two programs share the port
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen(_WAITING)
    except OSError as error:
        listening.close()
        raise _port_problem(port, error) from error
    return listening


def _port_problem(port: int, error: OSError) -> ServiceProblem:
    other = port + 1 if port < _HIGHEST_PORT else DEFAULT_PORT
    if error.errno == errno.EADDRINUSE:
        return ServiceProblem(
            worded("Port {port} is in use", port=port),
            why="another program answers there, perhaps Heapwright itself",
            instead=worded(
                "Open {address}, or start with `--port {other}`",
                address=f"http://{HOST}:{port}/",
                other=other,
            ),
            kept="Nothing was started and nothing is lost.",
        )
    return ServiceProblem(
        worded("Port {port} cannot be taken", port=port),
        why=worded("this machine says: {strerror}", strerror=error.strerror or error),
        instead=worded("Start with `--port {default_port}`", default_port=DEFAULT_PORT),
        kept="Nothing was started and nothing is lost.",
    )


def log_beside(journal: Path) -> None:
    """Send faults with their traces to a file beside the journal, and one line to the screen."""
    screen = logging.StreamHandler()
    screen.setFormatter(_OneLine("%(message)s"))
    file = _QuietFile(journal.with_suffix(".log"), maxBytes=_LOG_BYTES, backupCount=1, delay=True)
    file.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    for name in ("heapwright.web", "uvicorn"):
        log = logging.getLogger(name)
        log.setLevel(logging.WARNING)
        log.propagate = False
        log.handlers[:] = [screen, file]


class _QuietFile(RotatingFileHandler):
    """A log file that cannot be written (full disk) is no reason to show a trace."""

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802 - logging's own name
        """Let it pass: the line stood on the screen already."""


class _OneLine(logging.Formatter):
    """The message alone: the trace is for the file."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the message without its trace."""
        return record.getMessage()
