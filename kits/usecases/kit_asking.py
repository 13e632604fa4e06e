"""What a request for a kit means: the machine with its plan, the branch, the days, the work order, the extras."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from catalog import loading as catalogue
from catalog.domain.answers import Fact
from catalog.domain.applicability import Where
from catalog.domain.parts import PartKey
from catalog.domain.rules import Rulebook
from catalog.loading import LoadedMachine, LoadedPart, LoadedSpecification
from catalog.models import Machine, Status, WorkOrder, WorkState
from catalog.usecases.asked import NamedPart, named_part
from catalog.usecases.one_version import Asking, Machines, machine_in_use
from catalog.usecases.part_finding import PartFinder
from catalog.usecases.reading import Published
from catalog.usecases.refusals import (
    Gathered,
    MachineWithdrawn,
    UnknownMachine,
    UnknownWorkOrder,
    WorkOrderElsewhere,
    WorkOrderEnded,
)
from catalog.usecases.work_orders import order_named
from kits.domain.kit_lines import Extra
from kits.domain.packing import Nature
from kits.domain.plan_documents import ReadPlan
from kits.loading import plan_read
from kits.loading.kit_machine import kit_machine
from kits.loading.kit_supply import handling_of
from kits.models import PartHandling, ServicePlan
from kits.usecases.branches import branch_meant
from kits.usecases.kit_refusals import PlanUnknown
from kits.usecases.machine_plans import engine_of, plan_holding
from kits.usecases.machines_asked import where_of
from service.errors import Invalid
from service.operations.models import Branch, Dealer

Body = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class EngineAsked:
    """A machine's engine with the plan that holds for it, or with what must be known to tell which does."""

    machine: LoadedMachine
    specification: LoadedSpecification | None
    where: Where
    plan: ServicePlan | None
    missing: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class KitAsked:
    """A request with everything it names found. `parts` are those of the plan and the extras by maker and number."""

    body: Body
    machine: Machine
    branch: Branch
    work_order: WorkOrder | None
    as_of: date
    fitted_on: date
    engine: EngineAsked
    plan: ServicePlan
    read: ReadPlan
    parts: Mapping[PartKey, LoadedPart]
    handling: Mapping[int, PartHandling]
    extras: tuple[Extra, ...]

    @property
    def licensed(self) -> bool | None:
        told: bool | None = self.body.get("fitted_by_licensed")
        return told


def understood(body: Body, asking: Asking, known: Published, machines: Machines) -> KitAsked:
    """Raises what `Gathered.tell` raises, with every problem of the body; PlanUnknown with what to ask."""
    problems, found = Gathered(), dict[str, Any]()
    chosen: UUID | None = None
    with problems.each():
        found["machine"], chosen = _machine_for_work(asking.dealer, body["machine"])
    with problems.each():
        found["branch"] = branch_meant(asking.dealer, body.get("branch"))
    if "machine" in found:
        with problems.each():
            found["work_order"] = order_for(asking.dealer, body.get("work_order"), found["machine"])
    if "branch" in found:
        with problems.each():
            order = found.get("work_order")
            found |= _days(body, found["branch"].today(asking.now), None if order is None else order.planned_on)
    problems.tell()
    engine = _engine_asked(found["machine"], chosen, machines, found["as_of"], known)
    plan, read = _plan(engine, found["machine"])
    names = [named_part(entry["part"], f"/extras/{at}/part") for at, entry in enumerate(body.get("extras") or ())]
    parts, extras = parts_named(_of_plan(read), names, known.standing.stamp)
    handling = handling_of(asking.dealer, [part.id for part in (*parts.values(), *extras)])
    parts |= {(part.maker, part.number): part for part in extras}
    return KitAsked(
        body=body, engine=engine, plan=plan, read=read, parts=parts, handling=handling,
        extras=tuple(
            extra_of(entry, part, handling.get(part.id), asking.asked_by, known.rulebook)
            for entry, part in zip(body.get("extras") or (), extras, strict=True)
        ),
        **found,
    )  # fmt: skip


def _machine_for_work(dealer: Dealer, number: UUID) -> tuple[Machine, UUID | None]:
    """With the plan that its file names. Raises UnknownMachine and MachineWithdrawn."""
    found = kit_machine(dealer, number)
    if found is None:
        raise UnknownMachine("There is no such machine of yours.", pointer="/machine")
    machine, _ = found
    if machine.status == Status.WITHDRAWN:
        raise MachineWithdrawn(f"{machine.name} is withdrawn; no kit is built for it.", pointer="/machine")
    return found


