"""What every page for a dealer's people shares: who may see it, and how it says what went wrong."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime
from functools import wraps
from typing import Concatenate, ParamSpec, cast

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.crypto import salted_hmac
from django.views.decorators.cache import never_cache

from service.errors import DomainError
from service.http.problems import problem_of
from service.operations.idempotency import Answer, Claim, IdempotencyClaim, KeyedRequest, NoClaim, claim
from service.operations.models import Dealer, Person

P = ParamSpec("P")
NO_DEALER = "These pages belong to a dealership, and your account to none. Its owner can have it joined to one."


def person_at(request: HttpRequest) -> Person:
    """Who is signed in, on a page that lets in nobody else."""
    return cast("Person", request.user)


def dealer_at(request: HttpRequest) -> Dealer:
    """Whose people this page is for, on a page that lets in nobody else."""
    return cast("Dealer", person_at(request).dealer)


def dealer_page(
    view: Callable[Concatenate[HttpRequest, P], HttpResponseBase],
) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """Lets in a dealer's people alone, keeps the page out of shared caches, and shows a refusal as a page.

    Whatever the view itself can tell the person beside a form it catches itself.
    """
    return never_cache(for_dealers(view))


def for_dealers(
    view: Callable[Concatenate[HttpRequest, P], HttpResponseBase],
) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
    """The same of what says itself how it may be kept, such as a picture with a tag."""

    @wraps(view)
    @login_required
    def shown(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if person_at(request).password_given:
            return redirect("own-password")
        if person_at(request).dealer is None:
            return refused(request, 403, "No dealership", NO_DEALER)
        try:
            return view(request, *args, **kwargs)
        except DomainError as error:
            told = problem_of(error)
            if told is None:
                raise
            document = told.document()
            return refused(request, document["status"], document["title"], document.get("detail", ""))

    return shown  # type: ignore[return-value]


def done_once(request: HttpRequest, act: Callable[[Claim], None], *, now: datetime) -> Answer:
    """Do `act`, or give what it answered when the very same form came before: an Enter pressed twice is one Enter.

    A form carries `once`, made for it when it was shown. What was typed counts with it, so that going back, changing
    something and sending it again asks anew. `act` completes its claim as with `answer_once`; any error gives it back.
    """
    typed = sorted((name, values) for name, values in request.POST.lists() if name != "csrfmiddlewaretoken")
    # Keyed, since it is kept and a password may be among what was typed.
    digest = salted_hmac("a form sent once", json.dumps(typed), algorithm="sha256").hexdigest()
    wanted = KeyedRequest(dealer_at(request), "POST", request.path, f"page-{digest}", digest)
    held = claim(wanted, now) if request.POST.get("once") else NoClaim()
    if isinstance(held, Answer):
        return held
    try:
        act(held)
    except BaseException:
        if isinstance(held, IdempotencyClaim):
            held.release()
        raise
    if held.answer is None:
        raise RuntimeError("The use case did not complete its claim, so a repeat would do its work again.")
    return held.answer


def refused(request: HttpRequest, status: int, title: str, text: str) -> HttpResponse:
    return render(request, "gudgeon/problem.html", {"title": title, "text": text}, status=status)
