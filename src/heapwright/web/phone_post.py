"""Answers a form that a phone sends from its own store: in JSON, once however often it comes.

Knows the few headers by which a phone says what kind of sending this is, and the outcomes it acts
upon. Knows nothing of fields: the form is stored by `log_keeping`.

The phone asks `Accept: application/json` and sends
  `Heapwright-Waited`   seconds since the form was written, by the phone's clock. Only the
                        difference counts, so a phone whose clock is wrong tells the right moment.
  `Heapwright-Asking`   "yes" while the person still stands there and can be asked. Without it an
                        improbable reading is kept, and the doubt stands in the answer.
  `Heapwright-Garden`   which garden the form was filled in for; another one refuses it.
The outcome is one of `Outcome`; a phone lets go of a form at "stored" and "there" only.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any

from fastapi import Request
from starlette.responses import JSONResponse, Response

from heapwright.errors import HeapwrightError, StoreProblem
from heapwright.web import faults, log_keeping, told, words
from heapwright.web.doubt import Doubt
from heapwright.web.forms import WHOLE_FORM, Filled
from heapwright.workshop.garden import Garden

WAITED, ASKING, GARDEN = "heapwright-waited", "heapwright-asking", "heapwright-garden"
#: A form that claims to have waited longer comes from a phone whose clock was put right meanwhile.
_LONGEST_WAIT = timedelta(days=400)
_JSON = "application/json"


class Outcome(StrEnum):
    """What became of a form."""

    STORED = "stored"
    THERE = "there"  # it had come before
    QUESTION = "question"  # asked of the person who stands there; nothing stored
    REFUSED = "refused"  # cannot be stored as it is; the words say why
    ELSEWHERE = "elsewhere"  # it belongs to another garden


def is_from_phone(request: Request) -> bool:
    """Whether a form is sent by the phone's store rather than by the browser itself."""
    return request.headers.get("accept", "").startswith(_JSON)


def garden_mark(garden: Garden) -> str:
    """Return by what a phone tells this garden from another: its first entry; "" when empty."""
    entries = garden.entries()
    return entries[0].id[:16] if entries else ""


def answer(request: Request, garden: Garden, form: Filled) -> Response:
    """Store a form from a phone and tell the outcome.

    Raises
    ------
    StoreProblem
        When the journal cannot be written just now; the phone then sends again.

    """
    meant = request.headers.get(GARDEN, "")
    if meant and meant != garden_mark(garden):
        return _answer(409, Outcome.ELSEWHERE, _elsewhere().sentence())
    asking = request.headers.get(ASKING, "") == "yes"
    at = log_keeping.moment_told(garden, form, _written(request, garden))
    doubt = log_keeping.question(garden, form, at)
    if doubt is not None and asking:
        return _answer(422, Outcome.QUESTION, _asked(doubt))
    visit = log_keeping.keep(garden, form, at, waited=not asking)
    if visit is None:
        return _refused(form, doubt)
    return _answer(
        200,
        Outcome.STORED if visit.fresh else Outcome.THERE,
        _told(garden, visit),
        doubt=_asked(doubt) if doubt is not None else "",
        page=visit.page,
    )


def _told(garden: Garden, visit: log_keeping.Visit) -> str:
    """Return what was stored, in words; without words when a defect of ours hinders them.

    What is on the disk must be acknowledged, or the phone would send it for ever.
    """
    try:
        state, reader = garden.state(), garden.reader()
        return " ".join(words.say(told.telling(one, state), reader) for one in visit.entries)
    except Exception:  # noqa: BLE001 - stored it is, whatever fails afterwards
        faults.log.exception("What a phone sent is stored, but could not be told")
        return ""


def _written(request: Request, garden: Garden) -> datetime:
    """Return when the form was written, by the garden's clock."""
    now = garden.now()
    try:
        waited = float(request.headers.get(WAITED, "0"))
    except ValueError:
        return now
    if not math.isfinite(waited) or not 0 < waited <= _LONGEST_WAIT.total_seconds():
        return now
    return now - timedelta(seconds=waited)


def _refused(form: Filled, doubt: Doubt | None) -> Response:
    problems: Mapping[str, HeapwrightError] = form.problems
    whole = form.problem(WHOLE_FORM)
    if isinstance(whole, StoreProblem):
        raise whole  # no fault of the form: it waits on
    said = [problem.explanation() for problem in problems.values()]
    if doubt is not None:
        said.append(_asked(doubt))
    return _answer(
        422,
        Outcome.REFUSED,
        " ".join(dict.fromkeys(said)),
        problems={name: problem.explanation() for name, problem in problems.items()},
    )


def _asked(doubt: Doubt) -> str:
    question = doubt.question if doubt.question.endswith("?") else f"{doubt.question}."
    return f"{question} {doubt.why}"


def _elsewhere() -> HeapwrightError:
    return HeapwrightError(
        "This was written for another garden",
        instead="Open that garden on this phone; it is sent there by itself",
        kept="It waits on the phone.",
    )


def _answer(status: int, outcome: Outcome, said: str, **more: Any) -> Response:
    parts = {name: _printable(value) for name, value in more.items()}
    document = {"outcome": str(outcome), "words": faults.printable(said), **parts}
    return JSONResponse(document, status_code=status, headers={"Cache-Control": "no-store"})


def _printable(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: faults.printable(text) for name, text in value.items()}
    return faults.printable(value)
