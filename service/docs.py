"""The API's description and the page that shows it, both from this server's own files."""

import hashlib
from functools import cache

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import condition, require_safe

from service.openapi import COMMITTED


@cache
def description() -> tuple[bytes, str]:
    """Give the committed document and its ETag. A test keeps it equal to what the views say."""
    body = COMMITTED.read_bytes()
    return body, f'"{hashlib.sha256(body).hexdigest()[:32]}"'


@require_safe
@condition(etag_func=lambda request: description()[1])
def openapi(request: HttpRequest) -> HttpResponse:
    return HttpResponse(description()[0], content_type="application/json")
