"""The invented dealership: the dealer that asks, and the catalogue it asks about."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from catalog import loading
from catalog.domain.import_reading import Gathered, TableText, gather
from catalog.domain.import_tables import Aggregate
from catalog.domain.rules import Rulebook
from catalog.usecases.catalogue_writes import catalogue_write
from catalog.usecases.generating_parts import generated_parts
from catalog.usecases.import_machines import import_machines
from catalog.usecases.import_outcomes import Batch
from catalog.usecases.part_writing import Written, save_parts
from catalog.usecases.refusals import NoRulebook
from catalog.usecases.specification_writing import save_specifications
from catalog.usecases.statement_writing import save_statements
from catalog.usecases.supersessions import save_supersessions
from catalog.usecases.table_reading import drafts_of, tell
from service.operations.models import Branch, ClosedDate, Dealer, Person
from service.operations.people import GasLicence, create_person

DEALER = "tallis-bridge"
NAME = "Tallis Bridge Power Service"
ZONE, CURRENCY = "Europe/Paris", "USD"
# Who works in the demo, all invented; none of them signs in by password.
CAST: tuple[tuple[str, str, str, GasLicence | None], ...] = (
    ("r.tarnick", "R. Tarnick", "service_manager", None),
    ("a.tarle", "A. Tarle", "gas_technician", GasLicence("G-114", "north", date(2029, 12, 31))),
    ("w.osk", "W. Osk", "counter", None),
    ("s.ennick", "S. Ennick", "owner", None),
)
CLOSED = (date(2026, 4, 3), date(2026, 4, 6))


def load_demo(tables: Sequence[TableText], now: datetime, *, up_to: int = 0) -> Written:
    """Bring the demo's tables in; what is there already is left alone. A generator fills the parts up to `up_to`.

    Raises Problems for what the tables get wrong, all of it, and then nothing is written.
    """
    standing = loading.standing()
    if not standing.rulebook:
        raise NoRulebook("No rulebook is published yet; load the reference data first.")
    rulebook = loading.load_rulebook(standing.rulebook, standing.digest)
    found = gather(tables, rulebook.attributes)
    drafts = drafts_of(found, rulebook)
    tell(found)
    dealer = open_dealership()
    made_up = generated_parts(drafts.parts, rulebook, max(0, up_to - len(drafts.parts)))
    written = save_parts((*drafts.parts, *made_up), now) + save_specifications(drafts.specifications, now)
    written += save_statements(drafts.statements, now) + save_supersessions(drafts.supersessions, now)
    return written + _save_machines(found, rulebook, dealer, now)


def _save_machines(found: Gathered, rulebook: Rulebook, dealer: Dealer, now: datetime) -> Written:
    with catalogue_write(now) as write:
        batch = Batch(rulebook, write, dealer, now=now)
        import_machines(batch, found.whole(Aggregate.MACHINE))
        found.problems += batch.problems
        tell(found)
    return batch.written


def open_dealership() -> Dealer:
    """The dealer with its one branch, the dates on which that is closed, and its people."""
    with transaction.atomic():
        dealer, _ = Dealer.objects.get_or_create(code=DEALER, defaults={"name": NAME, "zone": ZONE})
        branch, _ = Branch.objects.get_or_create(
            dealer=dealer, code="main", defaults={"name": NAME, "zone": ZONE, "currency": CURRENCY}
        )
        for day in CLOSED:
            ClosedDate.objects.get_or_create(branch=branch, date=day)
        there = set(Person.objects.filter(username__in=[entry[0] for entry in CAST]).values_list("username", flat=True))
        for username, name, role, licence in CAST:
            if username not in there:
                create_person(username=username, name=name, roles=[role], dealer=dealer, licence=licence)
    return dealer
