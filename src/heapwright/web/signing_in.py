"""Sends whoever is not signed in to the sign-in, and keeps what they had written on the way.

Knows how a request without a sign-in is answered: words for programs, the sign-in page for people,
and a form that was sent comes along to be sent again afterwards. Knows no passphrase.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from starlette.responses import RedirectResponse, Response

from heapwright.errors import HeapwrightError, NotSignedIn
from heapwright.web import faults, form_token, pages
from heapwright.web.bounds import LARGEST_BODY_BYTES, SAFE_METHODS

#: A form longer than this is not carried along; the browser's own way back still has it.
#: [letters of JSON] (ours: some pages of a note)
_MOST_KEPT = 60_000
_NO_STORE = {"Cache-Control": "no-store"}


def install(app: FastAPI) -> None:
    """Let the application answer `NotSignedIn` this way."""

    async def on_not_signed_in(request: Request, error: Exception) -> Response:
        assert isinstance(error, NotSignedIn)
        return await _answer(request, error)

    app.add_exception_handler(NotSignedIn, on_not_signed_in)


async def _answer(request: Request, error: NotSignedIn) -> Response:
    if faults.wants_json(request):
        return faults.answer(request, error, faults.status_of(error))
    path = request.url.path
    if request.method in SAFE_METHODS:
        query = f"?{request.url.query}" if request.url.query else ""
        asked = {} if path == "/" else {"back": f"{path}{query}"}
        where = f"/sign-in?{urlencode(asked)}" if asked else "/sign-in"
        return RedirectResponse(where, status_code=303, headers=_NO_STORE)
    return page(request, status=401, kept=await _kept(request), kept_for=path)


def page(
    request: Request,
    *,
    status: int = 200,
    problem: HeapwrightError | None = None,
    name: str = "",
    back: str = "/",
    kept: str = "",
    kept_for: str = "",
) -> Response:
    """Return the sign-in page.

    Parameters
    ----------
    problem : HeapwrightError, optional
        What was wrong with the last try.
    name : str
        As it was typed; a passphrase is never shown again.
    back : str
        Where to go afterwards; an address of our own.
    kept, kept_for : str
        The form that was sent without a sign-in, as JSON, and where it goes.

    """
    response = pages.render(
        request,
        "sign_in.html",
        status_code=status,
        problem=problem,
        name=name,
        back=local(back),
        kept=kept,
        kept_for=local(kept_for) if kept else "",
    )
    response.headers["Cache-Control"] = "no-store"
    return response


def send_again(request: Request, kept: str, kept_for: str, token: str) -> Response:
    """Return the page that sends a kept form once more, now that somebody is signed in."""
    response = pages.render(
        request,
        "send_again.html",
        fields=kept_fields(kept),
        kept_for=local(kept_for),
        form_token=token,
    )
    response.headers["Cache-Control"] = "no-store"
    return response


def kept_fields(kept: str) -> list[tuple[str, str]]:
    """Return the fields of a kept form; nothing when it is none."""
    try:
        found: Any = json.loads(kept)
    except ValueError:
        return []
    if not isinstance(found, list):
        return []
    return [
        (pair[0], pair[1])
        for pair in found
        if isinstance(pair, list) and len(pair) == 2 and all(isinstance(p, str) for p in pair)
    ]


async def _kept(request: Request) -> str:
    """Return the text fields of the form that was sent, as JSON; "" when they are no form.

    A photo is not carried along: the phone still has it, and the next page asks for it.
    """
    if not request.headers.get("content-type", "").startswith(form_token.CONTENT_TYPES):
        return ""
    form = await request.form(max_part_size=LARGEST_BODY_BYTES)
    pairs: Sequence[tuple[str, str]] = [
        (name, value)
        for name, value in form.multi_items()
        if isinstance(value, str) and name != form_token.FIELD
    ]
    text = json.dumps(pairs)
    return text if len(text) <= _MOST_KEPT else ""


def local(address: str) -> str:
    """Return an address of our own pages; Today for anything else."""
    is_ours = address.startswith("/") and not address.startswith(("//", "/\\"))
    return address if is_ours and address.isprintable() else "/"
