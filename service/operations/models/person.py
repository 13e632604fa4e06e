"""People who sign in, and what each may do."""

from __future__ import annotations

from datetime import date
from typing import Self

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

from service.operations.models.dealer import Dealer


class PersonQuerySet(models.QuerySet["Person"]):
    def visible_to(self, dealer: Dealer | None) -> Self:
        """Only this dealer's own people; without a dealer, none."""
        return self.none() if dealer is None else self.filter(dealer=dealer)

    def answering_to(self, login: str) -> Self:
        """The person of that user name or e-mail address, in any case."""
        wanted = login.strip().lower()
        return self.filter(email=wanted) if "@" in wanted else self.filter(username=wanted)


class PersonManager(BaseUserManager["Person"].from_queryset(PersonQuerySet)):  # type: ignore[misc]
    def create_user(
        self, username: str, email: str | None = None, password: str | None = None, **fields: object
    ) -> Person:
        """A person with a hashed password; without one, a person who cannot sign in by password."""
        person: Person = self.model(username=username.lower(), email=email.lower() if email else None, **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def create_superuser(
        self, username: str, email: str | None = None, password: str | None = None, **fields: object
    ) -> Person:
        return self.create_user(username, email, password, is_staff=True, is_superuser=True, **fields)


class Person(AbstractBaseUser, PermissionsMixin):
    """Somebody with a name. Without a dealer: somebody who works on the shared catalogue.

    `password_given` is that somebody else chose the password and knows it, so that nothing is done in this name before
    its owner has chosen another.
    """

    username = models.CharField(max_length=60, unique=True)
    email = models.EmailField(unique=True, null=True, blank=True)
    name = models.CharField(max_length=200)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, null=True, blank=True, related_name="people")
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField(default=False)
    password_given = models.BooleanField(default=False)

    objects = PersonManager()

    USERNAME_FIELD = "username"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = ["name"]

    class Meta:
        verbose_name_plural = "people"
        constraints = [
            models.CheckConstraint(condition=~Q(username="") & ~Q(name=""), name="person_is_named"),
            # A user name never looks like an address, so one login field can take either.
            models.CheckConstraint(condition=~Q(username__contains="@"), name="person_username_is_no_address"),
            models.CheckConstraint(condition=Q(username=Lower(F("username"))), name="person_username_is_lower_case"),
            models.CheckConstraint(
                condition=Q(email=None) | (Q(email=Lower(F("email"))) & ~Q(email="")),
                name="person_email_is_lower_case",
            ),
        ]

    def get_full_name(self) -> str:
        return self.name

    def get_short_name(self) -> str:
        return self.name


class RoleName(models.TextChoices):
    COUNTER = "counter"
    SERVICE_MANAGER = "service_manager"
    GAS_TECHNICIAN = "gas_technician"
    CATALOGUE_EDITOR = "catalogue_editor"
    OWNER = "owner"


class Role(models.Model):
    """One role of one person, with the licence it rests on where there is one."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="roles")
    name = models.CharField(max_length=20, choices=RoleName.choices)
    licence_number = models.CharField(max_length=60, blank=True, default="")
    licence_area = models.CharField(max_length=60, blank=True, default="")
    licence_expires = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint("person", "name", name="role_once_a_person"),
            models.CheckConstraint(condition=Q(name__in=RoleName.values), name="role_is_known"),
            models.CheckConstraint(
                condition=~Q(licence_number="") | (Q(licence_area="") & Q(licence_expires=None)),
                name="role_licence_has_a_number",
            ),
        ]

    def holds_on(self, day: date) -> bool:
        """Whether the role stands on that date; one without an expiry date stands until taken away."""
        return self.licence_expires is None or day <= self.licence_expires
