"""Adding people with their roles."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db import transaction

from service.errors import FieldProblem, Problems
from service.operations.models import Dealer, Person, Role, RoleName


@dataclass(frozen=True, slots=True)
class GasLicence:
    """What is on file of a gas technician's licence; it is in force to the end of its last day."""

    number: str
    area: str
    expires: date


def create_person(
    *,
    username: str,
    name: str,
    roles: Iterable[str],
    dealer: Dealer | None = None,
    email: str | None = None,
    password: str | None = None,
    licence: GasLicence | None = None,
) -> Person:
    """A person and a row for each role, or nothing; ``licence`` goes with the gas technician's. Raises ``Problems``."""
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
    if licence is not None and RoleName.GAS_TECHNICIAN.value not in wanted:
        problems.append(FieldProblem("/licence", "no_such_role", "A licence is a gas technician's; add that role."))
    if problems:
        raise Problems(problems)
    with transaction.atomic():
        person = Person.objects.create_user(username, email, password, name=name, dealer=dealer)
        Role.objects.bulk_create(_role(person, name, licence) for name in wanted)
    return person


def _role(person: Person, name: str, licence: GasLicence | None) -> Role:
    if licence is None or name != RoleName.GAS_TECHNICIAN.value:
        return Role(person=person, name=name)
    columns = {"licence_number": licence.number, "licence_area": licence.area, "licence_expires": licence.expires}
    return Role(person=person, name=name, **columns)
