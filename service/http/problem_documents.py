"""Problem documents as RFC 9457 describes them."""

from __future__ import annotations

import json
import uuid
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, is_dataclass
from datetime import date, datetime
from typing import Any

from django.http import HttpResponse

from service.http import problem_types
from service.http.faults import Fault, fault_at
from service.http.problem_types import ProblemType
from service.http.request_ids import current_trace_id
from service.operations.jobs import GIVEN_UP

MEDIA_TYPE = "application/problem+json"
MOST_FAULTS = 1_000
OWN_MEMBERS = frozenset({"type", "title", "status", "detail", "instance", "code", "errors", "errors_left_off"})


@dataclass(frozen=True, slots=True)
class Problem:
    """One refusal, ready to be written down. ``more`` are extension members, such as suggestions."""

    type: ProblemType
    detail: str
    code: str | None = None
    faults: tuple[Fault, ...] = ()
    headers: Mapping[str, str] = field(default_factory=dict)
    more: Mapping[str, object] = field(default_factory=dict)

    def document(self) -> dict[str, Any]:
        """The members of the answer; plain values only."""
        told: dict[str, Any] = {
            "type": self.type.uri,
            "title": self.type.title,
            "status": self.type.status,
            "detail": self.detail,
            "instance": uuid.UUID(current_trace_id()).urn,
            "code": self.code or self.type.slug.replace("-", "_") or "error",
        }
        if self.faults:
            told["errors"] = [fault.document() for fault in self.faults[:MOST_FAULTS]]
        if len(self.faults) > MOST_FAULTS:
            told["errors_left_off"] = len(self.faults) - MOST_FAULTS
        return told | {name: plain(value) for name, value in self.more.items() if name not in OWN_MEMBERS}


def problem(slug: str, detail: str, **more: Any) -> Problem:
    """A problem of a registered type."""
    known = problem_types.find(slug)
    if known is None:
        raise LookupError(f"No problem type {slug!r}; add it to problem_types or register it.")
    return Problem(known, detail, **more)


def of_a_job(kept: Mapping[str, Any] | None) -> dict[str, Any] | None:
    """The problem a job failed with, as ``operations.jobs`` keeps it, in the form every other problem has."""
    if kept is None:
        return None
    code = str(kept["code"])
    known = problem_types.for_status(500 if code == GIVEN_UP else 422, code)
    faults = tuple(fault_at(fault["pointer"], fault["code"], fault["detail"]) for fault in kept.get("errors", ()))
    return Problem(known, str(kept["detail"]), code=code, faults=faults).document()


def respond(found: Problem) -> HttpResponse:
    """A plain Django response: whatever form was asked for, a refusal comes as problem+json."""
    return as_response(found.type.status, found.document(), found.headers)


def as_response(status: int, document: Mapping[str, Any], headers: Mapping[str, str]) -> HttpResponse:
    body = json.dumps(document, ensure_ascii=False, separators=(",", ":"))
    response = HttpResponse(body.encode("utf-8", "replace"), status=status, content_type=MEDIA_TYPE)
    response.headers["Cache-Control"] = "no-store"
    for name, value in headers.items():
        response.headers[name] = value
    return response


def plain(value: object) -> Any:
    """What JSON can hold in the value's stead: decimals as text, instants with Z, frozen values as objects."""
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if isinstance(value, Mapping):
        return {str(name): plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(inner) for inner in value]
    if is_dataclass(value) and not isinstance(value, type):
        return plain(asdict(value))
    if isinstance(value, datetime):
        return value.isoformat().replace("+00:00", "Z")
    return value.isoformat() if isinstance(value, date) else str(value)
