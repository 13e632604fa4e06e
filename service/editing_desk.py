"""Django's admin as the catalogue editor's desk: who is let in, and by which door."""

from __future__ import annotations

from typing import Any

from django.contrib.admin import AdminSite
from django.contrib.auth.models import AnonymousUser
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponseBase
from django.urls import reverse

from service.http.pages import refused
from service.http.permissions import ROLES_FOR
from service.operations.models import Person, Scope

NOT_AN_EDITOR = "The catalogue is kept by its editors. The owner of the dealership gives roles."


class EditingDesk(AdminSite):
    """For whoever may write the catalogue. It has no sign-in and no pages of passwords of its own."""

    site_title = "Gudgeon"
    site_header = "Catalogue"
    index_title = "What the catalogue holds"
    site_url = "/"
    enable_nav_sidebar = False

    def has_permission(self, request: HttpRequest) -> bool:
        return may_edit(request.user)

    def login(self, request: HttpRequest, extra_context: dict[str, Any] | None = None) -> Any:
        return self._door(request)

    def logout(self, request: HttpRequest, extra_context: dict[str, Any] | None = None) -> Any:
        return redirect_to_login(request.path, reverse("sign-in"))

    def _door(self, request: HttpRequest) -> HttpResponseBase:
        if request.user.is_authenticated:
            return refused(request, 403, "Not for this account", NOT_AN_EDITOR)
        return redirect_to_login(request.GET.get("next", reverse("admin:index")), reverse("sign-in"))


def may_edit(user: Person | AnonymousUser) -> bool:
    """Whether somebody holds a role that may write the catalogue, as the API asks it of people."""
    if not isinstance(user, Person) or not user.is_active:
        return False
    return user.is_superuser or user.roles.filter(name__in=ROLES_FOR[Scope.CATALOGUE_WRITE]).exists()
