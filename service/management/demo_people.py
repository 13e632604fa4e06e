"""How somebody who tries the demo signs in: one password, made up at the first start, for the demo's own people."""

from __future__ import annotations

import secrets
from pathlib import Path

from service.management.demo_key import DEALER
from service.operations.models import Person

FILE = "demo_password"


def invitation(folder: Path) -> list[str]:
    """Sees to it that the demo's people can sign in, and says how. The password is kept in the data folder."""
    password = _kept_password(folder)
    people = list(Person.objects.filter(dealer__code=DEALER, is_active=True).order_by("username"))
    for person in people:
        if not person.check_password(password):
            person.set_password(password)
            person.save(update_fields=["password"])
    names = ", ".join(f"{person.username} ({_roles(person)})" for person in people)
    return [f"Sign in as {names}", f"        with the password {password}"]


def _kept_password(folder: Path) -> str:
    kept = folder / FILE
    if not kept.exists():
        kept.touch(mode=0o600)
        kept.write_text(secrets.token_urlsafe(9))
    return kept.read_text()


def _roles(person: Person) -> str:
    return " and ".join(sorted(role.get_name_display().lower() for role in person.roles.all()))
