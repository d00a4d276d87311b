"""The OpenAPI document of /api: FastAPI's own, with our form of mistakes.

Knows OpenAPI's form. Knows nothing of what the interface answers.
"""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI

_PROBLEM = {"$ref": "#/components/schemas/Problem"}


def install(app: FastAPI) -> None:
    """Let the document say `application/problem+json` wherever a mistake is answered."""
    made_by_fastapi = app.openapi

    def document() -> dict[str, Any]:
        if app.openapi_schema is None:
            schema = made_by_fastapi()
            for path in schema["paths"].values():
                for operation in path.values():
                    _mend(operation["responses"])
            unused = ("HTTPValidationError", "ValidationError")
            for name in unused:
                schema["components"]["schemas"].pop(name, None)
            app.openapi_schema = schema
        return app.openapi_schema

    # FastAPI's own way to another document: its method is replaced on the instance.
    app.__dict__["openapi"] = document


def _mend(responses: dict[str, Any]) -> None:
    for status, response in responses.items():
        if status[0] in "45":
            response["content"] = {"application/problem+json": {"schema": _PROBLEM}}
