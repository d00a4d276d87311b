"""The message broker for the tests of `heapwright listen`: where it is, how to get it.

Knows nothing of messages.
"""

from __future__ import annotations

import os
import shutil

from tools import debian

PACKAGE = "mosquitto"
VARIABLE = "HEAPWRIGHT_MOSQUITTO"
#: Debian puts it where only root's path looks.
_ALSO_IN = "/usr/sbin:/usr/local/sbin"
HOW_TO_GET_IT = (
    "The tests of `heapwright listen` need the broker mosquitto and none was found. On Debian get "
    f"it with `sudo apt-get install {PACKAGE}`, or set {VARIABLE} to the full path of one you "
    "have; then run the tests again."
)


def find() -> str | None:
    """Path of the broker to use: the one named in the environment, else the one on the path."""
    named = os.environ.get(VARIABLE)
    if named:
        return shutil.which(named)
    return shutil.which(PACKAGE, path=f"{os.environ.get('PATH', '')}:{_ALSO_IN}")


def find_or_install() -> str:
    """Find the broker, or install Debian's when we are root.

    Returns
    -------
    str
        Empty when there is one, otherwise the sentence that says how to get one.
    """
    if find():
        return ""
    if not debian.can_install():
        return HOW_TO_GET_IT
    print("Getting mosquitto from Debian's packages for the tests (about 1 MB) …", flush=True)
    complaint = debian.install([PACKAGE])
    return "" if find() else f"{HOW_TO_GET_IT} (Installing it here failed: {complaint})"
