"""The programs' interface keeps to its own document, whatever is sent to it.

schemathesis draws requests, fitting and not, from the OpenAPI document that the program serves,
and holds every answer to it: status, content type, body, no fault of ours (5xx).
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest
import schemathesis
from fastapi import FastAPI, Response
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.core.failures import Failure, FailureGroup
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from heapwright.web.app import create_app
from heapwright.workshop.demo import fill_demo_garden
from heapwright.workshop.garden import Garden

NOW = datetime(2026, 6, 18, 15, 20, tzinfo=UTC)
CHECKS = (
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
)
EXAMPLES = 40


@pytest.fixture(scope="module")
def garden(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    path = tmp_path_factory.mktemp("contract") / "garden.sqlite3"
    with Garden.open(path, clock=lambda: NOW) as opened:
        fill_demo_garden(opened)
        yield opened


@pytest.fixture(scope="module")
def contract(garden: Garden) -> Any:
    hosts = {"127.0.0.1", "localhost", "testserver"}  # the last is what the test client asks for
    return schemathesis.openapi.from_asgi("/api/openapi.json", create_app(garden, hosts=hosts))


@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE])
def test_every_answer_is_as_the_document_says(contract: Any, mode: GenerationMode) -> None:
    broken = {}
    tried = 0
    for found in contract.get_all_operations():
        operation = found.ok()
        tried += 1
        problem = _problem(operation, mode)
        if problem:
            broken[operation.label] = problem
    assert tried > 10
    assert broken == {}


def _problem(operation: Any, mode: GenerationMode) -> str:
    """Return what an address answered against its document, "" when all was as it says."""

    @given(case=operation.as_strategy(generation_mode=mode))
    @settings(
        max_examples=EXAMPLES,
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
        derandomize=True,
        database=None,
    )
    def asked(case: Any) -> None:
        case.call_and_validate(checks=CHECKS)

    try:
        asked()
    except Unsatisfiable:
        # Nothing can be sent wrongly to an address that takes nothing.
        return "" if mode is GenerationMode.NEGATIVE else "no request can be drawn for it"
    except FailureGroup as problem:
        parts = problem.exceptions
    except Failure as problem:
        parts = (problem,)
    else:
        return ""
    return " / ".join(str(part)[:600] for part in parts)


def test_an_answer_that_is_not_in_the_document_is_found() -> None:
    app = FastAPI()

    @app.get("/api/breaks", response_model=int)
    def breaks() -> Response:
        return Response('"three"', media_type="application/json")

    schema = schemathesis.openapi.from_asgi("/openapi.json", app)
    (operation,) = (found.ok() for found in schema.get_all_operations())
    assert "three" in _problem(operation, GenerationMode.POSITIVE)
