"""Django's own error answers: problem documents below ``/api/``, Django's plain pages elsewhere.

To be named in the root URLconf as handler400, handler403, handler404 and handler500.
"""

from __future__ import annotations

from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponseBase
from django.views import defaults

from service.http.problem_documents import problem, respond
from service.http.problems import problem_of

API = "/api/"


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponseBase:
    if not request.path.startswith(API):
        return defaults.bad_request(request, exception)
    if isinstance(exception, RequestDataTooBig) and (known := problem_of(exception)) is not None:
        return respond(known)
    return respond(problem("malformed", "The request cannot be read; check its address, headers and body."))


def permission_denied(request: HttpRequest, exception: Exception) -> HttpResponseBase:
    if not request.path.startswith(API):
        return defaults.permission_denied(request, exception)
    return respond(problem("forbidden", "The key or person may not do this."))


def not_found(request: HttpRequest, exception: Exception) -> HttpResponseBase:
    if not request.path.startswith(API):
        return defaults.page_not_found(request, exception)
    return respond(
        problem("not-found", f"Nothing answers at {request.path[:200]}; the versioned API is below /api/v1/.")
    )


def server_error(request: HttpRequest) -> HttpResponseBase:
    if not request.path.startswith(API):
        return defaults.server_error(request)
    return respond(problem("internal-error", "A fault in the service; it has been logged under the id in instance."))
