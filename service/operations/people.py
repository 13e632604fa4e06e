"""A dealer's people: added with their roles, and managed by the dealer's owners. Nobody is ever deleted.

Checks and approvals name whoever recorded them, so that a person who leaves is withdrawn and can be brought back.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date

from django.contrib.auth.models import AnonymousUser
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from service.errors import Conflict, FieldProblem, Forbidden, NotFound, Problems
from service.operations.models import Dealer, Person, Role, RoleName

# Without the letters and digits that are taken for one another when they are read aloud or off a slip of paper.
PLAIN_TO_READ = "abcdefghjkmnpqrstuvwxyz23456789"
GROUPS, IN_A_GROUP = 4, 4
OWNERS_ONLY = "The people of a dealership are managed by its owner."


class NotAnOwner(Forbidden):
    code = "not_an_owner"


class OwnAccount(Conflict):
    """Owners do this to others and never to themselves, so that whoever manages people is always there."""

    code = "own_account"


@dataclass(frozen=True, slots=True)
class GasLicence:
    """What is on file of a gas technician's licence; it is in force to the end of its last day."""

    number: str
    area: str
    expires: date


@dataclass(frozen=True, slots=True)
class Particulars:
    """What an owner may change of a person; the user name stays, since it is what the person signs in by."""

    name: str
    roles: tuple[str, ...]
    email: str | None = None
    licence: GasLicence | None = None


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
    """A person and a row for each role, or nothing; ``licence`` goes with the gas technician's.

    Raises ``Problems``, also for a password that the validators of the settings refuse.
    """
    told = Particulars(name, tuple(sorted({str(role) for role in roles})), email, licence)
    problems = _problems_of(told)
    if Person.objects.filter(username=username.lower()).exists():
        problems.append(FieldProblem("/username", "taken", f"The user name {username!r} is taken."))
    if "@" in username:
        problems.append(FieldProblem("/username", "address", "A user name holds no @; give the address as such."))
    if password is not None:
        problems += _weaknesses(password, Person(username=username.lower(), email=email, name=name))
    if problems:
        raise Problems(problems)
    with transaction.atomic():
        person = Person.objects.create_user(username, email, password, name=name, dealer=dealer)
        _give_roles(person, told)
    return person


def made_up_password() -> str:
    """Sixteen characters, 79 bits by chance, in groups that are easily read aloud."""
    groups = ("".join(secrets.choice(PLAIN_TO_READ) for _ in range(IN_A_GROUP)) for _ in range(GROUPS))
    return "-".join(groups)


def is_owner(person: Person | AnonymousUser) -> bool:
    """Whether somebody manages the people of a dealer: active, of a dealer, and with the owner's role."""
    if not isinstance(person, Person) or not person.is_active or person.dealer_id is None:
        return False
    return person.roles.filter(name=RoleName.OWNER).exists()


def people_of(dealer: Dealer) -> list[Person]:
    """All of them by name with their roles, whoever is withdrawn last. Two statements."""
    people = Person.objects.visible_to(dealer).prefetch_related("roles")
    return list(people.order_by("-is_active", "name", "pk"))


def person_of(dealer: Dealer, number: int) -> Person:
    """One of this dealer's people, with roles. Raises NotFound, for another dealer's too."""
    found: Person | None = Person.objects.visible_to(dealer).prefetch_related("roles").filter(pk=number).first()
    if found is None:
        raise NotFound("There is no such person of yours.")
    return found


def licence_of(person: Person) -> Role | None:
    """The role that carries a licence, where there is one."""
    return next((role for role in person.roles.all() if role.licence_number), None)


def add_person(by: Person, told: Particulars, *, username: str, password: str) -> Person:
    """A person of the owner's dealer who signs in by this password first. Raises NotAnOwner, and Problems."""
    with _turn_of(by) as dealer:
        person = create_person(
            username=username, name=told.name, roles=told.roles, dealer=dealer, email=told.email, password=password,
            licence=told.licence,
        )  # fmt: skip
        person.password_given = True
        person.save(update_fields=["password_given"])
    return person


def change_person(by: Person, number: int, told: Particulars) -> Person:
    """Name, address, roles and licence as told. Raises NotAnOwner, NotFound, and Problems."""
    with _turn_of(by) as dealer:
        person = person_of(dealer, number)
        problems = _problems_of(told, person)
        if person.pk == by.pk and RoleName.OWNER.value not in told.roles:
            words = "You cannot take the owner's role from yourself; another owner can."
            problems.append(FieldProblem("/roles/owner", OwnAccount.code, words))
        if problems:
            raise Problems(problems)
        person.name, person.email = told.name, told.email.lower() if told.email else None
        person.save(update_fields=["name", "email"])
        _give_roles(person, told)
    return person_of(dealer, number)


