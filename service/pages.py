"""The start page, signing in and out, and what every page shows of where one is. Pages of parts and kits are theirs."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from service.operations.people import is_owner
from service.operations.sign_in_tries import TooManyTries, begin_try, was_right

# The pages in the bar at the top, in its order: the name shown, and the name of the address.
PLACES = (
    ("Counter", "counter"), ("Machines", "page-machines"), ("Due", "page-due"), ("Kits", "page-kits"),
    ("Today", "today"), ("Approvals", "approvals"),
)  # fmt: skip
FOR_OWNERS = (("People", "people"),)


@require_safe
def start(_request: HttpRequest) -> HttpResponse:
    return redirect("counter")


class SignIn(LoginView):
    template_name = "gudgeon/sign_in.html"
    redirect_authenticated_user = True
    next_page = "start"

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        name = request.POST.get("username", "")
        if not (name.strip() and request.POST.get("password")):
            return super().post(request, *args, **kwargs)
        try:
            begun = begin_try(name, address_of(request), timezone.now())
        except TooManyTries as refused:
            return held_back(request, refused)
        answer = super().post(request, *args, **kwargs)
        if request.user.is_authenticated:
            was_right(begun)
        return answer


def address_of(request: HttpRequest) -> str:
    """Where a request comes from. Behind a proxy only what the proxy itself added is believed, the last of the list."""
    if settings.BEHIND_PROXY:
        return str(request.headers.get("X-Forwarded-For", "")).rpartition(",")[2].strip()
    return str(request.META.get("REMOTE_ADDR", ""))


def held_back(request: HttpRequest, refused: TooManyTries) -> HttpResponse:
    """The same page for every name, whether or not somebody answers to it."""
    answer = render(request, "gudgeon/held_back.html", {"text": refused.message}, status=429)
    answer.headers["Retry-After"] = str(60 * refused.minutes)
    return answer


class SignOut(LogoutView):
    next_page = "sign-in"


def places(request: HttpRequest) -> dict[str, Any]:
    """For templates: the bar's pages, each with whether it is the one that is shown; none before somebody signed in."""
    if not request.user.is_authenticated:
        return {}
    shown = (*PLACES, *FOR_OWNERS) if is_owner(request.user) else PLACES
    addresses = [(name, reverse(code)) for name, code in shown]
    return {"places": [{"name": name, "address": at, "here": request.path.startswith(at)} for name, at in addresses]}
