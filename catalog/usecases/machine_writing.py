"""Writing a dealer's customers and machines: each change is told in the dealer's feed and moves the row's version."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from catalog import loading
from catalog.loading import LoadedSpecification
from catalog.models import AsBuilt, Customer, EngineSpecification, FuelRecord, Machine, Part, Status
from catalog.models.machine_facts import machine_text
from catalog.usecases.line_planning import plan_machine
from catalog.usecases.machine_drafts import AsBuiltDraft, FuelRecordDraft, read_as_built, read_fuel_record, read_machine
from catalog.usecases.part_finding import PartFinder
from catalog.usecases.reading import published
from catalog.usecases.refusals import Gathered, Taken, UnknownCustomer, UnknownMachine
from catalog.usecases.specification_finding import SpecificationFinder
from service.errors import Stale
from service.operations.changes import NewChange, append, lock_feed
from service.operations.models import Dealer

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Owner:
    """The dealer a change is for, and when it is made."""

    dealer: Dealer
    now: datetime


@contextmanager
def _told(kind: str, row: Machine | Customer, owner: Owner) -> Iterator[None]:
    """A change of this dealer's own in one transaction, alone with the feed, so that versions keep their order."""
    with transaction.atomic():
        lock_feed()
        yield
        name = "machine" if isinstance(row, Machine) else "customer"
        append(NewChange(f"{name}.{kind}", name, row.pk, owner.dealer, {"version": row.version}), owner.now)


def add_customer(row: Row, owner: Owner) -> Customer:
    """Raises Taken for a name this dealer has already."""
    customer = Customer(dealer=owner.dealer, name=row["name"])
    with _told("created", customer, owner):
        _refuse_taken(customer, "name", "customer")
        customer.save(force_insert=True)
    return customer


def change_customer(customer: Customer, patch: Row, owner: Owner) -> Customer:
    """Raises Stale where the customer has changed since it was read, Taken for another's name."""
    with _told("changed", customer, owner):
        _move_on(customer)
        for name in ("name", "status"):
            setattr(customer, name, patch.get(name, getattr(customer, name)))
        _refuse_taken(customer, "name", "customer")
        customer.save()
    return customer


def add_machine(row: Row, owner: Owner) -> Machine:
    """Write a machine. Raises what `Gathered.tell` raises, with every problem of the body; Taken for its name."""
    machine = Machine(dealer=owner.dealer)
    state(machine, row, owner)
    with _told("created", machine, owner):
        _refuse_taken(machine, "name", "machine")
        machine.facts = machine_text(machine, (), ())
        machine.save(force_insert=True)
    return machine


def change_machine(machine: Machine, patch: Row, owner: Owner) -> Machine:
    """Change what the patch states; null takes a fact away. Raises Stale besides what `add_machine` raises."""
    state(machine, patch, owner)
    with _told("changed", machine, owner):
        _move_on(machine)
        _refuse_taken(machine, "name", "machine")
        _derive(machine, owner)
    return machine


def add_fuel_record(machine: Machine, row: Row, owner: Owner) -> FuelRecord:
    """Add what was found; records are never changed. Raises what `Gathered.tell` raises."""
    draft = read_fuel_record(row, published().rulebook, today=owner.dealer.today(owner.now))
    with _told("changed", machine, owner):
        _as_it_is_now(machine)
        record = fuel_record(machine, draft)
        record.save(force_insert=True)
        _derive(machine, owner)
    return record


def add_as_built(machine: Machine, row: Row, owner: Owner) -> AsBuilt:
    """Say how a position stands on a converted machine. Raises Taken where that is said already."""
    draft = read_as_built(row, published().rulebook)
    part = part_named(draft)
    with _told("changed", machine, owner):
        _as_it_is_now(machine)
        if machine.as_built.filter(position=draft.position).exists():
            words = f"How {draft.position} stands on {machine.name} is recorded already; change that with a PATCH."
            raise Taken(words, pointer="/position")
        standing = as_built(machine, draft, part)
        standing.save(force_insert=True)
        _derive(machine, owner)
    return standing


def change_as_built(machine: Machine, known: AsBuilt, patch: Row, owner: Owner) -> AsBuilt:
    """Change how a position stands. Raises Stale where the machine has changed since it was read."""
    draft = read_as_built({**as_built_row(known), **patch}, published().rulebook)
    standing = as_built(machine, draft, part_named(draft))
    with _told("changed", machine, owner):
        _move_on(machine)
        standing.pk = known.pk
        standing.save(force_update=True)
        _derive(machine, owner)
    return standing


def as_built_row(row: AsBuilt) -> dict[str, Any]:
    """A row in the form it is stated in."""
    described = {"maker_text": row.maker_text, "number_text": row.number_text}
    return {
        "position": row.position,
        "category": row.category or None,
        "quantity": row.quantity,
        "branch": row.branch or None,
        "ports": row.ports,
        "media": row.media,
        "part": None if row.part is None else {"maker": row.part.maker.code, "number": row.part.number},
        "described": described if any(described.values()) else None,
        "removed": row.removed,
        "source": {"kind": row.source_kind, "citation": row.source_citation},
    }


def fuel_record(machine: Machine, draft: FuelRecordDraft) -> FuelRecord:
    confirmed = draft.confirmed_by
    columns = {} if confirmed is None else {
        f"confirmed_{name}": getattr(confirmed, name) for name in ("name", "licence", "area", "expires", "on")
    }  # fmt: skip
    return FuelRecord(
        machine=machine,
        fuels=list(draft.fuels),
        mode=draft.mode,
        found_on=draft.found_on,
        by=draft.by,
        evidence=draft.evidence,
        conversion_paper=draft.conversion_paper,
        **columns,
    )


