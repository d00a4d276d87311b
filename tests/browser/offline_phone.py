"""A phone that may be killed: Chromium with a store of its own, started as a process we own.

What it keeps outlives the browser, as on a real phone. Knows the scripts of the phone's store by
their addresses; knows nothing of what is checked with them.
"""

from __future__ import annotations

import contextlib
import os
import re
import signal
import subprocess
import time
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, BrowserType, Error, Page, Route

from heapwright.web import static_files
from tests.conftest import BROWSER_ARGUMENTS

_PATIENCE_S = 30
# The modules of the page, driven from outside; no worker, so that each page is the same.
_NO_WORKER = "if (navigator.serviceWorker) navigator.serviceWorker.register = async () => null;"
_NO_LOCKS = "Object.defineProperty(Navigator.prototype, 'locks', { get: () => undefined });"
_DRIVER = """
window.phone = (async () => {
  const queue = await import("/static/%(version)s/queue.js");
  const sending = await import("/static/%(version)s/sending.js");
  Object.assign(sending.settings, { leaseMs: 600, answerWithinMs: 5000, againAfterMs: 60000 });
  sending.start();
  return {
    keep: (id, note) => queue.keep({
      id, path: "/log", about: note,
      fields: [["entry_id", id], ["bin", "left"], ["note", note]],
    }),
    flush: sending.flush,
    waiting: queue.waiting,
  };
})();
"""
#: Where the phone's store is driven: the lightest page, so that many tabs cost little time.
PAGE = "/phone/away"


class OfflinePhone:
    """Chromium of 390 x 844 whose store lies in a folder.

    Parameters
    ----------
    starter : BrowserType
        Of the tests' own browser.
    chromium_path : str
    folder : Path
        Where the phone keeps things.
    address : str
        Of the house.
    with_locks : bool
        False for what a phone has over plain http.

    """

    def __init__(
        self,
        starter: BrowserType,
        chromium_path: str,
        folder: Path,
        address: str,
        with_locks: bool,
    ) -> None:
        self._starter = starter
        self._command = [
            chromium_path,
            *BROWSER_ARGUMENTS,
            f"--user-data-dir={folder}",
            "--remote-debugging-port=0",
            "--window-size=390,844",
            "about:blank",
        ]
        self._folder = folder
        self._address = address
        self._with_locks = with_locks
        self._lose_answers = False
        self.lost_answers = 0

    def switch_on(self) -> None:
        """Start the browser."""
        port_file = self._folder / "DevToolsActivePort"
        port_file.unlink(missing_ok=True)
        self._process = subprocess.Popen(
            self._command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        until = time.monotonic() + _PATIENCE_S
        while not (port_file.exists() and port_file.read_text().count("\n")):
            assert time.monotonic() < until, "the browser did not start"
            time.sleep(0.01)
        port = port_file.read_text().split("\n")[0]
        self._browser: Browser = self._starter.connect_over_cdp(f"http://127.0.0.1:{port}")
        self.context: BrowserContext = self._browser.contexts[0]
        self.context.set_default_timeout(_PATIENCE_S * 1000)
        self.context.add_init_script(_NO_WORKER + ("" if self._with_locks else _NO_LOCKS))
        self.context.route(re.compile(r"/log$"), self._on_the_way)

    def kill(self) -> None:
        """End the browser's process as a phone that runs out of memory does."""
        os.kill(self._process.pid, signal.SIGKILL)
        self._process.wait()
        with contextlib.suppress(Error):
            self._browser.close()

    def open(self) -> Page:
        """Open a tab on the page with the store, ready to be driven."""
        page = self.context.new_page()
        page.goto(f"{self._address}{PAGE}", wait_until="domcontentloaded")
        page.evaluate(_DRIVER % {"version": static_files.version()})
        return page

    def lose_answers(self, lose: bool) -> None:
        """Let the house get what is sent, and the phone never hear of it."""
        self._lose_answers = lose

    def _on_the_way(self, route: Route) -> None:
        with contextlib.suppress(Error):  # the tab may be gone by now
            if self._lose_answers:
                route.fetch()
                self.lost_answers += 1
                route.abort("connectionreset")
            else:
                route.continue_()
