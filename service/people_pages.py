"""The pages of a dealer's people, for owners, and the page on which anybody changes the own password."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from functools import wraps
from typing import Any, Concatenate, ParamSpec
from zoneinfo import ZoneInfo

from django.contrib.auth.views import PasswordChangeView
from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse, reverse_lazy
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from service import people_forms as forms
from service.http.pages import dealer_at, dealer_page, done_once, person_at
from service.http.typed import Typed, sent_from
from service.operations import people
from service.operations.idempotency import Claim
from service.operations.models import Person, Role
from service.operations.sign_in_tries import TooManyTries, begin_try, was_right
from service.pages import address_of, held_back

P = ParamSpec("P")
Body = Mapping[str, Any]
DONE = {
    "added": "{name} is on file, and signs in as {username} with the password that you gave, to choose another first. "
    "It is not shown again.",
    "changed": "What you changed of {name} is on file.",
    "password": "{name} signs in with the new password from now on, to choose another first. It is not shown again.",
    "withdrawn": "{name} is withdrawn, and signed out wherever they were signed in.",
    "back": "{name} is back, with the roles from before and the password that you gave. It is not shown again.",
}


def owner_page(
    view: Callable[Concatenate[HttpRequest, P], HttpResponseBase],
) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """For the owners of a dealer alone; anybody else is told whose it is."""

    @wraps(view)
    def shown(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if not people.is_owner(person_at(request)):
            raise people.NotAnOwner(people.OWNERS_ONLY)
        return view(request, *args, **kwargs)

    return dealer_page(shown)  # type: ignore[arg-type]


@require_safe
@owner_page
def listed(request: HttpRequest) -> HttpResponse:
    rows = [_row(request, person) for person in people.people_of(dealer_at(request))]
    return render(request, "gudgeon/people.html", {"rows": rows})


def _row(request: HttpRequest, person: Person) -> dict[str, Any]:
    dealer, held = dealer_at(request), {role.name for role in person.roles.all()}
    seen = person.last_login
    return {
        "id": person.pk,
        "name": person.name,
        "username": person.username,
        "email": person.email or "",
        "roles": [says for role, (says, _) in forms.ROLES.items() if role.value in held],
        "licence": _licence_shown(people.licence_of(person), dealer.today(timezone.now())),
        "active": person.is_active,
        "own": person.pk == person_at(request).pk,
        "last": f"{seen.astimezone(ZoneInfo(dealer.zone)):%Y-%m-%d %H:%M}" if seen else "",
    }


def _licence_shown(role: Role | None, today: date) -> dict[str, Any] | None:
    if role is None:
        return None
    return {
        "number": role.licence_number,
        "area": role.licence_area,
        "expires": role.licence_expires,
        "over": not role.holds_on(today),
    }


@require_http_methods(["GET", "HEAD", "POST"])
@owner_page
def adding(request: HttpRequest) -> HttpResponseBase:
    form, found = forms.new_form(), list[int]()
    if request.method != "POST":
        return _add_page(request, form)

    def add(body: Body) -> None:
        def act(claim: Claim) -> None:
            with transaction.atomic():
                told = forms.particulars(body)
                made = people.add_person(person_at(request), told, username=body["username"], password=body["password"])
                claim.complete(200, {"person": made.pk})

        found.append(done_once(request, act, now=timezone.now()).body["person"])

    if not form.filled(request.POST.dict()).does(add):
        return _add_page(request, form)
    return _to(found[0], "added")


def _add_page(request: HttpRequest, form: Typed) -> HttpResponse:
    return render(request, "gudgeon/person_add.html", {"form": form})


@require_safe
@owner_page
def one(request: HttpRequest, number: int) -> HttpResponse:
    return _one_page(request, people.person_of(dealer_at(request), number))


def _one_page(request: HttpRequest, person: Person, typed: Typed | None = None) -> HttpResponse:
    """The page with its forms fresh, but for the one in which something is wrong."""
    fresh = (forms.person_form(person), forms.password_form("password"), forms.password_form("back"))
    shown = {f"{form.form}_form": form for form in fresh} | ({f"{typed.form}_form": typed} if typed else {})
    done = DONE.get(request.GET.get("done", ""), "").format(name=person.name, username=person.username)
    return render(request, "gudgeon/person.html", {"one": _row(request, person), **shown, "done": done, "wrong": typed})


def _changes(form: Callable[[Person], Typed], act: Callable[[Person, int, Body], object], done: str) -> Any:
    """A view that does what a form asks and leads to the page of the person, which says so; or tells what is wrong."""

    @sent_from("person")
    @owner_page
    def changing(request: HttpRequest, number: int) -> HttpResponseBase:
        person = people.person_of(dealer_at(request), number)
        typed = form(person).filled(request.POST.dict())

        def change(body: Body) -> None:
            def once(claim: Claim) -> None:
                with transaction.atomic():
                    act(person_at(request), number, body)
                    claim.complete(200, {})

            done_once(request, once, now=timezone.now())

        if not typed.does(change):
            return _one_page(request, person, typed)
        return _to(number, done)

    return changing


def _to(number: int, done: str) -> HttpResponse:
    return redirect(f"{reverse('person', args=[number])}?done={done}")


changing = _changes(
    forms.person_form,
    lambda by, number, body: people.change_person(by, number, forms.particulars(body)),
    "changed",
)
giving_password = _changes(
    lambda _: forms.password_form("password"),
    lambda by, number, body: people.give_password(by, number, body["password"]),
    "password",
)
bringing_back = _changes(
    lambda _: forms.password_form("back"),
    lambda by, number, body: people.bring_back_person(by, number, body["password"]),
    "back",
)


@sent_from("person")
@owner_page
def withdrawing(request: HttpRequest, number: int) -> HttpResponseBase:
    people.withdraw_person(person_at(request), number)
    return _to(number, "withdrawn")


@method_decorator(never_cache, name="dispatch")
class OwnPassword(PasswordChangeView):
    """The present password is asked for, and a wrong one is a try as it is at the sign-in.

    A changed password ends all other sessions, since each holds a hash of it; this one gets the new.
    """

    form_class = forms.OwnPasswordForm
    template_name = "gudgeon/own_password.html"
    success_url = reverse_lazy("own-password-changed")

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not request.POST.get("old_password"):
            return super().post(request, *args, **kwargs)
        try:
            begun = begin_try(person_at(request).username, address_of(request), timezone.now())
        except TooManyTries as refused:
            return held_back(request, refused)
        form = self.get_form()
        if "old_password" not in form.errors:
            was_right(begun)
        return self.form_valid(form) if form.is_valid() else self.form_invalid(form)


@require_safe
@never_cache
def own_password_changed(request: HttpRequest) -> HttpResponse:
    return render(request, "gudgeon/own_password_changed.html")
