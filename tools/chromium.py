"""The browser for the browser tests: where it is, how to get it. Knows nothing of the pages."""

from __future__ import annotations

import os
import shutil
import sys
from ctypes.util import find_library

from tools import debian

NAMES = ("chromium", "chromium-browser")
VARIABLE = "HEAPWRIGHT_CHROMIUM"
HOW_TO_GET_IT = (
    "The browser tests need Chromium and none was found. On Debian get it with "
    "`sudo apt-get install chromium`, or set "
    f"{VARIABLE} to the full path of one you have; then run the tests again."
)

DRIVER_LIBRARY = "libatomic1"
HOW_TO_GET_DRIVER = (
    f"The browser tests need the library {DRIVER_LIBRARY}. On Debian get it with "
    f"`sudo apt-get install {DRIVER_LIBRARY}`; then run the tests again."
)


def _get_driver_library() -> str:
    """Get the library that the driver between tests and browser needs and a bare Debian lacks."""
    if not sys.platform.startswith("linux") or find_library("atomic"):
        return ""
    if debian.can_install():
        complaint = debian.install([DRIVER_LIBRARY])
        return f"{HOW_TO_GET_DRIVER} (Installing it here failed: {complaint})" if complaint else ""
    return HOW_TO_GET_DRIVER


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
        return _get_driver_library()
    if not debian.can_install():
        return HOW_TO_GET_IT
    print(
        "Getting Chromium from Debian's packages for the browser tests (about 110 MB) …", flush=True
    )
    complaint = debian.install(["chromium", DRIVER_LIBRARY])
    if find():
        return ""
    return f"{HOW_TO_GET_IT} (Installing it here failed: {complaint})"
