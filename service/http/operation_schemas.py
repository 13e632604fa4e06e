"""What answers about jobs and changes look like, for the API's description alone."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema_field
from rest_framework import serializers

from service.http.pagination import DEFAULT_SIZE, LARGEST_SIZE
from service.operations.models import JobState

PAGE = (
    OpenApiParameter("cursor", str, description="Where to go on; taken from next or previous, never made up."),
    OpenApiParameter(
        "page_size",
        {"type": "integer", "minimum": 1, "maximum": LARGEST_SIZE, "default": DEFAULT_SIZE},
        description="Rows a page.",
    ),
)


@extend_schema_field({"type": "object", "additionalProperties": True})
class Members(serializers.Field[Any, Any, Any, Any]):
    """An object whose members depend on its kind."""


@extend_schema_field(
    {"oneOf": [{"$ref": "#/components/schemas/Problem"}, {"type": "null"}],
     "description": "Why the job failed, as every refusal is told."}
)  # fmt: skip
class ProblemOrNone(serializers.Field[Any, Any, Any, Any]):
    pass


class ProgressAnswer(serializers.Serializer[Any]):
    done = serializers.IntegerField()
    total = serializers.IntegerField(allow_null=True, help_text="Null until it is known.")
    # The base class has a property of this name.
    errors = serializers.IntegerField(help_text="Rows left out for a problem.")  # type: ignore[assignment]


class JobAnswer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    kind = serializers.CharField()
    state = serializers.ChoiceField(choices=JobState.choices)
    progress = ProgressAnswer()
    result = Members(allow_null=True)
    problem = ProblemOrNone()
    problems = serializers.CharField(help_text="Where the problems of single rows are.")
    attempt = serializers.IntegerField(help_text="How often it was taken up.")
    attempts_at_most = serializers.IntegerField()
    created_at = serializers.DateTimeField()
    run_after = serializers.DateTimeField()
    heartbeat_at = serializers.DateTimeField(allow_null=True)
    cancel_asked_at = serializers.DateTimeField(allow_null=True)
    finished_at = serializers.DateTimeField(allow_null=True)


class JobPage(serializers.Serializer[Any]):
    results = JobAnswer(many=True)
    next = serializers.URLField(allow_null=True)
    previous = serializers.URLField(allow_null=True)


class JobProblemAnswer(serializers.Serializer[Any]):
    line = serializers.IntegerField(allow_null=True, help_text="Counted from 1, the heading included.")
    column = serializers.CharField(allow_null=True)
    value = serializers.CharField(allow_blank=True, help_text="What stood there, cut short.")
    code = serializers.CharField()
    detail = serializers.CharField(help_text="What was found, what was expected, what to do.")


class JobProblemPage(serializers.Serializer[Any]):
    results = JobProblemAnswer(many=True)
    next = serializers.URLField(allow_null=True)
    previous = serializers.URLField(allow_null=True)


class ChangeAnswer(serializers.Serializer[Any]):
    number = serializers.IntegerField()
    kind = serializers.CharField(help_text="What was done to what, e.g. part.created, part.changed, part.withdrawn.")
    object_type = serializers.CharField()
    object_id = serializers.CharField()
    own = serializers.BooleanField(help_text="Whether only this dealer sees it.")
    at = serializers.DateTimeField()
    payload = Members()


class ChangePage(serializers.Serializer[Any]):
    results = ChangeAnswer(many=True)
    next = serializers.URLField(allow_null=True)
    previous = serializers.URLField(allow_null=True)
    cursor = serializers.IntegerField(help_text="What to send as `since` next.")


JOB_EXAMPLE = {
    "id": "1b4e28ba-2fa1-4d15-883f-0016d3cca427",
    "kind": "housekeeping",
    "state": "succeeded",
    "progress": {"done": 2, "total": 2, "errors": 0},
    "result": {"idempotency_records": 12, "changes": 340},
    "problem": None,
    "problems": "/api/v1/jobs/1b4e28ba-2fa1-4d15-883f-0016d3cca427/problems/",
    "attempt": 1,
    "attempts_at_most": 3,
    "created_at": "2026-03-09T02:00:00Z",
    "run_after": "2026-03-09T02:00:00Z",
    "heartbeat_at": "2026-03-09T02:00:04Z",
    "cancel_asked_at": None,
    "finished_at": "2026-03-09T02:00:05Z",
}
JOB_PAGE_EXAMPLE = {"results": [JOB_EXAMPLE], "next": None, "previous": None}
JOB_PROBLEM_PAGE_EXAMPLE = {
    "results": [
        {
            "line": 14,
            "column": "attr:max_pressure [kPa gauge]",
            "value": "45 psi",
            "code": "unit_twice",
            "detail": "The heading says kPa gauge and the cell psi; write the number alone.",
        }
    ],
    "next": None,
    "previous": None,
}
CHANGE_PAGE_EXAMPLE = {
    "results": [
        {
            "number": 1841,
            "kind": "part.changed",
            "object_type": "part",
            "object_id": "77",
            "own": False,
            "at": "2026-03-09T09:15:00Z",
            "payload": {"catalogue_version": 1207},
        }
    ],
    "next": None,
    "previous": None,
    "cursor": 1841,
}
