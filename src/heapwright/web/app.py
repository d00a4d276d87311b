"""Makes the web application for one garden.

Knows which routes there are and what is wrapped around them. Knows nothing of what they do.
"""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from fastapi import FastAPI
from starlette.middleware.gzip import GZipMiddleware

from heapwright.web import (
    api_document,
    faults,
    guards,
    routes_api,
    routes_bin,
    routes_build,
    routes_fault,
    routes_import,
    routes_log,
    routes_ready,
    routes_setup,
    routes_stock,
    routes_timeline,
    routes_today,
    static_files,
)
from heapwright.workshop.garden import Garden

_PAGES = (
    routes_today,
    routes_timeline,
    routes_bin,
    routes_fault,
    routes_ready,
    routes_build,
    routes_log,
    routes_stock,
    routes_import,
    routes_setup,
    routes_api,
)
_SMALLEST_WORTH_PACKING_BYTES = 500


def create_app(garden: Path | Garden, *, hosts: Collection[str] = guards.THIS_MACHINE) -> FastAPI:
    """Return the application that shows and keeps `garden`.

    Parameters
    ----------
    garden : Path or Garden
        The journal file (opened, or made if it is not there), or a garden already open.
    hosts : collection of str, default this machine
        Names the program answers to.

    Raises
    ------
    StoreProblem
        When the journal cannot be opened.

    """
    app = FastAPI(
        title="Heapwright",
        summary="Hot compost in bins at home: what to do today, how much, and why.",
        version="1",
        docs_url=None,  # that page fetches scripts from another machine
        redoc_url=None,
        openapi_url="/api/openapi.json",
    )
    app.state.garden = Garden.open(garden) if isinstance(garden, Path) else garden
    for page in _PAGES:
        app.include_router(page.router)
    app.mount("/static", static_files.KeptFiles(), name="static")
    faults.install(app)
    api_document.install(app)
    app.add_middleware(GZipMiddleware, minimum_size=_SMALLEST_WORTH_PACKING_BYTES)
    app.add_middleware(guards.Guard, hosts=hosts)
    return app
