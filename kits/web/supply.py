"""The page of a machine's supply line, and its plot. Asking is a look: nothing is recorded."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.usecases.machine_words import fuel_in_words
from catalog.usecases.supply_checking import lines_of
from kits.usecases.machine_pages import OneMachine, one_machine
from kits.usecases.supply_pages import pressure_plot, supply_view
from kits.web.machines import Body, today_at
from kits.web.plots import picture
from service.errors import NotFound
from service.http.fields import Choice, Text
from service.http.pages import dealer_at, dealer_page, for_dealers
from service.http.serializers import StrictSerializer
from service.http.typed import DecimalTyped, Field, Typed, chosen_of

# The air that the demands of lines are worked out for, too.
COLDEST, HOTTEST = "-30", "40"
DEGREES = (("degC", "degrees C"), ("degF", "degrees F"))
UNITS = (("as_given", "psi, degrees C"), ("us", "psi, degrees F"), ("si", "kPa, degrees C"))
HIGHEST = Decimal(10_000)


class SupplyTyped(StrictSerializer):
    fuel = Text(required=False, max_length=60)
    coldest = DecimalTyped(places=1, least=Decimal(-200), most=Decimal(200))
    hottest = DecimalTyped(places=1, least=Decimal(-200), most=Decimal(200))
    degrees = Choice(choices=DEGREES)
    altitude = DecimalTyped(required=False, places=1, least=-HIGHEST, most=HIGHEST)
    fill = DecimalTyped(required=False, places=1, least=Decimal(0), most=Decimal(100))
    shown = Choice(choices=UNITS)


@require_safe
@dealer_page
def line(request: HttpRequest, machine_id: UUID) -> HttpResponse:
    asked = one_machine(dealer_at(request), machine_id, today_at(request))
    lines = lines_of(asked.due.asked.specification)
    context: Body = {"machine": asked.row, "why_not": _why_not(asked, lines)}
    if lines:
        typed = _form(asked, lines).filled(request.GET.dict())
        context |= {"form": typed, "query": urlencode({one.name: one.value for one in typed.fields if one.value})}
        view = _weighed(request, asked, typed)
        context |= {"view": view, "plotted": view is not None and pressure_plot(view) is not None}
        return render(request, "kits/supply.html", context)
    return render(request, "kits/supply.html", context)


@require_safe
@for_dealers
def pressure(request: HttpRequest, machine_id: UUID) -> HttpResponseBase:
    asked = one_machine(dealer_at(request), machine_id, today_at(request))
    lines = lines_of(asked.due.asked.specification)
    view = _weighed(request, asked, _form(asked, lines).filled(request.GET.dict())) if lines else None
    plot = None if view is None else pressure_plot(view)
    if plot is None:
        raise NotFound("No pressures along a supply line are known for that, so there is nothing to plot.")
    return picture(request, plot)


def _weighed(request: HttpRequest, asked: OneMachine, typed: Typed) -> Body | None:
    """The line as it is weighed; None where something is wrong with the question."""
    found: list[Body] = []

    def weigh(body: Body) -> None:
        found.append(supply_view(_body(asked, body), dealer_at(request), timezone.now(), body["shown"]))

    return found[0] if typed.does(weigh) else None


def _body(asked: OneMachine, typed: Mapping[str, Any]) -> Body:
    air = {"min": f"{typed['coldest']:f}", "max": f"{typed['hottest']:f}", "unit": typed["degrees"]}
    body: Body = {"machine": asked.row.pk, "fuel": typed.get("fuel"), "air": air}
    if "altitude" in typed:
        body["altitude"] = {"value": f"{typed['altitude']:f}", "unit": "m"}
    if "fill" in typed:
        body["fill"] = {"value": f"{typed['fill']:f}", "unit": "%"}
    return body


def _form(asked: OneMachine, lines: tuple[str, ...]) -> Typed:
    fuels = [(fuel, fuel_in_words(fuel, asked.rulebook)) for fuel in lines]
    choice = Field("fuel", "Line for", "select", choices=chosen_of(fuels, "the fuel it burns"))
    return Typed(
        "supply",
        [
            *([choice] if len(lines) > 1 else []),
            Field("coldest", "Coldest air", "number", value=COLDEST, needed=True),
            Field("hottest", "Hottest air", "number", value=HOTTEST, needed=True),
            Field("degrees", "in", "select", value="degC", choices=DEGREES),
            Field("altitude", "Altitude, m", "number", "Empty for sea level."),
            Field("fill", "Container filled, %", "number", "Share that is liquid; empty if not known."),
            Field("shown", "Show in", "select", value="as_given", choices=UNITS),
        ],
        SupplyTyped,
        {"air": "coldest", "air/min": "coldest", "air/max": "hottest"},
    )


def _why_not(asked: OneMachine, lines: tuple[str, ...]) -> str:
    if lines:
        return ""
    if asked.row.specification is None:
        return "Which model and specification number is on the engine plate? Until that is known no supply line is."
    return f"No supply line is recorded of {asked.row.specification.model} {asked.row.specification.spec}."
