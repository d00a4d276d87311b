"""The page of one phone: what it keeps, what waits on it, and what opens it without network.

Knows the page, the service worker, the manifest and the icons. What waits is in the phone alone:
the page's script shows it.
"""

from __future__ import annotations

import json
from ipaddress import ip_address
from typing import Any, Final

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse, Response

from heapwright.errors import NotFound
from heapwright.web import pages, phone_cache, phone_icon, static_files
from heapwright.web.here import GardenHere
from heapwright.web.phone_post import garden_mark
from heapwright.web.roles import for_anybody, for_readers

router = APIRouter(include_in_schema=False)

#: The house is waited for this long before the kept page is shown. [ms]
_PATIENCE_MS: Final = 4000
_AWAY = "/phone/away"
#: A form sent to one of these signs out: kept pages are dropped.
_FORGETS = ("/sign-out", "/sign-out/everywhere")
#: What pages are made of; licence texts, tables and the worker itself are not.
_PARTS = (".css", ".js", ".svg")
_PAPER, _CHAR = "#f3f1f0", "#151110"  # --paper by day and by night (tokens.css)


@router.get("/phone")
@for_readers
def show_phone(request: Request, garden: GardenHere) -> Response:
    """Show what waits, what arrived, which tier this phone has and how to install."""
    return pages.render(
        request, "phone.html", tier=tier(request), garden_mark=garden_mark(garden), forgets=_FORGETS
    )


@router.get("/phone/away")
@for_anybody
def show_away(request: Request) -> Response:
    """Show the page that stands for one that is not kept; it tells nothing of a garden."""
    return pages.render(request, "away.html")


@router.get("/phone/reach")
@for_anybody
def tell_reached() -> Response:
    """Tell a phone that the house is there."""
    return Response(status_code=204, headers={"Cache-Control": "no-store"})


@router.get("/worker.js")
@for_anybody
def give_worker() -> Response:
    """Return the service worker with what it must know of this version of the program."""
    house = {
        "version": static_files.version(),
        "files": kept_files(),
        "kept": f"^{phone_cache.KEPT.pattern}$",
        "away": _AWAY,
        "patienceMs": _PATIENCE_MS,
        "forgets": _FORGETS,
    }
    text = (static_files.FOLDER / "worker.js").read_text(encoding="utf-8")
    return Response(
        f"const HOUSE = {json.dumps(house)};\n{text}",
        media_type="text/javascript",
        headers={"Cache-Control": "no-cache"},
    )


@router.get("/manifest.webmanifest")
@for_anybody
def give_manifest() -> Response:
    """Return what a phone needs to put the program on its home screen."""
    icons: list[dict[str, Any]] = [
        {"src": f"/icon/{size}.png", "sizes": f"{size}x{size}", "type": "image/png", "purpose": use}
        for size in phone_icon.SIZES
        for use in ("any", "maskable")
    ]
    manifest = {
        "id": "/",
        "name": "Heapwright",
        "short_name": "Heapwright",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": _PAPER,
        "theme_color": _CHAR,
        "icons": icons,
    }
    return JSONResponse(
        manifest,
        media_type="application/manifest+json",
        headers={"Cache-Control": "no-cache"},
    )


@router.get("/icon/{name}")
@for_anybody
def give_icon(name: str) -> Response:
    """Return the program's sign as a picture for the home screen."""
    size = {f"{size}.png": size for size in phone_icon.SIZES}.get(name)
    if size is None:
        raise NotFound(f"There is no icon {name[:40]}", kept="")
    return Response(
        phone_icon.icon(size),
        media_type="image/png",
        headers={"Cache-Control": "public, max-age=86400"},
    )


def kept_files() -> list[str]:
    """Return the addresses of the files that kept pages are made of."""
    folder = static_files.FOLDER
    names = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*"))
    return [
        static_files.address(name)
        for name in names
        if name.endswith(_PARTS) and name != "worker.js"
    ]


def tier(request: Request) -> str:
    """Return which tier a phone has at this address.

    Returns
    -------
    str
        "here": the house's own machine; "a": plain http; "b": https by the program's own
        authority; "c": https by a certificate that every phone knows.

    """
    if is_this_machine(request.url.hostname or ""):
        return "here"
    if request.url.scheme != "https":
        return "a"
    return "b" if getattr(request.app.state, "trust", None) is not None else "c"


def is_this_machine(host: str) -> bool:
    """Whether browsers take a host for their own machine, and so for safe."""
    if host == "localhost":
        return True
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False
