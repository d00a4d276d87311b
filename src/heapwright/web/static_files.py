"""Style sheets, scripts and pictures, each under an address that changes when they do.

Knows the folder `static/` and how long a browser may keep what is in it. The address holds one
hash over the whole folder, so that a script may import its neighbour by a plain relative name.
"""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

FOLDER = Path(__file__).parent / "static"
_KEEP_A_YEAR = "public, max-age=31536000, immutable"


@cache
def version() -> str:
    """Return the hash over every file of the folder and its name."""
    digest = hashlib.sha256()
    for path in sorted(path for path in FOLDER.rglob("*") if path.is_file()):
        digest.update(path.relative_to(FOLDER).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


def address(name: str) -> str:
    """Return the address of a file such as "heapwright.css" or "vendor/uPlot.min.css".

    Raises
    ------
    FileNotFoundError
        When a template names a file that is not there.

    """
    if not (FOLDER / name).is_file():
        raise FileNotFoundError(f"no static file {name}")
    return f"/static/{version()}/{name}"


class KeptFiles(StaticFiles):
    """Serves `/static/<version>/<name>`: kept for a year if that is our version, else not."""

    def __init__(self) -> None:
        super().__init__(directory=FOLDER)

    async def get_response(self, path: str, scope: Scope) -> Response:
        """Return the file behind the version, with how long it may be kept."""
        asked_version, _, name = path.partition("/")
        response = await super().get_response(name, scope)
        ours = asked_version == version()
        response.headers["Cache-Control"] = _KEEP_A_YEAR if ours else "no-cache"
        return response
