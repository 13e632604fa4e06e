"""What was checked on one day, the latest first."""

from __future__ import annotations

import json
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.models import Check
from service.http.pages import dealer_at, dealer_page

A_PAGE = 100
_ONE_DAY = timedelta(days=1)


@dealer_page
@require_safe
def checks(request: HttpRequest) -> HttpResponse:
    """One day by the dealer's clock; `day` and `before`, an instant to go on from, are taken from the address."""
    dealer, today = dealer_at(request), dealer_at(request).today(timezone.now())
    day = _day(request.GET.get("day", "")) or today
    zone = ZoneInfo(dealer.zone)
    begins = datetime.combine(day, time(), zone)
    ends = _instant(request.GET.get("before", "")) or datetime.combine(day + _ONE_DAY, time(), zone)
    rows = Check.objects.visible_to(dealer).filter(checked_at__gte=begins, checked_at__lt=ends)
    found = list(rows.select_related("machine").defer("facts", "question").order_by("-checked_at", "-id")[: A_PAGE + 1])
    listed = found[:A_PAGE]
    page = {
        "day": day.isoformat(), "is_today": day == today, "checks": [_line(check, zone) for check in listed],
        "earlier": (day - _ONE_DAY).isoformat(), "later": (day + _ONE_DAY).isoformat() if day < today else "",
        "more": listed[-1].checked_at.isoformat() if len(found) > A_PAGE else "",
    }  # fmt: skip
    return render(request, "kits/today.html", page)


def _line(check: Check, zone: ZoneInfo) -> dict[str, Any]:
    answer = json.loads(check.answer)
    parts = (f"{use['part']['maker']} {use['part']['number']}".strip() for use in answer["use"])
    return {
        "id": check.pk, "time": f"{check.checked_at.astimezone(zone):%H:%M}", "verdict": check.verdict,
        "parts": ", ".join(part for part in parts if part) or "a part described", "by": check.asked_by,
        "machine": check.machine.name if check.machine else "none named", "headline": answer["headline"],
    }  # fmt: skip


def _day(text: str) -> date | None:
    """None too for a day that has no day before or after it in the calendar."""
    try:
        found = date.fromisoformat(text)
    except ValueError:
        return None
    return found if date.min.year < found.year < date.max.year else None


def _instant(text: str) -> datetime | None:
    """An instant with its offset; anything else is no place to go on from."""
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return None
    return found if found.tzinfo else None
