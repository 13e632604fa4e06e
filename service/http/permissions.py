"""May this key or person do this here?"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from service.errors import Forbidden
from service.http.asking import key_of, person_of
from service.operations.models import Key, KeyMode, Person, RoleName, Scope

# What a signed-in person may do follows from roles; a scope that is not named here is open to every role.
ROLES_FOR = {Scope.CATALOGUE_WRITE: frozenset({RoleName.CATALOGUE_EDITOR, RoleName.OWNER})}


class MissingScope(Forbidden):
    code = "missing_scope"


class MissingRole(Forbidden):
    code = "missing_role"


class PasswordGiven(Forbidden):
    code = "password_given"


class TestKeyRefused(Forbidden):
    code = "test_key_refused"


class KeyOrPerson(BasePermission):
    """Lets in a key with the view's ``required_scope``, or a person whose roles allow as much.

    ``required_scope`` is one ``Scope``, or one for each method: ``{"GET": ..., "POST": ...}``. Without it any key
    or signed-in person is let in. A view whose effects are real names the methods that test keys are refused for:
    ``live_keys_only = frozenset({"POST"})``.
    """

    def has_permission(self, request: Request, view: Any) -> bool:
        key, person = key_of(request), person_of(request)
        scope = _scope_for(view, request.method or "GET")
        if key is None and person is None:
            return False
        if key is not None:
            _check_mode(key, view, request.method or "GET")
        if key is None and person is not None and person.password_given:
            raise PasswordGiven("Somebody else chose your password and knows it; choose one of your own first.")
        if scope is None:
            return True
        if key is None and person is not None:
            _check_roles(person, scope)
        elif key is not None and not key.allows(scope):
            raise MissingScope(f"Key {key.id8} lacks the scope {scope}; ask for a key that has it.", scope=scope)
        return True


def may(request: Request, scope: Scope) -> bool:
    """Whether the asker reaches further than the view asks: the key has the scope, or the person the role for it."""
    key, person = key_of(request), person_of(request)
    if key is not None:
        return key.allows(scope)
    return person is not None and _has_role(person, scope)


def _check_mode(key: Key, view: Any, method: str) -> None:
    live_only: frozenset[str] = getattr(view, "live_keys_only", frozenset())
    if method in live_only and key.mode != KeyMode.LIVE:
        raise TestKeyRefused(
            f"Key {key.id8} is a test key, and what this does is real; nothing was done. Send it with a live key "
            "(gudgeon_live_...)."
        )


def _scope_for(view: Any, method: str) -> Scope | None:
    wanted: Scope | Mapping[str, Scope] | None = getattr(view, "required_scope", None)
    if isinstance(wanted, Mapping):
        return wanted.get("GET" if method == "HEAD" else method)
    return wanted


def _check_roles(person: Person, scope: Scope) -> None:
    if _has_role(person, scope):
        return
    allowed = sorted(ROLES_FOR[scope])
    raise MissingRole(f"This is for a {' or '.join(allowed)}; {person.name} is none.", roles=allowed)


def _has_role(person: Person, scope: Scope) -> bool:
    allowed = ROLES_FOR.get(scope)
    return allowed is None or person.is_superuser or person.roles.filter(name__in=allowed).exists()
