"""Every route of an application, those inside included routers too."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any


def routes_there(routes: list[Any]) -> Iterator[Any]:
    """Yield the routes that answer; newer versions of the framework keep included routers whole."""
    for route in routes:
        inside = getattr(route, "original_router", None)
        if inside is not None:
            yield from routes_there(inside.routes)
        else:
            yield route
