"""A part that no catalogue knows, described at the counter by what it is and what can be read off it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import uuid4

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalog.domain.rules import Category, Rulebook
from catalog.usecases.answerable import of_attribute
from catalog.usecases.machine_finding import machines_meant
from catalog.usecases.reading import published
from kits.web.counter import ask, machine_names
from kits.web.counter_fields import Asked, asked_of, place_faults, told_by
from kits.web.counter_page import field_of
from service.errors import DomainError
from service.http.pages import dealer_at, dealer_page

TYPED = ("maker_text", "number_text", "machine", "position")


@dealer_page
@require_http_methods(["GET", "HEAD", "POST"])
def describing(request: HttpRequest) -> HttpResponseBase:
    rulebook = published().rulebook
    sent = request.POST if request.method == "POST" else request.GET
    category = rulebook.categories.get(sent.get("category", ""))
    typed = {name: sent.get(name, "").strip() for name in TYPED}
    if request.method != "POST" or category is None:
        typed["number_text"] = typed["number_text"] or request.GET.get("number", "")
        typed["machine"] = typed["machine"] or request.session.get("machine", "")
        return _page(request, rulebook, category, typed)
    asked = _asked_of(category, rulebook, request)
    told = list(told_by(asked, dealer_at(request).today(timezone.now())))
    machines = machines_meant(dealer_at(request), typed["machine"])
    faults = {}
    if typed["machine"] and len(machines) != 1:
        several = ", ".join(machine.name for machine in machines)
        faults["machine"] = f"Which of these: {several}?" if machines else "No machine of yours is called that."
    if faults or any(one.fault for one in asked):
        return _page(request, rulebook, category, typed, asked=asked, faults=faults)
    attributes = [{"attribute": one.asked.question.attribute, "slot": one.asked.question.slot, "value": one.value}
                  for one in told]  # fmt: skip
    described = {"category": category.code, "attributes": attributes,
                 "maker_text": typed["maker_text"], "number_text": typed["number_text"]}  # fmt: skip
    body: dict[str, Any] = {"candidate": {"described": described}}
    if machines:
        body["machine"] = machines[0].pk
    if typed["position"]:
        body["position"] = typed["position"].lower().replace(" ", "_")
    try:
        return ask(request, body)
    except DomainError as error:
        places = {f"/candidate/described/attributes/{at}": one.asked.name for at, one in enumerate(told)}
        found, others = place_faults(error, {**places, "/position": "position", "/machine": "machine"})
        for one in asked:
            one.fault = found.get(one.name, "")
        return _page(request, rulebook, category, typed, asked=asked, faults=found, others=others)


def _asked_of(category: Category, rulebook: Rulebook, request: HttpRequest | None) -> list[Asked]:
    """A field for each attribute of the category, and for each slot that it has."""
    questions = [
        of_attribute(code, f"{definition.name}{f', {slot}' if slot else ''}", "candidate", definition, slot)
        for code in category.attributes
        if (definition := rulebook.attributes.get(code)) is not None
        for slot in definition.slots
    ]
    return asked_of(questions, None if request is None else request.POST)


def _page(
    request: HttpRequest, rulebook: Rulebook, category: Category | None, typed: dict[str, str],
    *, asked: Sequence[Asked] | None = None, faults: dict[str, str] | None = None,
    others: Sequence[str] = (),
) -> HttpResponse:  # fmt: skip
    known = sorted(((one.code, one.name) for one in rulebook.categories.values()), key=lambda pair: pair[1])
    faults, today = faults or {}, dealer_at(request).today(timezone.now())
    shown = asked or (_asked_of(category, rulebook, None) if category else ())
    page = {
        **typed, "category": category, "categories": known, "once": uuid4(), "others": others,
        "questions": [field_of(one, "", today) for one in shown],
        "machine_names": machine_names(request),
        "machine_fault": faults.get("machine"), "position_fault": faults.get("position"),
    }  # fmt: skip
    return render(request, "kits/describe.html", page)
