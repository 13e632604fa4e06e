"""The pages of kits: the list, one kit, and the steps it goes through."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from kits.usecases.kit_approvals import as_they_stand
from kits.usecases.kit_choosing import chooser
from kits.usecases.kit_handing_out import cancel_kit, fulfil_kit, pick_kit
from kits.usecases.kit_pages import kit_view, kits_standing
from kits.usecases.kit_redeciding import kit_of
from kits.usecases.kit_reserving import reserve_kit
from kits.usecases.kit_reviewing import review_kit, settle_line
from kits.usecases.machine_pages import kit_row
from kits.web import kit_forms as forms
from kits.web.lists import page_of
from kits.web.machines import Body, asking_at, today_at
from service.http.pages import dealer_at, dealer_page, done_once, person_at
from service.http.typed import Typed, sent_from
from service.operations.idempotency import Claim

STEPS = ("reserve", "review", "pick", "fulfil", "cancel")
NEWEST_FIRST = ("-built_at", "-id")
MOST_ENDED = 10


@require_safe
@dealer_page
def listed(request: HttpRequest) -> HttpResponse:
    """The open kits in pages, and the last that have ended below them; or those that have ended in pages."""
    dealer, ended = dealer_at(request), request.GET.get("show") == "ended"
    page = page_of(request, kits_standing(dealer, ended=ended), NEWEST_FIRST)
    last = [] if ended else kits_standing(dealer, ended=True).order_by(*NEWEST_FIRST)[:MOST_ENDED]
    rows = [kit_row(kit) for kit in as_they_stand(page.rows, dealer, timezone.now())]
    context = {"page": page, "rows": rows, "ended": ended, "last": [kit_row(kit) for kit in last]}
    return render(request, "kits/kits.html", context)


@require_safe
@dealer_page
def kit(request: HttpRequest, kit_id: UUID) -> HttpResponse:
    return _shown(request, kit_id)


def _view(request: HttpRequest, kit_id: UUID) -> Body:
    return kit_view(kit_of(dealer_at(request), kit_id), timezone.now())


def _forms(request: HttpRequest, view: Body) -> dict[str, Typed]:
    """The form of every step that is open, by its name."""
    fresh = {
        "reserve": forms.step_form("reserve"),
        "review": forms.step_form("review"),
        "pick": forms.pick_form(view),
        "fulfil": forms.fulfil_form(view, today_at(request).isoformat(), person_at(request).name),
        "cancel": forms.cancel_form(),
    }
    return {name: form for name, form in fresh.items() if view["steps"][name]}


def _shown(request: HttpRequest, kit_id: UUID, wrong: Typed | None = None) -> HttpResponse:
    view = _view(request, kit_id)
    shown = {f"{name}_form": form for name, form in _forms(request, view).items()}
    if wrong is not None:
        shown[f"{wrong.form}_form"] = wrong
    for line in view["lines"]:
        name = f"settle-{line['line']}"
        line["settle_form"] = wrong if wrong is not None and wrong.form == name else forms.settle_form(line["line"])
    context = {"kit": view, **shown, "wrong": wrong, "done": "done" in request.GET and wrong is None}
    return render(request, "kits/kit.html", context)


@sent_from("page-kit")
@dealer_page
def stepping(request: HttpRequest, kit_id: UUID, step: str) -> HttpResponseBase:
    """One step, done once for its form; the page it leads to says what has changed."""
    view = _view(request, kit_id)
    open_now = _forms(request, view)
    typed = (open_now.get(step) or forms.step_form(step)).filled(request.POST.dict())
    asking = asking_at(request)

    def act(body: Body) -> None:
        def do(claim: Claim) -> None:
            if step == "reserve":
                reserve_kit(kit_id, asking, claim)
            elif step == "review":
                review_kit(kit_id, asking, claim)
            elif step == "pick":
                pick_kit(kit_id, wanted, asking, claim)
            elif step == "fulfil":
                fulfil_kit(kit_id, wanted, asking, claim)
            else:
                cancel_kit(kit_id, body.get("reason"), asking, claim)

        wanted = _wanted(step, typed, body, view["meter"]) if step in open_now else {}
        done_once(request, do, now=asking.now)

    if not typed.does(act):
        return _shown(request, kit_id, typed)
    return _back(kit_id)


def _wanted(step: str, form: Typed, typed: Body, meter: str | None) -> dict[str, Any]:
    if step == "pick":
        return forms.pick_body(form, typed)
    return forms.fulfil_body(form, typed, meter) if step == "fulfil" else {}


@sent_from("page-kit")
@dealer_page
def settling(request: HttpRequest, kit_id: UUID) -> HttpResponseBase:
    """Put a part that somebody chose on a line."""
    line = request.POST.get("line", "")
    typed = forms.settle_form(int(line) if line.isascii() and line.isdecimal() and len(line) < 6 else None)
    typed, asking = typed.filled(request.POST.dict()), asking_at(request)

    def act(body: Body) -> None:
        wanted, by = forms.settle_body(body), chooser({}, person_at(request), asking.dealer)
        done_once(request, lambda claim: settle_line(kit_id, wanted, by, asking, claim), now=asking.now)

    if not typed.does(act):
        return _shown(request, kit_id, typed)
    return _back(kit_id)


def _back(kit_id: UUID) -> HttpResponseBase:
    return redirect(f"{reverse('page-kit', args=[kit_id])}?done=1")
