"""The invented dealership: the dealer that asks, and the catalogue it asks about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from catalog import loading
from catalog.usecases.drafts import Row
from catalog.usecases.part_writing import Written, save_parts
from catalog.usecases.reading_drafts import read_parts, read_specifications, read_statements
from catalog.usecases.refusals import NoRulebook
from catalog.usecases.specification_writing import save_specifications
from catalog.usecases.statement_writing import save_statements
from service.operations.models import Branch, ClosedDate, Dealer

DEALER = "tallis-bridge"
NAME = "Tallis Bridge Power Service"
ZONE, CURRENCY = "Europe/Paris", "USD"
CLOSED = (date(2026, 4, 3), date(2026, 4, 6))


@dataclass(frozen=True, slots=True)
class DemoCatalogue:
    """The contents of the demo's files."""

    parts: Sequence[Row]
    specifications: Sequence[Row]
    statements: Sequence[Row]


def load_demo(catalogue: DemoCatalogue, now: datetime) -> Written:
    """Bring the demo in; what is there already is left alone. Raises Problems for what the files get wrong."""
    standing = loading.standing()
    if not standing.rulebook:
        raise NoRulebook("No rulebook is published yet; load the reference data first.")
    rulebook = loading.load_rulebook(standing.rulebook, standing.digest)
    parts = read_parts(catalogue.parts, rulebook)
    specifications = read_specifications(catalogue.specifications, rulebook)
    statements = read_statements(catalogue.statements, rulebook)
    open_dealership()
    return save_parts(parts, now) + save_specifications(specifications, now) + save_statements(statements, now)


def open_dealership() -> Dealer:
    """The dealer with its one branch and the dates on which that is closed."""
    with transaction.atomic():
        dealer, _ = Dealer.objects.get_or_create(code=DEALER, defaults={"name": NAME, "zone": ZONE})
        branch, _ = Branch.objects.get_or_create(
            dealer=dealer, code="main", defaults={"name": NAME, "zone": ZONE, "currency": CURRENCY}
        )
        for day in CLOSED:
            ClosedDate.objects.get_or_create(branch=branch, date=day)
    return dealer
