"""Plots at addresses of their own: on light or dark ground, wide or narrow, with a tag over what is drawn."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.utils.http import parse_etags
from django.views.decorators.http import require_safe

from kits.usecases.hours_plots import hours_plot
from kits.usecases.machine_pages import one_machine
from kits.web.machines import today_at
from service.errors import Invalid, NotFound
from service.http.pages import dealer_at, for_dealers
from service.plots import Ground, Plot, Shape, Sheet, svg_of

# The picture styles itself; nothing else is let in where it is opened by itself.
POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"


@require_safe
@for_dealers
def hours(request: HttpRequest, machine_id: UUID) -> HttpResponseBase:
    found = one_machine(dealer_at(request), machine_id, today_at(request))
    plot = hours_plot(found.due)
    if plot is None:
        raise NotFound("No reading of this machine can be believed, so there is nothing to plot.")
    return picture(request, plot)


def picture(request: HttpRequest, plot: Plot) -> HttpResponse:
    """The plot, or 304 where the asker has it; it is drawn only where it is sent. Raises Invalid for another ground."""
    sheet = _sheet(request)
    tag = f'"{plot.digest(sheet)}"'
    if tag in {known.removeprefix("W/") for known in parse_etags(request.headers.get("If-None-Match", ""))}:
        response = HttpResponse(status=304)
    else:
        response = HttpResponse(svg_of(plot, sheet), content_type="image/svg+xml")
    for name, value in (("ETag", tag), ("Cache-Control", "private, no-cache"), ("Content-Security-Policy", POLICY)):
        response.headers[name] = value
    return response


def _sheet(request: HttpRequest) -> Sheet:
    try:
        return Sheet(
            Ground(request.GET.get("ground", Ground.LIGHT.value)), Shape(request.GET.get("shape", Shape.WIDE.value))
        )
    except ValueError:
        raise Invalid("ground is light or dark, shape is wide or narrow.", pointer="?ground") from None
