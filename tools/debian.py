"""Debian's packages: whether we may install one, and doing it. Knows nothing of what it is for."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Sequence

from tools.commands import last_line

# Another installer may hold the package list; wait for it this long rather than fail at once.
LOCK_WAIT_S = 300


def can_install() -> bool:
    """Tell whether this is a machine with apt-get and we are its root."""
    is_root = hasattr(os, "geteuid") and os.geteuid() == 0
    return is_root and shutil.which("apt-get") is not None


def install(packages: Sequence[str]) -> str:
    """Install Debian packages as root.

    Returns
    -------
    str
        Empty when they are installed, otherwise the last thing apt-get said.
    """
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive", "LC_ALL": "C"}
    wait = ["-o", f"DPkg::Lock::Timeout={LOCK_WAIT_S}"]
    # An out-of-date list is no reason to stop: the install below says whether it was good enough.
    update = ["apt-get", *wait, "update"]
    install_them = ["apt-get", *wait, "install", "-y", "--no-install-recommends", *packages]
    last = ""
    for command in (update, install_them):
        done = subprocess.run(
            command,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            check=False,
        )
        last = "" if done.returncode == 0 else last_line(done.stdout)
    return last
