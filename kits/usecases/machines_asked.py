"""Machines as service work asks about them, each with its record, plan and facts, in a fixed number of statements."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from catalog import loading as catalogue
from catalog.domain.answers import Fact
from catalog.domain.applicability import Application, Where, located
from catalog.domain.rules import Rulebook
from catalog.loading import LoadedMachine, LoadedSpecification
from catalog.usecases.applications import read_application
from catalog.usecases.facts_used import application_of
from catalog.usecases.reading import published
from kits.domain.plan_documents import ReadPlan
from kits.loading import ServiceRecords, plan_read, service_records
from kits.models import ServicePlan
from kits.usecases.machine_plans import Engine, PlanShelf
from service.errors import DomainError
from service.operations.models import Dealer


@dataclass(frozen=True, slots=True)
class AskedMachine:
    """`row` and `plan` are the plan that holds, both None with the `missing` facts where nobody can tell which."""

    machine: LoadedMachine
    specification: LoadedSpecification | None
    records: ServiceRecords
    where: Where
    row: ServicePlan | None
    plan: ReadPlan | None
    missing: tuple[Fact, ...]


def machines_asked(dealer: Dealer, ids: Sequence[UUID], as_of: date) -> tuple[AskedMachine, ...]:
    """This dealer's machines in the order asked for, as they were known on that day; another's are left out."""
    known = published()
    machines = catalogue.machines(dealer, ids)
    records = service_records(machines)
    engines = {number: _engine(machine) for number, machine in machines.items()}
    shelf = PlanShelf(dealer, engines.values(), (one.chosen for one in records.values()))
    built = catalogue.specifications(known.standing.stamp, {pair for pair in engines.values() if pair is not None})
    found = []
    for number in ids:
        if number not in machines:
            continue
        machine, engine, record = machines[number], engines[number], records[number]
        specification = built.get(engine) if engine is not None else None
        chosen = shelf.holding(engine, record.chosen)
        row = chosen.plan.row if chosen.plan is not None else None
        where = where_of(machine, specification, known.rulebook, as_of)
        plan = None if row is None else plan_read(row)
        found.append(AskedMachine(machine, specification, record, where, row, plan, chosen.missing))
    return tuple(found)


def _engine(machine: LoadedMachine) -> Engine | None:
    spec = machine.application["spec"]
    return None if spec is None else (spec["model"], spec["spec"])


def where_of(
    machine: LoadedMachine, specification: LoadedSpecification | None, rulebook: Rulebook, as_of: date
) -> Where:  # fmt: skip
    """What stands on the machine's plate and was found on it up to that day.

    What can no longer be read against the published words is unknown, and no reason to refuse a whole list.
    """
    records = [record for record in machine.application["fuel_records"] if record["found_on"] <= as_of]
    body = {**machine.application, "fuel_records": records}
    try:
        document = read_application(body, specification, rulebook, today=as_of)
    except DomainError:
        return located(Application(), rulebook.fuels)
    return located(application_of({**document, "told_as_plate": False}), rulebook.fuels)
