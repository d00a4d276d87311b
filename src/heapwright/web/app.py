"""Makes the web application: for one garden on this machine, or shared with several people.

Knows which routes there are and what is wrapped around them. Knows nothing of what they do.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path
from typing import Any

from fastapi import Depends, FastAPI
from starlette.middleware.gzip import GZipMiddleware
from starlette.responses import RedirectResponse, Response

from heapwright.web import (
    api_document,
    faults,
    guards,
    phone_cache,
    probe_door,
    roles,
    routes_api,
    routes_api_garden,
    routes_api_ledger,
    routes_api_stock_ahead,
    routes_api_year,
    routes_beds,
    routes_bin,
    routes_build,
    routes_compare,
    routes_correct,
    routes_fault,
    routes_import,
    routes_ledger,
    routes_log,
    routes_people,
    routes_phone,
    routes_photos,
    routes_print,
    routes_probe_reports,
    routes_probes,
    routes_ready,
    routes_setup,
    routes_sign_in,
    routes_site,
    routes_stock,
    routes_stock_ahead,
    routes_story,
    routes_timeline,
    routes_today,
    routes_trust,
    routes_year,
    sessions,
    signing_in,
    static_files,
)
from heapwright.web.trust import Trust
from heapwright.workshop.garden import Garden

_PAGES = (
    routes_today,
    routes_timeline,
    routes_compare,
    routes_print,
    routes_story,
    routes_bin,
    routes_fault,
    routes_ready,
    routes_build,
    routes_log,
    routes_correct,
    routes_photos,
    routes_phone,
    routes_stock,
    routes_stock_ahead,
    routes_beds,
    routes_ledger,
    routes_site,
    routes_import,
    routes_setup,
    routes_people,
    routes_sign_in,
    routes_trust,
    routes_probes,
    routes_probe_reports,
    routes_api,
    routes_api_garden,
    routes_api_ledger,
    routes_api_stock_ahead,
    routes_year,
    routes_api_year,
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
    app = _made()
    app.state.garden = Garden.open(garden) if isinstance(garden, Path) else garden
    app.add_middleware(guards.Guard, hosts=hosts)
    return app


def create_shared_app(
    sharing: sessions.Sharing,
    *,
    hosts: Collection[str] = guards.THIS_MACHINE,
    trust: Trust | None = None,
    home_only: bool = True,
) -> FastAPI:
    """Return the application that shows several people the gardens that are theirs.

    Parameters
    ----------
    sharing : Sharing
        The people and the gardens, already open.
    hosts : collection of str
        Names the program answers to, besides the numbers of a home network.
    trust : Trust, optional
        The program's own authority, where it speaks https.
    home_only : bool, default True
        Answer only those who ask from a home network; False behind a proxy, which is asked by all.

    """
    app = _made()
    # No `state.garden` here: which garden a request may see is told by its sign-in alone.
    app.state.sharing = sharing
    app.state.trust = trust
    app.add_middleware(guards.Guard, hosts=hosts, home_numbers=True, home_only=home_only)
    return app


def create_trust_app(
    sharing: sessions.Sharing, trust: Trust, *, hosts: Collection[str] = guards.THIS_MACHINE
) -> FastAPI:
    """Return the little application that answers by plain http where the pages speak https.

    It hands out the certificate and sends everybody on to https; it shows nothing of a garden.
    Arguments as for `create_shared_app`.
    """
    app = _made((routes_trust,))
    app.state.sharing = sharing
    app.state.trust = trust

    @app.get("/{path:path}", include_in_schema=False)
    @roles.for_anybody
    def go_on(path: str) -> Response:
        """Send whoever asks for anything else to the page that explains."""
        return RedirectResponse("/trust", status_code=302)

    app.add_middleware(guards.Guard, hosts=hosts, home_numbers=True, home_only=True)
    return app


def _made(pages: Sequence[Any] = _PAGES) -> FastAPI:
    app = FastAPI(
        title="Heapwright",
        summary="Hot compost in bins at home: what to do today, how much, and why.",
        version="1",
        docs_url=None,  # that page fetches scripts from another machine
        redoc_url=None,
        openapi_url="/api/openapi.json",
        dependencies=[Depends(sessions.admit)],
    )
    for page in pages:
        app.include_router(page.router)
    app.mount("/static", static_files.KeptFiles(), name="static")
    faults.install(app)
    signing_in.install(app)
    probe_door.install(app)
    api_document.install(app)
    app.add_middleware(phone_cache.PhoneCache)
    app.add_middleware(GZipMiddleware, minimum_size=_SMALLEST_WORTH_PACKING_BYTES)
    return app
