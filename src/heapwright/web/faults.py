"""The one place where anything that goes wrong becomes a page or a JSON answer.

Knows which status belongs to which kind of mistake and how a message is shown. A stack trace goes
to the log under a fault number; the person gets the sentence and the number.
"""

from __future__ import annotations

import logging
import secrets
from collections.abc import Mapping
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response

from heapwright import errors
from heapwright.errors import HeapwrightError
from heapwright.sentences import Reader
from heapwright.web import pages
from heapwright.web.here import reader_or_default
from heapwright.wording import worded

log = logging.getLogger("heapwright.web")

_STATUS: Mapping[type[HeapwrightError], int] = {
    errors.NotSignedIn: 401,
    errors.NotAllowed: 403,
    errors.NotFound: 404,
    errors.TooOften: 429,
    errors.AlreadyThere: 409,
    errors.StoreProblem: 503,
    errors.ServiceProblem: 503,
    errors.BalanceBroken: 500,  # a defect of ours, never the person's
}
_MISTAKE = 422
_TITLES: Mapping[int, str] = {
    401: "Sign in first",
    403: "Not from here",
    404: "Not found",
    405: "Not that way",
    409: "Already there",
    413: "Too large",
    421: "Another address",
    422: "Look again",
    429: "Wait a little",
    500: "Our fault",
    503: "Not just now",
}
#: Pydantic's kinds of mistake in our words; kinds not listed keep pydantic's own message.
_WHY: Mapping[str, str] = {
    "missing": "it is missing",
    "int_parsing": "it is not a whole number",
    "int_from_float": "it is not a whole number",
    "float_parsing": "it is not a number",
    "finite_number": "it is not a number that ends",
    "datetime_parsing": "it is not a date and time",
    "datetime_from_date_parsing": "it is not a date and time",
    "timezone_aware": "it does not say its time zone, such as Z or +02:00",
    "json_invalid": "it is not JSON",
    "string_pattern_mismatch": "it does not have the form asked for",
}


def status_of(error: HeapwrightError) -> int:
    """Return the HTTP status that tells this kind of mistake."""
    return next((code for kind, code in _STATUS.items() if isinstance(error, kind)), _MISTAKE)


def problem(
    error: HeapwrightError,
    status: int,
    reader: Reader = Reader(),
) -> dict[str, Any]:
    """Return the error as a problem document (RFC 9457), its four parts as extra members."""
    parts = {"what": error.what, "why": error.why, "instead": error.instead, "kept": error.kept}
    return {
        "type": "about:blank",
        "title": reader.told(_title(error, status)),
        "status": status,
        "detail": printable(reader.told(error.sentence())),
        "code": error.code,
        **{name: printable(reader.told(part)) for name, part in parts.items()},
    }


def _title(error: HeapwrightError, status: int) -> str:
    if isinstance(error, errors.NotAllowed):
        return "Somebody else's part"
    return _TITLES.get(status, "Look again")


def printable(text: str) -> str:
    """Return a text that can be sent: half a surrogate pair in a person's value becomes "?"."""
    return text.encode("utf-8", "replace").decode("utf-8")


def is_for_programs(path: str) -> bool:
    """Whether an address answers programs (JSON) rather than people (pages)."""
    return path == "/api" or path.startswith("/api/")


def wants_json(request: Request) -> bool:
    """Whether whoever asks is a program: by the address, or because it says so."""
    says_so = request.headers.get("accept", "").startswith("application/json")
    path = request.url.path
    return says_so or path == "/session.json" or is_for_programs(path)


def answer(request: Request, error: HeapwrightError, status: int) -> Response:
    """Return the error as JSON to programs, as a page to everybody else."""
    reader = reader_or_default(request)
    if wants_json(request):
        return JSONResponse(
            problem(error, status, reader),
            status_code=status,
            media_type="application/problem+json",
        )
    shown = {
        "fault": printable(reader.told(error.sentence())),
        "fault_title": _title(error, status),
        # Somebody else's part is nothing gone wrong.
        "calm": isinstance(error, errors.NotAllowed),
    }
    return pages.render(request, "fault.html", status_code=status, **shown)


def unexpected(request: Request, error: Exception) -> Response:
    """Log a defect of ours under a number and return the calm page that names the number."""
    number = secrets.token_hex(3)
    log.error("Fault %s at %s %s", number, request.method, request.url.path, exc_info=error)
    told = HeapwrightError(
        "Something broke inside Heapwright",
        why="It is a fault of the program, not a mistake of yours",
        instead=worded(
            "Go back and try again. If it comes again, report fault {number} from the log",
            number=number,
        ),
        kept="What was saved before is still saved; look whether your last entry is there.",
    )
    try:
        return answer(request, told, 500)
    except Exception:  # the page itself may be what broke; the words must come out all the same
        log.exception("Fault %s could not be shown as a page", number)
        return Response(told.sentence(), status_code=500, media_type="text/plain; charset=utf-8")


def from_validation(error: RequestValidationError) -> HeapwrightError:
    """Return what a form or a JSON document got wrong, as one of the family."""
    first = error.errors()[0]
    place = ".".join(str(step) for step in first["loc"][1:]) or "What was sent"
    given = first.get("input")
    value = f' "{str(given)[:60]}"' if isinstance(given, str | int | float) else ""
    others = len(error.errors()) - 1
    return errors.NotUnderstood(
        f"{place}{value}",
        why=_WHY.get(first["type"], first["msg"]),
        instead=f"Mend it{f' and {others} more' if others else ''}, then send it again",
    )


def _from_http(request: Request, error: HTTPException) -> HeapwrightError:
    path = request.url.path[:80]
    if error.status_code == 404:
        return errors.NotFound(
            worded("There is nothing at {path}", path=path),
            instead="Begin at the Today page",
            kept="",
        )
    if error.status_code == 405:
        return HeapwrightError(
            worded("{path} cannot be asked by {method}", path=path, method=request.method), kept=""
        )
    return errors.NotUnderstood(
        "What was sent could not be read",
        why="it is neither a form nor JSON in UTF-8, or it broke off on the way",
        instead="Send it again",
    )


def install(app: FastAPI) -> None:
    """Make the application answer every error in this way."""

    def on_ours(request: Request, error: Exception) -> Response:
        assert isinstance(error, HeapwrightError)
        status = status_of(error)
        if status >= 500:
            log.warning("%s at %s: %s", error.code, request.url.path, error.sentence())
        return answer(request, error, status)

    def on_validation(request: Request, error: Exception) -> Response:
        assert isinstance(error, RequestValidationError)
        return answer(request, from_validation(error), _MISTAKE)

    def on_http(request: Request, error: Exception) -> Response:
        assert isinstance(error, HTTPException)
        # FastAPI's 400 means that the body was no JSON or no form at all: a mistake like others.
        status = _MISTAKE if error.status_code == 400 else error.status_code
        response = answer(request, _from_http(request, error), status)
        response.headers.update(error.headers or {})
        return response

    app.add_exception_handler(HeapwrightError, on_ours)
    app.add_exception_handler(RequestValidationError, on_validation)
    app.add_exception_handler(HTTPException, on_http)
