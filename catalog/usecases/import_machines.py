"""Machines of an import: what the rows state, laid over what the dealer has recorded already."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction

from catalog.domain.import_rows import Gathering, ImportProblem
from catalog.models import Customer, FuelRecord, Machine
from catalog.models.machine_facts import machine_text
from catalog.usecases.import_outcomes import Batch, problems_of
from catalog.usecases.line_planning import plan_machine
from catalog.usecases.machine_drafts import read_as_built, read_fuel_record
from catalog.usecases.machine_writing import Owner, as_built, fuel_record, part_named, state
from catalog.usecases.part_writing import Written
from catalog.usecases.refusals import Gathered, UnknownMachine, below
from service.errors import DomainError, FieldProblem, Problems
from service.operations.changes import NewChange

Row = Mapping[str, Any]
_ROWS = ("fuel_records", "as_built")


def import_machines(batch: Batch, entries: Sequence[Gathering]) -> None:
    """Write the machines of a batch, each by itself; one that cannot be written is left out whole."""
    for entry in entries:
        if batch.dealer is None or batch.now is None:
            words = "Machines belong to a dealer; send this table with a dealer's key."
            batch.leave_out(entry, ImportProblem(entry.lines[0], "no_dealer", words))
            continue
        try:
            with transaction.atomic():
                batch.written += _lay_over(entry, Owner(batch.dealer, batch.now), batch)
        except DomainError as error:
            batch.refuse(entry, _in_a_list(error))


def _in_a_list(error: DomainError) -> Problems:
    return Problems(FieldProblem(f"/0{one.pointer}", one.code, one.detail) for one in problems_of(error))


def _lay_over(entry: Gathering, owner: Owner, batch: Batch) -> Written:
    row, (name,) = entry.document, entry.key
    known = Machine.objects.visible_to(owner.dealer).select_related("specification", "customer")
    machine = known.filter(name=name).first()
    new = machine is None
    if new and "name" not in row:
        words = f"There is no machine {name} of yours; name it in the table machines first."
        raise UnknownMachine(words, pointer="/name")
    machine = machine or Machine(dealer=owner.dealer, name=name)
    before = machine.facts, machine.customer_id
    problems = Gathered()
    with problems.each():
        state(machine, _head(row, owner), owner)
    records = _records(row, owner, batch, problems)
    standing = _standing(row, batch, problems)
    problems.tell()
    if new:
        machine.save(force_insert=True)
    _add_records(machine, records)
    for draft, part in standing:
        stands = as_built(machine, draft, part)
        stands.pk = machine.as_built.filter(position=draft.position).values_list("pk", flat=True).first()
        stands.save()
    machine.facts = machine_text(machine, machine.fuel_records.all(), machine.as_built.all())
    if not new and before == (machine.facts, machine.customer_id):
        return Written(unchanged=1)
    machine.version += 0 if new else 1
    machine.save()
    plan_machine(machine, owner.now)
    kind, payload = "machine.created" if new else "machine.changed", {"version": machine.version}
    batch.write.changes.append(NewChange(kind, "machine", machine.pk, owner.dealer, payload))
    return Written(added=1) if new else Written(changed=1)


def _head(row: Row, owner: Owner) -> dict[str, Any]:
    """What the rows state of the machine itself, its customer by id."""
    head = {name: value for name, value in row.items() if name not in (*_ROWS, "customer", "machine")}
    if row.get("customer"):
        customer, _ = Customer.objects.get_or_create(dealer=owner.dealer, name=row["customer"])
        head["customer"] = customer.pk
    return head


def _records(row: Row, owner: Owner, batch: Batch, problems: Gathered) -> list[Any]:
    found = []
    for index, record in enumerate(row.get("fuel_records") or ()):
        with problems.each(), below(f"/fuel_records/{index}"):
            found.append(read_fuel_record(record, batch.rulebook, today=owner.dealer.today(owner.now)))
    return found


def _standing(row: Row, batch: Batch, problems: Gathered) -> list[Any]:
    found = []
    for index, entry in enumerate(row.get("as_built") or ()):
        with problems.each(), below(f"/as_built/{index}"):
            draft = read_as_built(entry, batch.rulebook)
            found.append((draft, part_named(draft)))
    return found


def _add_records(machine: Machine, drafts: Sequence[Any]) -> None:
    there = {_identity(record) for record in machine.fuel_records.all()}
    rows = [fuel_record(machine, draft) for draft in drafts]
    FuelRecord.objects.bulk_create(record for record in rows if _identity(record) not in there)


def _identity(record: FuelRecord) -> tuple[Any, ...]:
    return (
        record.found_on, record.mode, tuple(record.fuels), record.by, record.evidence, record.conversion_paper,
    )  # fmt: skip
