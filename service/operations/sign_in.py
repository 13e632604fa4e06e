"""Signing in with a user name or an e-mail address."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.backends import ModelBackend
from django.http import HttpRequest

from service.operations.models import Person


class NameOrAddressBackend(ModelBackend):
    """Takes either in the one login field; a user name never holds ``@``, so the two cannot be confused."""

    def authenticate(
        self,
        request: HttpRequest | None,
        username: str | None = None,
        password: str | None = None,
        **_others: Any,
    ) -> Person | None:
        if not username or password is None:
            return None
        person: Person | None = Person.objects.answering_to(username).first()
        if person is None:
            # Hash all the same: a quicker answer would tell which names exist.
            Person().set_password(password)
            return None
        return person if person.check_password(password) and self.user_can_authenticate(person) else None

    def get_user(self, user_id: int) -> Person | None:
        """Who a session is of, with the dealer, whom every page asks for; None for whoever is withdrawn."""
        person: Person | None = Person.objects.select_related("dealer").filter(pk=user_id).first()
        return person if person is not None and self.user_can_authenticate(person) else None
