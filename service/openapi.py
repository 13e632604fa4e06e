"""What the API's description needs beyond what the views say: one problem document for every refusal."""

import json
from pathlib import Path
from typing import Any

from drf_spectacular.generators import SchemaGenerator

COMMITTED = Path(__file__).with_name("openapi.json")
METHODS = frozenset({"get", "post", "put", "patch", "delete"})
CHANGING = frozenset({"patch", "put", "delete"})

PROBLEM = {
    "type": "object",
    "description": "A refusal, as RFC 9457 describes it; `type` stays the same from release to release.",
    "properties": {
        "type": {"type": "string", "format": "uri-reference", "examples": ["/problems/not-found"]},
        "title": {"type": "string"},
        "status": {"type": "integer", "minimum": 400, "maximum": 599},
        "detail": {"type": "string", "description": "What was found, what was expected, what to do."},
        "instance": {"type": "string", "format": "uri", "description": "The request's id as urn:uuid."},
        "code": {"type": "string", "description": "The same kind of refusal, as a word for programs."},
        "errors": {
            "type": "array",
            "description": "Every fault of the request, each with the place it was found at.",
            "items": {
                "type": "object",
                "properties": {
                    "pointer": {"type": "string", "description": "JSON pointer into the body."},
                    "parameter": {"type": "string", "description": "Name of the query parameter or header."},
                    "code": {"type": "string"},
                    "detail": {"type": "string"},
                },
                "required": ["code", "detail"],
            },
        },
    },
    "required": ["type", "title", "status", "detail", "instance", "code"],
    "additionalProperties": True,
}
LIMIT_HEADERS = {
    "RateLimit-Policy": {
        "description": "Calls of this key in its minute: `q` in `w` seconds. Absent where the key has no limit.",
        "schema": {"type": "string", "examples": ['"key";q=6000;w=60']},
    },
    "RateLimit": {
        "description": "What is left: `r` calls for the next `t` seconds. Absent where the key has no limit.",
        "schema": {"type": "string", "examples": ['"key";r=5999;t=60']},
    },
}
WAIT_HEADER = {
    "Retry-After": {
        "description": "Whole seconds after which the same call is let in; `retry_after` in the body is the same.",
        "schema": {"type": "integer", "minimum": 1},
    },
}
MEANINGS = {
    "400": "The request cannot be read or breaks a rule of its fields.",
    "401": "No valid key or session came with the request.",
    "403": "The key or person may not do this.",
    "404": "There is no such thing, or it is another dealer's.",
    "409": "It clashes with what is there now.",
    "412": "The thing has changed since the ETag that If-Match names.",
    "413": "The body is larger than this address takes.",
    "415": "The body's media type is not taken here.",
    "422": "The Idempotency-Key was used for another request.",
    "428": "If-Match is missing.",
    "429": "The key's calls of this minute are used up; Retry-After says when to come back. Nothing was done.",
    "default": "Any other refusal.",
}


def add_problem_responses(result: dict[str, Any], **_kwargs: Any) -> dict[str, Any]:
    """Describe the refusals of each operation; the hook drf-spectacular calls last."""
    result.setdefault("components", {}).setdefault("schemas", {})["Problem"] = PROBLEM
    result["components"]["headers"] = {**LIMIT_HEADERS, **WAIT_HEADER}
    for path, operations in result["paths"].items():
        for method, operation in operations.items():
            if method in METHODS:
                for status in refusals(path, method, operation):
                    operation["responses"].setdefault(status, problem(status))
                if operation.get("security"):
                    add_limit_headers(operation["responses"])
    return result


def add_limit_headers(responses: dict[str, Any]) -> None:
    """Say what is left of the key's limit; refusals tell it too, and the description says so once for them all."""
    for status, answer in responses.items():
        if status[0] == "2" or status == "429":
            names = [*LIMIT_HEADERS, *WAIT_HEADER] if status == "429" else LIMIT_HEADERS
            headers = {name: {"$ref": f"#/components/headers/{name}"} for name in names}
            answer["headers"] = {**answer.get("headers", {}), **headers}


def refusals(path: str, method: str, operation: dict[str, Any]) -> list[str]:
    """Name the statuses an operation can refuse with, from its address, method, body and headers."""
    headers = {given["name"] for given in operation.get("parameters", ()) if given["in"] == "header"}
    found = ["400", "429", "default"]
    if operation.get("security"):
        found += ["401", "403"]
    if "{" in path:
        found.append("404")
    if "requestBody" in operation:
        found += ["409", "413", "415"]
    if "Idempotency-Key" in headers:
        found += ["409", "422"]
    if method in CHANGING:
        found += ["409", "412", "428"]
    return sorted(set(found))


def problem(status: str) -> dict[str, Any]:
    schema = {"$ref": "#/components/schemas/Problem"}
    return {"description": MEANINGS[status], "content": {"application/problem+json": {"schema": schema}}}


def described() -> str:
    """Give the OpenAPI document of the API as it stands, as the text that is committed."""
    # Both calls into drf-spectacular are untyped.
    document = SchemaGenerator().get_schema(request=None, public=True)  # type: ignore[no-untyped-call]
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"
