"""The pages of a dealer's machines: the list with its search, and one machine with the forms that add to it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any
from uuid import UUID

from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.domain.rules import Approver
from catalog.usecases.approval_requests import may_answer
from catalog.usecases.machine_finding import machines_found
from catalog.usecases.machine_writing import Owner, add_fuel_record, change_machine
from catalog.usecases.one_version import Asking
from kits.domain.meters import Review
from kits.usecases.kit_building import build_kit
from kits.usecases.machine_pages import OneMachine, machine_rows, machine_view, one_machine
from kits.usecases.metering import By, add_meter
from kits.usecases.readings import add_reading, review_reading
from kits.web import machine_forms as forms
from kits.web.lists import page_of
from service.errors import Conflict, Forbidden, Invalid
from service.http.pages import dealer_at, dealer_page, done_once, person_at
from service.http.typed import Typed, View, sent_from
from service.operations.idempotency import Answer, Claim

Body = dict[str, Any]
BY_NAME = ("name", "id")
LONGEST_SEARCH = 200
# What is said after a form has done its work, by the word in the address.
DONE = {
    "added": "The machine is on file. Checks on it go by what is known here from now on.",
    "changed": "What you changed is on file. Checks on this machine go by it from now on.",
    "withdrawn": "The machine is withdrawn: no kit is built for it, and it is on no due list. What is on file stays.",
    "active": "The machine is back: it takes kits and is on the due list again.",
    "reading": "The reading is on file.",
    "meter": "The meter is on file.",
    "fuel": "The fuel record is on file. Checks on this machine go by it from now on.",
    "serial": "The serial is on file.",
    "review": "What you said of the reading is on file.",
}


def today_at(request: HttpRequest) -> date:
    return dealer_at(request).today(timezone.now())


def asking_at(request: HttpRequest) -> Asking:
    return Asking(dealer_at(request), person_at(request).name, timezone.now())


def _by(request: HttpRequest) -> By:
    return By(Owner(dealer_at(request), timezone.now()), person_at(request).name)


@require_safe
@dealer_page
def listed(request: HttpRequest) -> HttpResponse:
    dealer, text = dealer_at(request), request.GET.get("q", "").replace("\0", "").strip()[:LONGEST_SEARCH]
    page = page_of(request, machines_found(dealer, text), BY_NAME)
    rows = machine_rows(dealer, page.rows, today_at(request))
    return render(request, "kits/machines.html", {"page": page, "rows": rows, "q": text})


@require_safe
@dealer_page
def machine(request: HttpRequest, machine_id: UUID) -> HttpResponse:
    return _shown(request, one_machine(dealer_at(request), machine_id, today_at(request)))


def _shown(request: HttpRequest, asked: OneMachine, typed: Typed | None = None) -> HttpResponse:
    """The page with its forms fresh, but for the one in which something is wrong."""
    dealer = dealer_at(request)
    fresh = (
        forms.reading_form(asked), forms.meter_form(), _fuel_form(request, asked), forms.serial_form(),
        forms.kit_form(asked, dealer),
    )  # fmt: skip
    shown = {f"{one.form}_form": one for one in fresh} | ({f"{typed.form}_form": typed} if typed else {})
    view = machine_view(dealer, asked)
    context = {"machine": view, **shown, "done": DONE.get(request.GET.get("done", "")), "wrong": typed}
    return render(request, "kits/machine.html", context)


def _adds(
    form: Callable[[HttpRequest, OneMachine], Typed], act: Callable[[HttpRequest, OneMachine, Body], object]
) -> View:
    """A view that does what a form asks, once, and shows the page with what is wrong where it cannot."""

    @sent_from("page-machine")
    @dealer_page
    def adding(request: HttpRequest, machine_id: UUID) -> HttpResponseBase:
        asked = one_machine(dealer_at(request), machine_id, today_at(request))
        typed = form(request, asked).filled(request.POST.dict())

        def add(body: Body) -> None:
            body.pop("once", None)

            def do(claim: Claim) -> None:
                with transaction.atomic():
                    act(request, asked, body)
                    claim.complete(200, {})

            done_once(request, do, now=timezone.now())

        if not typed.does(add):
            return _shown(request, asked, typed)
        return redirect(f"{reverse('page-machine', args=[machine_id])}?done={typed.form}")

    return adding


def _give_serial(request: HttpRequest, asked: OneMachine, body: Body) -> None:
    """A serial that is on file is not replaced by a slip of the finger on a page that asks for one."""
    if asked.row.serial:
        raise Conflict(f"{asked.row.name} has the serial {asked.row.serial} on file already.", pointer="/serial")
    change_machine(asked.row, body, _by(request).owner)


def _confirms(request: HttpRequest) -> bool:
    """Whether whoever is signed in may put on record that a licensed person has confirmed the equipment."""
    return may_answer(person_at(request), Approver.SERVICE_MANAGER)


def _fuel_form(request: HttpRequest, asked: OneMachine) -> Typed:
    return forms.fuel_form(asked, confirms=_confirms(request))


def _add_fuel(request: HttpRequest, asked: OneMachine, body: Body) -> None:
    if any(request.POST.get(name) for name in forms.CONFIRMATION) and not _confirms(request):
        raise Forbidden("That the equipment is confirmed is put on record by a service manager; nothing was saved.")
    by = _by(request)
    add_fuel_record(asked.row, forms.fuel_body(body, by.name), by.owner)


adding_reading = _adds(
    lambda _, asked: forms.reading_form(asked),
    lambda request, asked, body: add_reading(asked.row, body, _by(request)),
)
adding_meter = _adds(
    lambda *_: forms.meter_form(),
    lambda request, asked, body: add_meter(asked.row, forms.meter_body(body), _by(request)),
)
adding_fuel = _adds(_fuel_form, _add_fuel)
adding_serial = _adds(lambda *_: forms.serial_form(), _give_serial)


@sent_from("page-machine")
@dealer_page
def reviewing(request: HttpRequest, machine_id: UUID, reading_id: UUID) -> HttpResponseBase:
    asked, said = one_machine(dealer_at(request), machine_id, today_at(request)), request.POST.get("review")
    if said not in (Review.CONFIRMED.value, Review.REJECTED.value):
        raise Invalid("Say whether the reading is right or wrong.", pointer="/review")
    review_reading(asked.row, reading_id, Review(said), _by(request))
    return redirect(f"{reverse('page-machine', args=[machine_id])}?done=review")


@sent_from("page-machine")
@dealer_page
def building(request: HttpRequest, machine_id: UUID) -> HttpResponseBase:
    dealer, asking = dealer_at(request), asking_at(request)
    asked = one_machine(dealer, machine_id, today_at(request))
    typed, answers = forms.kit_form(asked, dealer).filled(request.POST.dict()), list[Answer]()

    def build(body: Body) -> None:
        wanted = forms.kit_body(body, asked)

        def act(claim: Claim) -> None:
            build_kit(wanted, asking, claim)

        answers.append(done_once(request, act, now=asking.now))

    if not typed.does(build):
        return _shown(request, asked, typed)
    return redirect(reverse("page-kit", args=[answers[0].body["id"]]))
