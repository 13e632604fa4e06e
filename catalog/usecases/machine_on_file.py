"""A machine put on file, and changed, as a form says it: with customer and fuel records, all of it or nothing."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction

from catalog.models import Check, Customer, Machine, Status
from catalog.usecases.answerable import as_asked
from catalog.usecases.machine_drafts import read_fuel_record
from catalog.usecases.machine_writing import Owner, Row, add_customer, add_fuel_record, add_machine, change_machine
from catalog.usecases.reading import published
from catalog.usecases.refusals import Gathered, UnknownCustomer, below
from service.errors import Stale
from service.operations.models import Dealer

MOST_NAMES = 200
MEANWHILE = "Somebody else has changed this machine since the form was opened."


def names_of_customers(dealer: Dealer) -> list[str]:
    """The first `MOST_NAMES` of the dealer's customers, in their order. One statement."""
    rows = Customer.objects.visible_to(dealer).filter(status=Status.ACTIVE).order_by("name")
    return list(rows.values_list("name", flat=True)[:MOST_NAMES])


def put_on_file(row: Row, records: Sequence[Row], owner: Owner) -> Machine:
    """A new machine with what was found of its fuel, by the bodies of the API.

    `customer` is a name here; with `new_customer` one that is not on file is added. Raises what `Gathered.tell` raises,
    with every problem: of the machine as `add_machine` has it, of a record below `/fuel_records/{index}`.
    """
    problems, made = Gathered(), list[Machine]()
    with transaction.atomic():
        body = _named(row, owner, problems)
        with problems.each():
            made.append(add_machine(body, owner))
        for index, record in enumerate(records):
            with problems.each(), below(f"/fuel_records/{index}"):
                if made:
                    add_fuel_record(made[0], record, owner)
                else:
                    read_fuel_record(record, published().rulebook, today=owner.dealer.today(owner.now))
        problems.tell()
    return made[0]


def change_on_file(machine: Machine, version: int, row: Row, owner: Owner) -> Machine:
    """Change a machine that somebody saw in this version; `row` is as for `put_on_file`.

    Raises Stale where it has been changed since, and then nothing is; else what `put_on_file` raises.
    """
    if machine.version != version:
        raise Stale(MEANWHILE)
    problems = Gathered()
    with transaction.atomic():
        body = _named(row, owner, problems, machine.customer)
        with problems.each():
            try:
                change_machine(machine, body, owner)
            except Stale:
                raise Stale(MEANWHILE) from None
        problems.tell()
    return machine


def engine_told(check: Check) -> Mapping[str, Any] | None:
    """The engine that a check was asked about by its plate, as `POST /checks/` has it; None for one that is on file."""
    application = as_asked(json.loads(check.question)).get("application") if check.machine_id is None else None
    return application if application and application.get("spec") else None


def _named(row: Row, owner: Owner, problems: Gathered, before: Customer | None = None) -> dict[str, Any]:
    """The body with the customer's id in place of the name; with none where the name is nobody's, which is told."""
    body = {name: value for name, value in row.items() if name not in ("customer", "new_customer")}
    name = row.get("customer")
    if before is not None and before.name == name:
        return body
    body["customer"] = None
    with problems.each():
        if name is not None:
            body["customer"] = _customer(name, owner, new=bool(row.get("new_customer"))).pk
    return body


def _customer(name: str, owner: Owner, *, new: bool) -> Customer:
    known = Customer.objects.visible_to(owner.dealer)
    found = known.filter(name=name).first() or known.filter(name__iexact=name, status=Status.ACTIVE).first()
    if found is None and new:
        return add_customer({"name": name}, owner)
    if found is None:
        words = f"No customer of yours is called {name[:60]!r}. Say below that they are new, or leave this empty."
        raise UnknownCustomer(words, pointer="/customer")
    if found.status != Status.ACTIVE:
        raise UnknownCustomer(f"The customer {found.name!r} is withdrawn.", pointer="/customer")
    return found