def as_built(machine: Machine, draft: AsBuiltDraft, part: Part | None) -> AsBuilt:
    return AsBuilt(
        machine=machine,
        position=draft.position,
        category=draft.category,
        quantity=draft.quantity,
        branch=draft.branch,
        ports=[{"port": port, "fuel": fuel, "classes": list(classes)} for port, fuel, classes in draft.ports],
        media=list(draft.media),
        part=part,
        maker_text=draft.maker_text,
        number_text=draft.number_text,
        removed=draft.removed,
        source_kind=draft.source.kind.value,
        source_citation=draft.source.citation,
    )


def part_named(draft: AsBuiltDraft) -> Part | None:
    """The part that stands there. Raises UnknownPart and its like, with suggestions."""
    if draft.part is None:
        return None
    found = PartFinder([draft.part], loading.standing().stamp).find(draft.part)
    return Part.objects.select_related("maker").get(pk=found.id)


def specification_of(row: Row, pointer: str = "/spec") -> tuple[EngineSpecification | None, LoadedSpecification | None]:
    """The specification a body names, as a row and as loaded; none where it names none."""
    spec = row.get("spec")
    if spec is None:
        return None, None
    pair = (spec["model"], spec["spec"])
    found = SpecificationFinder([pair], loading.standing().stamp).find(pair, pointer)
    return EngineSpecification.objects.get(pk=found.id), found


def state(machine: Machine, row: Row, owner: Owner) -> None:
    """Put what a body states onto the row, unsaved. Raises what `Gathered.tell` raises, with every problem."""
    problems, loaded, before = Gathered(), None, machine.specification_id
    rulebook = published().rulebook
    with problems.each():
        if "spec" in row or "serial" in row:
            machine.specification, loaded = specification_of(
                {"spec": row["spec"] if "spec" in row else _spec_of(machine)}
            )
    with problems.each():
        machine.customer = _customer(row, owner, machine.customer)
    with problems.each():
        serial = {"serial": machine.serial or None} if "spec" in row else {}
        for column, value in read_machine({**serial, **row}, rulebook, loaded).columns.items():
            setattr(machine, column, value)
    problems.tell()
    if machine.specification_id != before:  # another engine: what the lines of the one before asked is nothing to it
        machine.line_demands, machine.line_digest = None, ""


def _spec_of(machine: Machine) -> dict[str, str] | None:
    spec = machine.specification
    return None if spec is None else {"model": spec.model, "spec": spec.spec}


def _customer(row: Row, owner: Owner, before: Customer | None) -> Customer | None:
    if "customer" not in row:
        return before
    number: UUID | None = row["customer"]
    if number is None:
        return None
    found = Customer.objects.visible_to(owner.dealer).filter(pk=number, status=Status.ACTIVE).first()
    if found is None:
        raise UnknownCustomer("There is no such customer of yours.", pointer="/customer")
    return found


def _move_on(row: Machine | Customer) -> None:
    """Count the row's version on, if it is still the one that was read. Raises Stale."""
    moved = _all_like(row).filter(pk=row.pk, version=row.version).update(version=row.version + 1)
    if not moved:
        raise Stale("It has changed since it was read; read it again and send the new ETag in If-Match.")
    row.version += 1


def _as_it_is_now(machine: Machine) -> None:
    """Read the row again inside the transaction: what is added to it may come after another's change."""
    machine.refresh_from_db()
    machine.version += 1


def _all_like(row: Machine | Customer) -> Any:
    return Machine.objects if isinstance(row, Machine) else Customer.objects


def _derive(machine: Machine, owner: Owner) -> None:
    machine.facts = machine_text(machine, machine.fuel_records.all(), machine.as_built.all())
    machine.save()
    plan_machine(machine, owner.now)


def keep_line_demands(machine: Machine, asks: Mapping[str, Any] | None, digest: str) -> int:
    """Keep what its supply lines ask, where the machine is still as it was; answers 1 where that is something else.

    Its version stays: nothing that anybody stated has changed.
    """
    with transaction.atomic():
        lock_feed()
        row = Machine.objects.filter(pk=machine.pk, version=machine.version).first()
        if row is None:
            return 0
        before, row.line_demands, row.line_digest = row.facts, asks, digest
        row.facts = machine_text(row, row.fuel_records.all(), row.as_built.all())
        row.save(update_fields=["line_demands", "line_digest", "facts"])
        return int(before != row.facts)


def _refuse_taken(row: Machine | Customer, field: str, what: str) -> None:
    text = getattr(row, field)
    others = _all_like(row).filter(dealer=row.dealer, **{field: text}).exclude(pk=row.pk)
    if others.exists():
        raise Taken(f"There is a {what} {text!r} of yours already; give this one another name.", pointer=f"/{field}")


def machine_of(dealer: Dealer, number: UUID) -> Machine:
    """This dealer's machine. Raises UnknownMachine, for another dealer's too."""
    rows = Machine.objects.visible_to(dealer).select_related("specification", "customer", "dealer")
    found = rows.filter(pk=number).first()
    if found is None:
        raise UnknownMachine("There is no such machine of yours.")
    return found


def customer_of(dealer: Dealer, number: UUID) -> Customer:
    """This dealer's customer. Raises UnknownCustomer, for another dealer's too."""
    found = Customer.objects.visible_to(dealer).select_related("dealer").filter(pk=number).first()
    if found is None:
        raise UnknownCustomer("There is no such customer of yours.")
    return found
