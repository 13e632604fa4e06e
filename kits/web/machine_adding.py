"""The pages on which a machine is put on file, and on which what its plate says is changed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalog.domain.rules import Rulebook
from catalog.models import Check, Machine, Status
from catalog.usecases.approving import check_of
from catalog.usecases.machine_on_file import change_on_file, engine_told, names_of_customers, put_on_file
from catalog.usecases.machine_words import fuel_in_words
from catalog.usecases.machine_writing import Owner, change_machine, machine_of
from catalog.usecases.reading import published
from kits.usecases.machine_pages import MODES
from kits.web import machine_facts as forms
from kits.web.counter_telling import EVIDENCE
from kits.web.machine_forms import TEXT_LENGTH, fuel_body
from kits.web.machines import today_at
from service.errors import Invalid, NotFound, Stale
from service.http.pages import dealer_at, dealer_page, done_once, person_at
from service.http.typed import Typed, sent_from
from service.operations.idempotency import Claim

Body = Mapping[str, Any]


@dealer_page
@require_http_methods(["GET", "HEAD", "POST"])
def adding(request: HttpRequest) -> HttpResponseBase:
    """With `?check=` the form is filled of what was told at the counter of an engine that is not on file."""
    dealer, rulebook, check = dealer_at(request), published().rulebook, _check_named(request)
    told = None if check is None else engine_told(check)
    form = forms.new_form(rulebook, today_at(request), names_of_customers(dealer), told)
    page = {"form": form, "check": check, "carried": _carried(told, rulebook)}
    if request.method != "POST":
        return render(request, "kits/machine_add.html", page)
    made = list[str]()

    def add(body: Body) -> None:
        def act(claim: Claim) -> None:
            with transaction.atomic():
                owner = Owner(dealer, timezone.now())
                row = put_on_file(forms.facts_body(body), _records(body, check, told, person_at(request).name), owner)
                claim.complete(200, {"machine": str(row.pk)})

        made.append(done_once(request, act, now=timezone.now()).body["machine"])

    if not form.filled(request.POST.dict()).does(add):
        return render(request, "kits/machine_add.html", page)
    return redirect(f"{reverse('page-machine', args=[made[0]])}?done=added")


def _check_named(request: HttpRequest) -> Check | None:
    text = request.GET.get("check")
    if text is None:
        return None
    try:
        number = UUID(text)
    except ValueError:
        raise NotFound("There is no such answer of the counter's.") from None
    return check_of(dealer_at(request), number)


def _records(body: Body, check: Check | None, told: Body | None, by: str) -> list[dict[str, Any]]:
    """What was typed into the form first, since its faults are told by that place; then what the counter was told."""
    typed = [fuel_body(body, by)] if "found" in body else []
    if check is None or told is None or "carry" not in body:
        return typed
    seen = {"by": check.asked_by[:TEXT_LENGTH], "evidence": EVIDENCE}
    return [*typed, *({**record, **seen} for record in told.get("fuel_records") or ())]


def _carried(told: Body | None, rulebook: Rulebook) -> list[dict[str, Any]]:
    """The fuel records that were told at the counter, in words."""
    return [
        {
            "fuels": " and ".join(fuel_in_words(text, rulebook) for text in record["fuels"]),
            "found_on": record["found_on"],
            "mode": MODES[record["mode"]],
            "paper": bool(record.get("conversion_paper")),
        }
        for record in (told or {}).get("fuel_records") or ()
    ]


@dealer_page
@require_http_methods(["GET", "HEAD", "POST"])
def changing(request: HttpRequest, machine_id: UUID) -> HttpResponseBase:
    dealer = dealer_at(request)
    row = machine_of(dealer, machine_id)
    form = _fresh(request, row)
    if request.method != "POST":
        return _change_page(request, row, form)

    stale = list[Stale]()

    def change(body: Body) -> None:
        def act(claim: Claim) -> None:
            with transaction.atomic():
                change_on_file(row, _version(body), forms.facts_body(body), Owner(dealer, timezone.now()))
                claim.complete(200, {})

        try:
            done_once(request, act, now=timezone.now())
        except Stale as error:
            stale.append(error)

    if form.filled(request.POST.dict()).does(change) and not stale:
        return redirect(f"{reverse('page-machine', args=[machine_id])}?done=changed")
    row = machine_of(dealer, machine_id)
    if stale:
        forms.tell_differences(form, _fresh(request, row))
    return _change_page(request, row, form, stale="".join(error.message for error in stale))


@sent_from("page-machine")
@dealer_page
def standing(request: HttpRequest, machine_id: UUID) -> HttpResponseBase:
    """Withdraw a machine, or bring it back; one that stands so already is left as it is."""
    dealer, wanted = dealer_at(request), request.POST.get("status")
    if wanted not in Status.values:
        raise Invalid("Say whether the machine is withdrawn or active.", pointer="/status")
    row = machine_of(dealer, machine_id)
    if row.status != wanted:
        change_machine(row, {"status": wanted}, Owner(dealer, timezone.now()))
    return redirect(f"{reverse('page-machine', args=[machine_id])}?done={wanted}")


def _fresh(request: HttpRequest, row: Machine) -> Typed:
    return forms.change_form(row, published().rulebook, names_of_customers(dealer_at(request)))


def _version(body: Body) -> int:
    """The version that the form was filled from; one that no machine has where it says none."""
    text = body.get("version", "")
    return int(text) if text.isascii() and text.isdecimal() else 0


def _change_page(request: HttpRequest, row: Machine, form: Typed, *, stale: str = "") -> HttpResponse:
    return render(request, "kits/machine_change.html", {"machine": row, "form": form, "stale": stale})