def order_for(dealer: Dealer, named: str | None, machine: Machine) -> WorkOrder | None:
    """The work order a kit is for: this dealer's, open, and on the machine."""
    if named is None:
        return None
    order = order_named(dealer, named)
    if order is None:
        raise UnknownWorkOrder(f"There is no work order {named[:60]!r} of yours.", pointer="/work_order")
    if order.state != WorkState.OPEN:
        words = f"Work order {order.number} is {order.state}; open another, or leave it out."
        raise WorkOrderEnded(words, pointer="/work_order")
    if order.machine_id != machine.pk:
        words = f"Work order {order.number} is not on {machine.name}; name one that is."
        raise WorkOrderElsewhere(words, pointer="/work_order")
    return order


def refuse_before(fitted_on: date, as_of: date) -> None:
    if fitted_on < as_of:
        words = f"It would be fitted on {fitted_on.isoformat()}, before {as_of.isoformat()}; give a day from then on."
        raise Invalid(words, pointer="/fitted_on", code="before_as_of")


def _days(body: Body, today: date, planned: date | None) -> dict[str, date]:
    as_of: date = body.get("as_of") or today
    fitted_on: date = body.get("fitted_on") or max(as_of, planned or as_of)
    refuse_before(fitted_on, as_of)
    return {"as_of": as_of, "fitted_on": fitted_on}


def _engine_asked(
    machine: Machine, chosen: UUID | None, machines: Machines, as_of: date, known: Published
) -> EngineAsked:  # fmt: skip
    """The machine as it was known on that day, and its plan: what service work asks, without what was done to it."""
    loaded = machine_in_use(machines, machine.pk)
    engine = engine_of(machine)
    built = None if engine is None else catalogue.specifications(known.standing.stamp, {engine}).get(engine)
    found = plan_holding(machine, machine.dealer, chosen)
    row = None if found.plan is None else found.plan.row
    return EngineAsked(loaded, built, where_of(loaded, built, known.rulebook, as_of), row, found.missing)


def _plan(engine: EngineAsked, machine: Machine) -> tuple[ServicePlan, ReadPlan]:
    if engine.plan is None:
        questions = [fact.question for fact in engine.missing]
        words = f"Nobody can tell which service plan holds for {machine.name}. {' '.join(questions)}"
        raise PlanUnknown(words, pointer="/machine", questions=questions)
    return engine.plan, plan_read(engine.plan)


def _of_plan(read: ReadPlan) -> set[PartKey]:
    needs = [need for task in read.work for need in task.parts]
    needs += [need for joint in read.joints for need in joint.goods]
    return {choice.part for need in needs for choice in need.choices}


def parts_named(
    keys: Iterable[PartKey], names: Sequence[NamedPart], stamp: str
) -> tuple[dict[PartKey, LoadedPart], tuple[LoadedPart, ...]]:
    """Parts by maker and number, and parts as somebody named them; one statement for all of them.

    Raises what `PartFinder.find_live` does for those named, all at once. A plan names parts as they stand.
    """
    known = [NamedPart("", *key) for key in sorted(keys)]
    finder, problems, found = PartFinder([*known, *names], stamp), Gathered(), []
    for name in names:
        with problems.each():
            found.append(finder.find_live(name, or_replaced=True))
    problems.tell()
    rows = (finder.find(name) for name in known)
    return {(row.maker, row.number): row for row in rows}, tuple(found)


def extra_of(entry: Body, part: LoadedPart, handling: PartHandling | None, by: str, rulebook: Rulebook) -> Extra:
    return Extra(
        part=(part.maker, part.number),
        quantity=entry["quantity"],
        asked_by=by,
        position=entry.get("position"),
        nature=nature_of(handling),
        measured=bool(entry.get("measured")),
        component=part.category in rulebook.categories,
    )


def nature_of(handling: PartHandling | None) -> Nature:
    """What is recorded of fitting a part: one that takes a licence is licensed, whatever else it is."""
    if handling is None:
        return Nature.PLAIN
    return Nature.LICENSED if handling.fitted_by_licence else Nature(handling.nature)
