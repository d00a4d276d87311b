"""A house that may be killed: the real `heapwright serve`, started again and again in little time.

A launcher reads the program once and forks a process for each start, so that killing and starting
costs tenths of a second. Knows processes and ports; knows nothing of pages.
"""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx

from heapwright.web.server import take_port

_PATIENCE_S = 60
#: What the launcher runs: every line it reads starts one more house and is answered by its number.
_LAUNCHER = """
import os, signal, sys, tempfile
from heapwright.cli import main
import alembic.command, numba, scipy.optimize, uvicorn
import heapwright.web.app
from heapwright.workshop.garden import Garden
from heapwright.workshop.today import today

# Whatever is loaded and looked up only once is so before the first house is forked.
with tempfile.TemporaryDirectory() as folder, Garden.open(folder + "/garden.heapwright") as garden:
    today(garden)
    heapwright.web.app.create_app(garden)

signal.signal(signal.SIGCHLD, signal.SIG_IGN)
for line in sys.stdin:
    child = os.fork()
    if child == 0:
        os.dup2(os.open(os.devnull, os.O_RDWR), 1)
        sys.argv = ["heapwright", "serve", "--no-open", "--port", *line.rstrip("\\n").split("\\t")]
        main()
        os._exit(0)
    print(child, flush=True)
"""


class KillableHouse:
    """The program's own process for one journal, at an address that stays the same.

    Attributes
    ----------
    address : str
        Without a slash at the end.
    kills : int
        How often it was killed.

    """

    def __init__(self, launcher: subprocess.Popen[str], journal: Path, port: int) -> None:
        self._launcher = launcher
        self._journal = journal
        self._port = port
        self._process = 0
        self._client = httpx.Client(timeout=5)
        self.address = f"http://127.0.0.1:{port}"
        self.kills = 0

    def start(self) -> None:
        """Start it and wait until it answers."""
        into, out = self._launcher.stdin, self._launcher.stdout
        assert into is not None and out is not None
        into.write(f"{self._port}\t--garden\t{self._journal}\n")
        into.flush()
        self._process = int(out.readline())
        until = time.monotonic() + _PATIENCE_S
        while not self._answers():
            assert time.monotonic() < until, "the house does not answer"
            time.sleep(0.005)

    def kill(self) -> None:
        """End it as a power cut does: no warning, nothing put away."""
        with contextlib.suppress(ProcessLookupError):
            os.kill(self._process, signal.SIGKILL)
        self.kills += 1
        until = time.monotonic() + _PATIENCE_S
        while _is_there(self._process):
            assert time.monotonic() < until, "the house does not die"
            time.sleep(0.001)

    def _answers(self) -> bool:
        try:
            return self._client.get(f"{self.address}/phone/reach").status_code == 204
        except httpx.TransportError:
            return False


def _is_there(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


@contextmanager
def killable(journal: Path) -> Iterator[KillableHouse]:
    """Run a house for a journal until the end of the block."""
    with take_port(0) as free:
        port = free.getsockname()[1]
    with subprocess.Popen(
        [sys.executable, "-c", _LAUNCHER], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as launcher:
        house = KillableHouse(launcher, journal, port)
        house.start()
        try:
            yield house
        finally:
            house.kill()
            assert launcher.stdin is not None
            launcher.stdin.close()
