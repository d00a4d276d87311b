"""What stands at the door: who may ask, how much may be sent, and the headers of every answer.

Knows hosts, origins and sizes. It is also the last catch: whatever no handler caught becomes the
calm page of `faults`. Knows nothing of gardens.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Collection
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from heapwright.errors import HeapwrightError
from heapwright.web import faults
from heapwright.web.bounds import LARGEST_BODY_BYTES, SAFE_METHODS
from heapwright.wording import worded

THIS_MACHINE = frozenset({"127.0.0.1", "localhost", "::1"})
#: Addresses of providers' and private tunnels' inner networks (RFC 6598).
_SHARED_SPACE = ipaddress.ip_network("100.64.0.0/10")
_HEADERS = {
    # Nothing inline, nothing from another machine; pictures may be made on the page itself.
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
        "font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), camera=(self)",
}


class Guard:
    """ASGI middleware around the whole application.

    Parameters
    ----------
    app : ASGIApp
    hosts : collection of str
        Names this program answers to; a page of another site that points its own name at this
        machine is refused.
    home_numbers : bool, default False
        Answer to any address in numbers that belongs to a home network too. Another site can
        point its name here, but it cannot take a number for its name.
    home_only : bool, default False
        Answer only those who ask from this machine or a home network.

    """

    def __init__(
        self,
        app: ASGIApp,
        hosts: Collection[str] = THIS_MACHINE,
        *,
        home_numbers: bool = False,
        home_only: bool = False,
    ) -> None:
        self.app = app
        self.hosts = frozenset(host.lower() for host in hosts)
        self.home_numbers = home_numbers
        self.home_only = home_only

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        visit = _Visit(scope, receive, send)
        request = Request(scope, receive)
        if self.home_only and not _is_at_home(scope):
            words = Response(_from_outside(), status_code=403, media_type="text/plain")
            await words(scope, receive, visit.send_out)
            return
        host = _host_name(Headers(scope=scope).get("host", ""))
        if not (host in self.hosts or (self.home_numbers and is_home_number(host))):
            # Plain words only: a page would tell the garden's name to whoever pretends to be us.
            words = Response(
                _wrong_host(host, self.home_numbers), status_code=421, media_type="text/plain"
            )
            await words(scope, receive, visit.send_out)
            return
        refusal = _refusal(scope)
        if refusal is not None:
            error, status = refusal
            await faults.answer(request, error, status)(scope, receive, visit.send_out)
            return
        await self._pass_on(request, visit)

    async def _pass_on(self, request: Request, visit: _Visit) -> None:
        try:
            await self.app(visit.scope, visit.take_in, visit.send_from_app)
        except ClientDisconnect:
            return  # a phone that walked out of reach: no fault, and nobody to answer
        except Exception as error:  # noqa: BLE001 - the last catch: nothing may reach a person raw
            if visit.started:
                # Too late for a page: the connection is cut, and the log says why.
                faults.log.error("Broke off half way at %s", request.url.path, exc_info=error)
            elif not visit.too_large:
                response = faults.unexpected(request, error)
                await response(visit.scope, visit.take_in, visit.send_out)
        if visit.too_large and not visit.started:
            response = faults.answer(request, _too_large(), 413)
            await response(visit.scope, visit.take_in, visit.send_out)


class _Visit:
    """One request on its way: counts what comes in, puts the headers on what goes out."""

    def __init__(self, scope: Scope, receive: Receive, send: Send) -> None:
        self.scope = scope
        self.started = False
        self.too_large = False
        self._receive = receive
        self._send = send
        self._bytes_in = 0

    async def take_in(self) -> Message:
        message = await self._receive()
        self._bytes_in += len(message.get("body", b""))
        if self._bytes_in > LARGEST_BODY_BYTES:
            self.too_large = True
            raise _too_large()
        return message

    async def send_from_app(self, message: Message) -> None:
        # Once too much has come in, the application's own answer is not the one to give.
        if not self.too_large or self.started:
            await self.send_out(message)

    async def send_out(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.started = True
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
            kept = "no-store" if faults.is_for_programs(self.scope["path"]) else "private, no-cache"
            headers.setdefault("Cache-Control", kept)
        await self._send(message)


def _refusal(scope: Scope) -> tuple[HeapwrightError, int] | None:
    headers = Headers(scope=scope)
    if scope["method"] not in SAFE_METHODS and not _from_our_pages(headers):
        return _wrong_origin(), 403
    if _declared_size(headers) > LARGEST_BODY_BYTES:
        return _too_large(), 413
    return None


def _host_name(header: str) -> str:
    """Return the name in a Host header without its port, "" when it cannot be one."""
    try:
        return urlsplit(f"//{header}").hostname or ""
    except ValueError:
        return ""


def is_home_number(host: str) -> bool:
    """Whether a host is an address in numbers that only a home network or this machine uses."""
    try:
        address = ipaddress.ip_address(host)
    except ValueError:
        return False
    return address.is_private and not address.is_unspecified


def _from_our_pages(headers: Headers) -> bool:
    """Whether a change was asked for by a page of ours, or by a program that is no browser."""
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site in ("same-origin", "none")
    origin = headers.get("origin")
    return origin is None or urlsplit(origin).netloc == headers.get("host")


def _declared_size(headers: Headers) -> int:
    text = headers.get("content-length", "0")
    return int(text) if text.isascii() and text.isdigit() else 0


def _is_at_home(scope: Scope) -> bool:
    """Whether whoever asks has an address of this machine, a home network or a private tunnel."""
    client = scope.get("client")
    try:
        address = ipaddress.ip_address(client[0].partition("%")[0] if client else "")
    except ValueError:
        return False
    mapped = getattr(address, "ipv4_mapped", None)
    address = mapped or address
    return address.is_private or (address.version == 4 and address in _SHARED_SPACE)


def _from_outside() -> str:
    return HeapwrightError(
        "This garden is shared in its home network only",
        instead="Come in by that network, or put a proxy with a known certificate before it",
        kept="",
    ).sentence()


def _wrong_host(host: str, is_shared: bool) -> str:
    why, instead = (
        "It is set to be reached from this machine only",
        "Open it as http://127.0.0.1 with its port",
    )
    if is_shared:
        why = "It is shared under other names only"
        instead = "Open it by its number, or start it with this name behind `--name`"
    what = worded('This program does not answer to the name "{host}"', host=host[:60])
    return HeapwrightError(what, why=why, instead=instead, kept="").sentence()


def _wrong_origin() -> HeapwrightError:
    return HeapwrightError(
        "This entry was sent by a page of another site",
        why="Only Heapwright's own pages may write in the journal",
        instead="Open the Log page here and enter it there",
    )


def _too_large() -> HeapwrightError:
    return HeapwrightError(
        worded(
            "What was sent is larger than {largest_body_bytes} MB",
            largest_body_bytes=LARGEST_BODY_BYTES // (1024 * 1024),
        ),
        instead="Send it in parts, or make the picture smaller",
    )
