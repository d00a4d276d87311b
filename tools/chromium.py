"""The browser for the browser tests: where it is, how to get it. Knows nothing of the pages."""

from __future__ import annotations

import os
import shutil

from tools import debian

NAMES = ("chromium", "chromium-browser")
VARIABLE = "HEAPWRIGHT_CHROMIUM"
HOW_TO_GET_IT = (
    "The browser tests need Chromium and none was found. On Debian get it with "
    "`sudo apt-get install chromium`, or set "
    f"{VARIABLE} to the full path of one you have; then run the tests again."
)


def find() -> str | None:
    """Path of the Chromium to use: the one named in the environment, else the one on the path."""
    named = os.environ.get(VARIABLE)
    if named:
        return shutil.which(named)
    for name in NAMES:
        path = shutil.which(name)
        if path:
            return path
    return None


def find_or_install() -> str:
    """Find Chromium, or install Debian's when we are root.

    Returns
    -------
    str
        Empty when there is a browser, otherwise the sentence that says how to get one.
    """
    if find():
        return ""
    if not debian.can_install():
        return HOW_TO_GET_IT
    print(
        "Getting Chromium from Debian's packages for the browser tests (about 110 MB) …", flush=True
    )
    complaint = debian.install(["chromium"])
    if find():
        return ""
    return f"{HOW_TO_GET_IT} (Installing it here failed: {complaint})"
