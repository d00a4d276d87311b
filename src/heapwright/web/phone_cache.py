"""Lets a phone's own browser keep a few pages over plain http, where no service worker may.

Knows which pages and when it is right: only over http, only when the phone's script has said (by a
cookie) that it is at work. The script asks for a kept page anew as soon as it is open and shows
what changed; without it a page kept for hours would be taken for fresh. Kept pages go by the
cookie header, so that those of a sign-in are not shown after it.
"""

from __future__ import annotations

import re

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import cookie_parser
from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: The cookie that `phone_keep.js` sets.
COOKIE = "heapwright-keeps"
#: Today, Log, This phone and the bins: `worker.js` is told them, `phone_keep.js` has them as well.
KEPT = re.compile(r"/(log|phone|bins/[^/]+)?")
#: From the morning's look to the evening's round at the bins. [s]
_KEEP_S = 12 * 3600


class PhoneCache:
    """ASGI middleware that says of a page that the phone may keep it."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http" or not _may_be_kept(scope):
            await self.app(scope, receive, send)
            return

        async def send_kept(message: Message) -> None:
            if message["type"] == "http.response.start" and message["status"] == 200:
                headers = MutableHeaders(scope=message)
                is_page = headers.get("content-type", "").startswith("text/html")
                if is_page and "no-store" not in headers.get("cache-control", ""):
                    headers["Cache-Control"] = f"private, max-age={_KEEP_S}"
                    headers.add_vary_header("Cookie")
            await send(message)

        await self.app(scope, receive, send_kept)


def _may_be_kept(scope: Scope) -> bool:
    if scope["method"] != "GET" or scope["scheme"] != "http" or not KEPT.fullmatch(scope["path"]):
        return False
    return COOKIE in cookie_parser(Headers(scope=scope).get("cookie", ""))
