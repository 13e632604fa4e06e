"""Queued work as its asker sees it: how far it is, what came of it, what was wrong with which row; and stopping it."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from service.errors import NotFound
from service.http import operation_schemas as schemas
from service.http.asking import dealer_of
from service.http.conditional import not_modified, strong_etag, tagged
from service.http.fields import Choice, Text
from service.http.pagination import KeysetPagination
from service.http.problem_documents import of_a_job, plain
from service.http.query import PAGE_PARAMETERS, NoParameters, PageParameters, QueryParameters
from service.http.serializers import NothingShape
from service.operations import jobs
from service.operations.models import Job, JobProblem, JobState, Scope
from service.operations.models.job import MAX_ATTEMPTS


class JobListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    state = Choice(choices=JobState.values, required=False)
    kind = Text(required=False, max_length=60)


class JobsView(APIView):
    required_scope = Scope.JOBS_READ
    keyset_order = ("-created_at", "-id")

    @extend_schema(
        operation_id="jobs_list",
        summary="Queued work of this dealer, newest first",
        parameters=[JobListParameters, *schemas.PAGE],
        responses={200: schemas.JobPage},
        examples=[OpenApiExample("Page", schemas.JOB_PAGE_EXAMPLE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = JobListParameters.read(request)
        pages = KeysetPagination()
        rows = pages.paginate_queryset(jobs.jobs_of(dealer_of(request)).filter(**wanted), request, self)
        return pages.get_paginated_response([job_document(row) for row in rows])


class JobView(APIView):
    required_scope = Scope.JOBS_READ

    @extend_schema(
        operation_id="jobs_read",
        summary="One job: its state, how far it is, and what came of it",
        responses={200: schemas.JobAnswer},
        examples=[OpenApiExample("Job", schemas.JOB_EXAMPLE, response_only=True)],
    )
    def get(self, request: Request, job_id: UUID) -> Response:
        NoParameters.read(request)
        job = _job(request, job_id)
        return not_modified(request, _tag(job)) or tagged(Response(job_document(job)), _tag(job))


class JobProblemsView(APIView):
    required_scope = Scope.JOBS_READ
    keyset_order = ("id",)

    @extend_schema(
        operation_id="jobs_problems",
        summary="What was wrong with which row of a job's input, in the order it was found",
        parameters=[*schemas.PAGE],
        responses={200: schemas.JobProblemPage},
        examples=[OpenApiExample("Page", schemas.JOB_PROBLEM_PAGE_EXAMPLE, response_only=True)],
    )
    def get(self, request: Request, job_id: UUID) -> Response:
        PageParameters.read(request)
        pages = KeysetPagination()
        found = JobProblem.objects.filter(job=_job(request, job_id))
        return pages.get_paginated_response([_row(row) for row in pages.paginate_queryset(found, request, self)])


class JobCancelView(APIView):
    required_scope: ClassVar = {"POST": Scope.JOBS_WRITE}

    @extend_schema(
        operation_id="jobs_cancel",
        summary="Stop a job: at once while it waits, after the batch in hand while it runs",
        request=None,
        responses={200: schemas.JobAnswer},
        examples=[OpenApiExample("Job", schemas.JOB_EXAMPLE, response_only=True)],
    )
    def post(self, request: Request, job_id: UUID) -> Response:
        NoParameters.read(request)
        NothingShape(data=request.data).is_valid(raise_exception=True)
        job = _job(request, job_id)
        jobs.cancel(job, timezone.now())
        return tagged(Response(job_document(job)), _tag(job))


def job_document(job: Job) -> dict[str, Any]:
    """A job as every answer shows it; ``problem`` is there once it has failed, ``result`` once it has succeeded."""
    times = ("created_at", "run_after", "heartbeat_at", "cancel_asked_at", "finished_at")
    return {
        "id": str(job.pk),
        "kind": job.kind,
        "state": job.state,
        "progress": {"done": job.done, "total": job.total, "errors": job.errors},
        "result": job.result,
        "problem": of_a_job(job.problem),
        "problems": f"/api/v1/jobs/{job.pk}/problems/",
        "attempt": job.attempt,
        "attempts_at_most": MAX_ATTEMPTS,
        **{name: plain(getattr(job, name)) for name in times},
    }


def _job(request: Request, job_id: UUID) -> Job:
    job = jobs.jobs_of(dealer_of(request)).filter(pk=job_id).first()
    if job is None:
        raise NotFound("There is no such job of yours.")
    return job


def _tag(job: Job) -> str:
    """Whatever a worker or a cancellation changes moves one of these."""
    return strong_etag(f"{job.attempt}.{job.done}.{job.errors}", job.state, job.heartbeat_at, job.cancel_asked_at)


def _row(problem: JobProblem) -> dict[str, Any]:
    return {
        "line": problem.line,
        "column": problem.column or None,
        "value": problem.value,
        "code": problem.code,
        "detail": problem.detail,
    }
