"""The forms on the pages of a dealer's people, with the shape of what each sends."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.contrib.auth.forms import PasswordChangeForm
from django.core.validators import EmailValidator
from rest_framework.exceptions import ValidationError

from service.http.fields import Choice, Day, Text
from service.http.serializers import StrictSerializer
from service.http.typed import NEEDED, Field, FormShape, Typed, once_field
from service.operations.models import Person, Role, RoleName
from service.operations.people import GasLicence, Particulars, licence_of, made_up_password

NAME_LENGTH, USERNAME_LENGTH, EMAIL_LENGTH, LICENCE_LENGTH = 200, 60, 254, 60
CODE_LENGTH, PASSWORD_LENGTH = 60, 128
# What each role lets somebody do, beside the pages that all of a dealer's people have.
ROLES = {
    RoleName.COUNTER: ("Counter", "checks parts, looks after machines and kits"),
    RoleName.SERVICE_MANAGER: ("Service manager", "also approves, and puts on record that equipment was confirmed"),
    RoleName.GAS_TECHNICIAN: ("Gas technician", "also approves what carries gas, while the licence is in force"),
    RoleName.CATALOGUE_EDITOR: ("Catalogue editor", "also writes parts, engines and makers' statements"),
    RoleName.OWNER: ("Owner", "also manages people, and may write the catalogue"),
}
LICENCE = ("licence_number", "licence_area", "licence_expires")
HELD = "Licence of a gas technician"
NO_ROLE = "Tick at least one role."
ALL_OF_IT = "Fill this in; a licence is on file with all of it or not at all."
PLACES = {"roles": "role_counter", "roles/owner": "role_owner", "licence": "licence_number"}


class PersonTyped(FormShape):
    once = Text(required=False, max_length=CODE_LENGTH)
    name = Text(max_length=NAME_LENGTH)
    email = Text(
        required=False,
        max_length=EMAIL_LENGTH,
        validators=[EmailValidator("This is no e-mail address, such as kim@example.org.")],
    )
    licence_number = Text(required=False, max_length=LICENCE_LENGTH)
    licence_area = Text(required=False, max_length=LICENCE_LENGTH)
    licence_expires = Day(required=False)

    def get_fields(self) -> dict[str, Any]:
        return {**super().get_fields(), **{f"role_{role}": Choice(choices=["yes"], required=False) for role in ROLES}}

    def among(self, typed: Mapping[str, Any]) -> Mapping[str, str]:
        missing = [name for name in LICENCE if name not in typed]
        faults = dict.fromkeys(missing, ALL_OF_IT) if len(missing) < len(LICENCE) else {}
        return faults if any(f"role_{role}" in typed for role in ROLES) else {**faults, "role_counter": NO_ROLE}


class NewPersonTyped(PersonTyped):
    username = Text(max_length=USERNAME_LENGTH)
    password = Text(max_length=PASSWORD_LENGTH)

    def validate_username(self, username: str) -> str:
        if any(character.isspace() for character in username):
            raise ValidationError("A user name holds no spaces.", code="invalid")
        return username


class OwnPasswordForm(PasswordChangeForm):
    """Django's, in the words of these pages. The password chosen is known to nobody else, so it is not the present."""

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self.error_messages = {
            **self.error_messages,
            "password_incorrect": "This is not your present password.",
            "password_mismatch": "This is not the same as above.",
        }
        for field in self.fields.values():
            field.error_messages["required"] = NEEDED

    def clean_new_password1(self) -> str:
        chosen: str = self.cleaned_data["new_password1"]
        if chosen == self.cleaned_data.get("old_password"):
            raise forms.ValidationError("This is the present password; choose another.")
        return chosen

    def save(self, commit: bool = True) -> Person:  # noqa: FBT001, FBT002 - Django's own
        self.user.password_given = False
        person: Person = super().save(commit)
        return person


class PasswordTyped(StrictSerializer):
    once = Text(required=False, max_length=CODE_LENGTH)
    password = Text(max_length=PASSWORD_LENGTH)


def particulars(body: Mapping[str, Any]) -> Particulars:
    licence = None
    if "licence_number" in body:
        licence = GasLicence(body["licence_number"], body["licence_area"], body["licence_expires"])
    roles = tuple(role.value for role in ROLES if f"role_{role}" in body)
    return Particulars(body["name"], roles, body.get("email"), licence)


def new_form() -> Typed:
    fields = [
        once_field(),
        Field("name", "Name", hint="As it stands on slips and approvals.", needed=True),
        Field("username", "User name", hint="What they sign in by, without spaces. It cannot be changed.", needed=True),
        _email_field(None),
        *_role_fields(()),
        *_licence_fields(None),
        _password_field("First password"),
    ]
    return Typed("add", fields, NewPersonTyped, PLACES)


def person_form(person: Person) -> Typed:
    fields = [
        once_field(),
        Field("name", "Name", value=person.name, needed=True),
        _email_field(person.email),
        *_role_fields(tuple(role.name for role in person.roles.all())),
        *_licence_fields(licence_of(person)),
    ]
    return Typed("person", fields, PersonTyped, PLACES)


def password_form(name: str) -> Typed:
    return Typed(name, [once_field(), _password_field("New password")], PasswordTyped)


def _password_field(label: str) -> Field:
    """It is shown as it is typed: whoever types it hands it over, and keeps it nowhere."""
    hint = "Made up for you; type another if you like. Write it down or read it out: it is not shown again."
    return Field("password", label, hint=hint, value=made_up_password(), needed=True)


def _email_field(email: str | None) -> Field:
    return Field("email", "E-mail address", hint="They may sign in by it too. May be left empty.", value=email or "")


def _role_fields(held: tuple[str, ...]) -> list[Field]:
    return [
        Field(f"role_{role}", says, "tick", may, "yes" if role.value in held else "", group="Roles")
        for role, (says, may) in ROLES.items()
    ]


def _licence_fields(role: Role | None) -> list[Field]:
    number, area, expires = ("", "", None) if role is None else (
        role.licence_number, role.licence_area, role.licence_expires
    )  # fmt: skip
    return [
        Field("licence_number", "Licence number", value=number, group=HELD,
              hint="Without a licence in force nothing that carries gas can be approved."),
        Field("licence_area", "What it covers, or where", value=area, group=HELD),
        Field("licence_expires", "Last day of the licence", "date", group=HELD,
              value=expires.isoformat() if expires else ""),
    ]  # fmt: skip
