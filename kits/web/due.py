"""The page of all machines by what falls due on them."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalog.models import Status
from catalog.usecases.machine_finding import machines_found
from kits.domain.due_states import DueState
from kits.usecases.due_asking import MachineDue
from kits.usecases.fleet_due import Wanted, first_due
from kits.usecases.machine_pages import STATES, due_row
from kits.web.lists import page_of
from kits.web.machines import BY_NAME, today_at
from service.http.fields import Choice
from service.http.pages import dealer_at, dealer_page
from service.http.serializers import StrictSerializer
from service.http.typed import Field, Typed, WholeTyped

MOST_DAYS = 3_650
ANY = "any"
SOON = "30"
CHOICES = ((ANY, "any state"), *((state.value, says) for state, says in STATES.items()))


class DueTyped(StrictSerializer):
    state = Choice(choices=[value for value, _ in CHOICES], required=False)
    within = WholeTyped(required=False, min_value=0, max_value=MOST_DAYS)


@require_safe
@dealer_page
def listed(request: HttpRequest) -> HttpResponse:
    dealer, found = dealer_at(request), dict[UUID, MachineDue]()
    typed = _form().filled(request.GET.dict())
    bodies: list[dict[str, Any]] = []
    if not typed.does(bodies.append):
        return render(request, "kits/due.html", {"form": typed, "rows": []})
    wanted = _wanted(bodies[0], request)

    def take(rows: QuerySet[Any], count: int) -> list[Any]:
        kept = first_due(dealer, rows, wanted, count)
        found.update({row.pk: due for row, due in kept})
        return [row for row, _ in kept]

    page = page_of(request, machines_found(dealer).filter(status=Status.ACTIVE), BY_NAME, take)
    # A list that goes on is in the order of names, by which its pages are found; one page can begin with what presses.
    whole = page.following is None and page.previous is None
    shown = sorted(page.rows, key=lambda row: wanted.pressing(found[row.pk])) if whole else page.rows
    rows = [due_row(row, found[row.pk], wanted) for row in shown]
    context = {
        "whole": whole,
        "form": typed,
        "page": page,
        "rows": rows,
        "as_of": wanted.as_of,
        "any": machines_found(dealer).exists(),
    }
    return render(request, "kits/due.html", context)


def _form() -> Typed:
    return Typed(
        "due",
        [
            Field("state", "State", "select", value=ANY, choices=CHOICES),
            Field("within", "May fall due within so many days", "number", "Leave empty for all work.", value=SOON),
        ],
        DueTyped,
    )


def _wanted(typed: dict[str, Any], request: HttpRequest) -> Wanted:
    state = typed.get("state", ANY)
    return Wanted(today_at(request), None if state == ANY else DueState(state), typed.get("within"))
