"""The one place where an error becomes an answer. Words of an error nobody foresaw are never among it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import singledispatch
from typing import Any

from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.db import IntegrityError
from django.http import Http404, HttpResponse
from rest_framework import exceptions

from service.errors import DomainError, Kind, Problems
from service.http import problem_types
from service.http.faults import Fault, fault_at, flatten
from service.http.problem_documents import Problem, problem, respond
from service.http.query import ParameterProblems

BEARER = 'Bearer realm="gudgeon"'
STATUS_OF_KIND = {
    Kind.INVALID: 400,
    Kind.UNAUTHENTICATED: 401,
    Kind.FORBIDDEN: 403,
    Kind.NOT_FOUND: 404,
    Kind.CONFLICT: 409,
    Kind.GONE: 410,
    Kind.STALE: 412,
    Kind.UNPROCESSABLE: 422,
    Kind.LIMITED: 429,
}


def exception_handler(error: Exception, context: Mapping[str, Any]) -> HttpResponse | None:
    """For DRF's ``EXCEPTION_HANDLER``. None for what nobody foresaw: Django logs that and answers 500."""
    found = problem_of(error, context.get("view"))
    return None if found is None else respond(found)


@singledispatch
def problem_of(_error: BaseException, _view: Any = None) -> Problem | None:
    """The problem an error is told as; none when it is a fault of the service."""
    return None


@problem_of.register
def _(error: DomainError, _view: Any = None) -> Problem:
    known = problem_types.for_status(STATUS_OF_KIND[error.kind], error.code)
    faults: tuple[Fault, ...] = ()
    if isinstance(error, Problems):
        faults = tuple(fault_at(p.pointer, p.code, p.detail) for p in error.problems)
    elif error.pointer is not None:
        faults = (fault_at(error.pointer, error.code, error.message),)
    return Problem(known, error.message, code=error.code, faults=faults, headers=_headers(error), more=error.context)


def _headers(error: DomainError) -> dict[str, str]:
    headers = {}
    if error.kind is Kind.UNAUTHENTICATED:
        headers["WWW-Authenticate"] = f'{BEARER}, error="invalid_token"'
    if "retry_after" in error.context:
        headers["Retry-After"] = str(error.context["retry_after"])
    return headers


@problem_of.register
def _(error: exceptions.ValidationError, _view: Any = None) -> Problem:
    faults = tuple(flatten(error.detail))
    return problem("invalid", _told(len(faults), "fields"), faults=faults)


@problem_of.register
def _(error: ParameterProblems, _view: Any = None) -> Problem:
    return problem("invalid", _told(len(error.faults), "query parameters"), faults=error.faults)


def _told(count: int, things: str) -> str:
    return f"{count} of the {things} cannot be taken as sent." if count > 1 else f"One of the {things} cannot be taken."


@problem_of.register
def _(error: exceptions.ParseError, _view: Any = None) -> Problem:
    return problem("malformed", str(error.detail))


@problem_of.register(exceptions.NotAuthenticated)
@problem_of.register(exceptions.AuthenticationFailed)
def _(_error: exceptions.APIException, _view: Any = None) -> Problem:
    detail = "This needs a key (Authorization: Bearer ...) or a signed-in person."
    return problem("authentication-required", detail, headers={"WWW-Authenticate": BEARER})


@problem_of.register(exceptions.PermissionDenied)
@problem_of.register(PermissionDenied)
def _(error: Exception, _view: Any = None) -> Problem:
    said = str(getattr(error, "detail", ""))
    return problem("forbidden", said or "The key or person may not do this.")


@problem_of.register(exceptions.NotFound)
@problem_of.register(Http404)
def _(_error: Exception, _view: Any = None) -> Problem:
    return problem("not-found", "There is nothing here, or it belongs to another dealer.")


@problem_of.register
def _(_error: exceptions.MethodNotAllowed, view: Any = None) -> Problem:
    allowed = ", ".join(view.allowed_methods) if view is not None else ""
    detail = (
        f"{view.request.method if view is not None else 'This'} is not done here; use {allowed or 'another method'}."
    )
    return problem("method-not-allowed", detail, headers={"Allow": allowed})


@problem_of.register
def _(_error: exceptions.NotAcceptable, view: Any = None) -> Problem:
    offered = ", ".join(renderer.media_type for renderer in view.get_renderers()) if view is not None else ""
    return problem("not-acceptable", f"The Accept header asks for a form that is not to be had; offered: {offered}.")


@problem_of.register
def _(error: exceptions.UnsupportedMediaType, view: Any = None) -> Problem:
    taken = ", ".join(parser.media_type for parser in view.get_parsers()) if view is not None else ""
    return problem("unsupported-media-type", f"{error.detail} Taken here: {taken}.")


@problem_of.register
def _(error: exceptions.Throttled, _view: Any = None) -> Problem:
    wait = max(1, round(getattr(error, "wait", None) or 1))
    return problem("too-many-requests", f"Wait {wait} s.", headers={"Retry-After": str(wait)})


@problem_of.register
def _(error: exceptions.APIException, _view: Any = None) -> Problem:
    known = problem_types.for_status(error.status_code, str(error.default_code))
    return Problem(known, str(error.detail))


@problem_of.register
def _(_error: RequestDataTooBig, _view: Any = None) -> Problem:
    return problem("content-too-large", "The body is larger than this address takes.")


@problem_of.register
def _(_error: IntegrityError, _view: Any = None) -> Problem:
    return problem("conflict", "It clashes with what is recorded: it is there already, or something else rests on it.")