def withdraw_person(by: Person, number: int) -> Person:
    """Nobody signs in as the person any more, and every session and bound key of theirs lets nobody in at once.

    The password goes with it: its hash is in every session, so that none of them lives again when the person is brought
    back. Raises NotAnOwner, NotFound, and OwnAccount.
    """
    with _turn_of(by) as dealer:
        person = person_of(dealer, number)
        if person.pk == by.pk:
            raise OwnAccount("You cannot withdraw yourself; another owner can.")
        if person.is_active:
            person.is_active = False
            person.set_unusable_password()
            person.save(update_fields=["is_active", "password"])
    return person


def bring_back_person(by: Person, number: int, password: str) -> Person:
    """With the roles from before and a password of a new beginning.

    Raises NotAnOwner, NotFound, Conflict, and Problems.
    """
    with _turn_of(by) as dealer:
        person = person_of(dealer, number)
        if person.is_active:
            raise Conflict(f"{person.name} is not withdrawn.")
        person.is_active = True
        _set_password(person, password)
    return person


def give_password(by: Person, number: int, password: str) -> Person:
    """A new password for somebody who has lost theirs; it ends the person's sessions.

    Raises NotAnOwner, NotFound, OwnAccount, Conflict, and Problems.
    """
    with _turn_of(by) as dealer:
        person = person_of(dealer, number)
        if person.pk == by.pk:
            raise OwnAccount("Change your own password on its page, where the present one is asked for.")
        if not person.is_active:
            raise Conflict(f"{person.name} is withdrawn; bring them back, with a new password.")
        _set_password(person, password)
    return person


@contextmanager
def _turn_of(by: Person) -> Iterator[Dealer]:
    """One owner of a dealer at a time, who is one still: two who take each other's role at once do not both succeed.

    Since no owner can take the own role or withdraw alone, the last owner of a dealer stays. Raises NotAnOwner.
    """
    with transaction.atomic():
        dealers = Dealer.objects.select_for_update(no_key=True)
        dealer = None if by.dealer_id is None else dealers.get(pk=by.dealer_id)
        if dealer is None or not is_owner(Person.objects.get(pk=by.pk)):
            raise NotAnOwner(OWNERS_ONLY)
        yield dealer


def _set_password(person: Person, password: str) -> None:
    problems = _weaknesses(password, person)
    if problems:
        raise Problems(problems)
    person.set_password(password)
    person.password_given = True
    person.save(update_fields=["is_active", "password", "password_given"])


def _weaknesses(password: str, person: Person) -> list[FieldProblem]:
    try:
        validate_password(password, person)
    except ValidationError as error:
        return [FieldProblem("/password", "weak", words) for words in error.messages]
    return []


def _problems_of(told: Particulars, person: Person | None = None) -> list[FieldProblem]:
    """What is wrong with these; ``person`` is whom they are about, where that is nobody new."""
    problems = [
        FieldProblem("/roles", "unknown_role", f"{role!r} is no role; there are {', '.join(RoleName.values)}.")
        for role in told.roles
        if role not in RoleName.values
    ]
    others = Person.objects.exclude(pk=person.pk) if person else Person.objects.all()
    if told.email and others.filter(email=told.email.lower()).exists():
        problems.append(FieldProblem("/email", "taken", f"The address {told.email!r} belongs to somebody else."))
    if told.licence is not None and RoleName.GAS_TECHNICIAN.value not in told.roles:
        problems.append(FieldProblem("/licence", "no_such_role", "A licence is a gas technician's; add that role."))
    return problems


def _give_roles(person: Person, told: Particulars) -> None:
    """Those and no others."""
    person.roles.all().delete()
    Role.objects.bulk_create(_role(person, name, told.licence) for name in told.roles)


def _role(person: Person, name: str, licence: GasLicence | None) -> Role:
    if licence is None or name != RoleName.GAS_TECHNICIAN.value:
        return Role(person=person, name=name)
    columns = {"licence_number": licence.number, "licence_area": licence.area, "licence_expires": licence.expires}
    return Role(person=person, name=name, **columns)
