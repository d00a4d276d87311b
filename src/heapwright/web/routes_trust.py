"""The Trust page: the program's own authority, how a phone comes to trust it, how that is undone.

Knows which certificate is handed out. The page shows nothing of a garden and needs no sign-in: a
phone fetches it by plain http before it can speak https at all.
"""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import Response

from heapwright.errors import NotFound
from heapwright.web import pages
from heapwright.web.addresses import in_address
from heapwright.web.roles import for_anybody
from heapwright.web.trust import Trust

router = APIRouter(include_in_schema=False)


@router.get("/trust")
@for_anybody
def show_trust(request: Request) -> Response:
    """Show how to trust this program's certificate, and what that means."""
    trust = _trust(request)
    host = request.url.hostname or "127.0.0.1"
    return pages.render(
        request,
        "trust.html",
        trust=trust,
        address="" if trust is None else f"https://{in_address(host)}:{trust.https_port}/",
    )


@router.get("/trust/authority.crt")
@for_anybody
def send_certificate(request: Request) -> Response:
    """Send the authority's certificate, in the form that phones offer to install."""
    trust = _trust(request)
    if trust is None:
        raise NotFound(
            "This program has no certificate of its own",
            why="it was started without https",
            instead="Start it with `--share --https`",
            kept="",
        )
    return Response(
        trust.certificate,
        media_type="application/x-x509-ca-cert",
        headers={"Content-Disposition": 'attachment; filename="heapwright-authority.crt"'},
    )


def _trust(request: Request) -> Trust | None:
    found: Trust | None = getattr(request.app.state, "trust", None)
    return found
