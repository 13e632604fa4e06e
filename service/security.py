"""Security headers for every answer: nothing from elsewhere is loaded, and no other site may frame a page."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

# `data:` images are the icons inside the documentation page's own style sheet.
POLICY = "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; frame-ancestors 'none'"


class SecurityHeadersMiddleware:
    """Sets the content security policy where a view has not set a narrower one.

    nosniff, the frame and the referrer headers come from Django's own middleware and settings.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("X-Frame-Options", "DENY")
        return response
