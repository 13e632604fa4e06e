"""Who chose a part: whoever is signed in, or for a key bound to nobody the person of the dealer it names."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from catalog.usecases.approving import person_named
from catalog.usecases.refusals import AnotherPerson
from service.errors import Invalid
from service.operations.models import Dealer, Person


def chooser(body: Mapping[str, Any], asker: Person | None, dealer: Dealer) -> str:
    """The name that is kept. Raises UnknownPerson, AnotherPerson, and Invalid where nobody is named."""
    named = body.get("person")
    if named is None:
        if asker is None:
            raise Invalid("Say who chose the part: the key is bound to nobody.", pointer="/person", code="required")
        return asker.name
    found = person_named(named, dealer)
    if asker is not None and asker.pk != found.pk:
        words = "Nobody chooses in another's name; leave person out, or sign in as that person."
        raise AnotherPerson(words, pointer="/person")
    return found.name
