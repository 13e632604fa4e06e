"""Asking for an approval at the counter, giving or declining it, and the list of what waits for an answer."""

from __future__ import annotations

import json
from datetime import date
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog.domain.approvals import ConversionNotConfirmed
from catalog.models import ApprovalRequest
from catalog.usecases.approval_requests import ask_for_approval, decline, known_request, open_requests
from catalog.usecases.approving import Signing, approve, check_of
from kits.web.counter import answer_page
from kits.web.counter_fields import place_faults
from service.errors import DomainError
from service.http.pages import dealer_at, dealer_page, done_once, person_at
from service.operations.idempotency import Claim

LONGEST_REASON = 1_000  # as the interface takes
FIELDS = {f"/{name}": name for name in ("note", "why", "reason", "until", "work_order", "licence")}


@dealer_page
@require_POST
def asked(request: HttpRequest, check_id: UUID) -> HttpResponseBase:
    check = check_of(dealer_at(request), check_id)
    note = request.POST.get("note", "")
    try:
        ask_for_approval(check, note, person_at(request), timezone.now())
    except DomainError as error:
        faults, others = place_faults(error, FIELDS)
        return answer_page(request, check_id, others=others, approval={"note": note, "faults": faults})
    return redirect("counter-check", check_id=check_id)


@dealer_page
@require_POST
def given(request: HttpRequest, check_id: UUID) -> HttpResponseBase:
    """The approval as the API takes it; whoever is signed in signs it."""
    check, person, now = check_of(dealer_at(request), check_id), person_at(request), timezone.now()
    typed = {name: request.POST.get(name, "").strip() for name in ("reason", "until", "work_order", "licence")}
    faults, body = _read(typed)
    if not faults:

        def act(held: Claim) -> None:
            approve(check, body, Signing(dealer_at(request), person.name, now, person), held)

        try:
            done_once(request, act, now=now)
        except DomainError as error:
            faults, others = place_faults(error, FIELDS)
            told = {"faults": faults, "unconfirmed": isinstance(error, ConversionNotConfirmed)}
            return answer_page(request, check_id, others=others, approval={**typed, **told})
        return redirect("counter-check", check_id=check_id)
    return answer_page(request, check_id, approval={**typed, "faults": faults})


def _read(typed: dict[str, str]) -> tuple[dict[str, str], dict[str, Any]]:
    """What is wrong by field, and the body of an approval."""
    faults: dict[str, str] = {}
    body: dict[str, Any] = {name: typed[name] or None for name in ("work_order", "licence")}
    body["reason"] = typed["reason"]
    if not typed["reason"]:
        faults["reason"] = "Say why it is approved; it stands on the slip."
    if len(typed["reason"]) > LONGEST_REASON:
        faults["reason"] = f"{len(typed['reason'])} characters; at most {LONGEST_REASON} are kept."
    try:
        body["until"] = date.fromisoformat(typed["until"])
    except ValueError:
        faults["until"] = "Give the last day on which it holds, like 2026-03-09."
    return faults, body


@dealer_page
@require_POST
def declined(request: HttpRequest, check_id: UUID) -> HttpResponseBase:
    check = check_of(dealer_at(request), check_id)
    why = request.POST.get("why", "")
    try:
        decline(known_request(check), why, person_at(request), timezone.now())
    except DomainError as error:
        faults, others = place_faults(error, FIELDS)
        return answer_page(request, check_id, others=others, approval={"why": why, "faults": faults})
    return redirect("counter-check", check_id=check_id)


@dealer_page
@require_safe
def waiting(request: HttpRequest) -> HttpResponse:
    zone = ZoneInfo(dealer_at(request).zone)
    rows = [_line(row, zone) for row in open_requests(dealer_at(request))]
    return render(request, "kits/approvals.html", {"requests": rows})


def _line(row: ApprovalRequest, zone: ZoneInfo) -> dict[str, Any]:
    check = row.check_asked
    answer = json.loads(check.answer)
    return {
        "check": check.pk, "at": f"{row.asked_at.astimezone(zone):%Y-%m-%d %H:%M}", "by": row.asked_by.name,
        "note": row.note, "machine": check.machine.name if check.machine else "none named",
        "parts": ", ".join(f"{use['part']['maker']} {use['part']['number']}".strip() for use in answer["use"]),
        "conditions": answer["conditions"], "approver": answer["approvable_by"],
    }  # fmt: skip
