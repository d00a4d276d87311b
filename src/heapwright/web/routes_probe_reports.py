"""Where thermometers report to, and the list of them for programs.

Knows the addresses and the two forms of a message. The documents are in `api_probe_models`.
"""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request

from heapwright.web import api_probe_models as models
from heapwright.web import words
from heapwright.web.api_models import Problem
from heapwright.web.here import GardenHere, ReaderHere
from heapwright.web.probe_door import BodyHere, ProbeHere
from heapwright.web.roles import for_anybody, for_readers
from heapwright.workshop.plain import to_plain
from heapwright.workshop.probe_receive import receive
from heapwright.workshop.probes import probes

router = APIRouter(prefix="/api")
_TOLD = {
    401: "The token is missing or not this probe's",
    413: "More than is taken at once",
    404: "The probe was withdrawn",
    422: "It cannot be read as a message; sending it again unchanged will not help",
    429: "Too often; Retry-After says how long to wait",
    503: "The journal cannot be reached just now; send it again later",
}
_PROBLEMS: dict[int | str, dict[str, Any]] = {
    status: {"model": Problem, "description": told} for status, told in _TOLD.items()
}


def _described() -> dict[str, Any]:
    """Return the description of the body, which the route reads itself to limit its size."""
    schema = models.ProbeMessageIn.model_json_schema()
    schema.pop("$defs")
    schema["properties"]["readings"]["items"] = models.ProbeReadingIn.model_json_schema()
    content = {
        "application/json": {"schema": schema},
        "text/plain": {"schema": {"type": "string"}, "example": "57.5"},
    }
    return {"requestBody": {"required": True, "content": content}}


@router.get("/probes", response_model=list[models.ProbeModel], responses={503: _PROBLEMS[503]})
@for_readers
def api_probes(garden: GardenHere, reader: ReaderHere) -> Any:
    """Return the thermometers that report by themselves, and how they are."""
    found = []
    for one in probes(garden):
        ills = [words.say(text, reader) for ill in one.ills for text in (ill.told, ill.to_do)]
        found.append({**to_plain(one, reader), "ills": ills})
    return found


@router.post(
    "/probes/{key}/readings",
    response_model=models.ProbeAnswerOut,
    responses=_PROBLEMS,
    openapi_extra=_described(),
)
@for_anybody
def api_probe_readings(request: Request, visit: ProbeHere, body: BodyHere) -> models.ProbeAnswerOut:
    """Store a thermometer's readings, each once, in whatever order and however often they come.

    The token of the probe opens it: `Authorization: Bearer ...`. As `text/plain` the body is one
    temperature, now. A message that can be read is answered with 200, and what became of each
    reading stands in the answer: none of them need be sent again.
    """
    is_line = request.headers.get("content-type", "").startswith("text/plain")
    message = models.read_line(body) if is_line else models.read_message(body)
    received = receive(visit.garden, visit.probe_key, message.reports, sent_at=message.sent_at)
    return models.answer_of(received)
