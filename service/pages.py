"""The start page, signing in and out, and what every page shows of where one is. Pages of parts and kits are theirs."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_safe

# The pages in the bar at the top, in its order: the name shown, and the name of the address.
PLACES = (
    ("Counter", "counter"), ("Machines", "page-machines"), ("Due", "page-due"), ("Kits", "page-kits"),
    ("Today", "today"), ("Approvals", "approvals"),
)  # fmt: skip


@require_safe
def start(_request: HttpRequest) -> HttpResponse:
    return redirect("counter")


class SignIn(LoginView):
    template_name = "gudgeon/sign_in.html"
    redirect_authenticated_user = True
    next_page = "start"


class SignOut(LogoutView):
    next_page = "sign-in"


def places(request: HttpRequest) -> dict[str, Any]:
    """For templates: the bar's pages, each with whether it is the one that is shown; none before somebody signed in."""
    if not request.user.is_authenticated:
        return {}
    addresses = [(name, reverse(code)) for name, code in PLACES]
    return {"places": [{"name": name, "address": at, "here": request.path.startswith(at)} for name, at in addresses]}
