"""Adding people with their roles."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction

from service.errors import FieldProblem, Problems
from service.operations.models import Dealer, Person, Role, RoleName


def create_person(
    *,
    username: str,
    name: str,
    roles: Iterable[str],
    dealer: Dealer | None = None,
    email: str | None = None,
    password: str | None = None,
) -> Person:
    """A person and a row for each role, or nothing. Raises ``Problems``."""
    wanted = sorted({str(role) for role in roles})
    problems = [
        FieldProblem("/roles", "unknown_role", f"{role!r} is no role; there are {', '.join(RoleName.values)}.")
        for role in wanted
        if role not in RoleName.values
    ]
    if Person.objects.filter(username=username.lower()).exists():
        problems.append(FieldProblem("/username", "taken", f"The user name {username!r} is taken."))
    if email and Person.objects.filter(email=email.lower()).exists():
        problems.append(FieldProblem("/email", "taken", f"The address {email!r} belongs to somebody else."))
    if "@" in username:
        problems.append(FieldProblem("/username", "address", "A user name holds no @; give the address as such."))
    if problems:
        raise Problems(problems)
    with transaction.atomic():
        person = Person.objects.create_user(username, email, password, name=name, dealer=dealer)
        Role.objects.bulk_create(Role(person=person, name=role) for role in wanted)
    return person
