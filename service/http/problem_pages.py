"""The pages that the ``type`` of a problem leads to."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.views.decorators.http import require_safe

from service.http import problem_types


@require_safe
def index(_request: HttpRequest) -> HttpResponse:
    """Every kind of problem, by status."""
    known = sorted(problem_types.every(), key=lambda kind: (kind.status, kind.slug))
    rows = format_html_join("\n", '<li>{} <a href="{}">{}</a></li>', ((k.status, k.uri, k.title) for k in known))
    return _page("Problems", format_html("<ul>\n{}\n</ul>", rows))


@require_safe
def page(_request: HttpRequest, slug: str) -> HttpResponse:
    """What one kind of problem means and what to do about it."""
    known = problem_types.find(slug)
    if known is None:
        raise Http404
    text = format_html(
        '<p>Status {}</p>\n<p>{}</p>\n<p><a href="/problems/">All problems</a></p>', known.status, known.advice
    )
    return _page(known.title, text)


def _page(title: str, content: SafeString) -> HttpResponse:
    return HttpResponse(
        format_html(
            '<!doctype html>\n<html lang="en">\n<head><meta charset="utf-8"><title>{} - Gudgeon</title></head>\n'
            "<body>\n<main>\n<h1>{}</h1>\n{}\n</main>\n</body>\n</html>\n",
            title,
            title,
            content,
        )
    )
