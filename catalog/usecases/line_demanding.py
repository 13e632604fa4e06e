"""The jobs that write what supply lines ask of positions: those of specifications, and of rebuilt machines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import UUID

from catalog import loading
from catalog.domain.answers import Basis
from catalog.domain.rules import Rulebook
from catalog.domain.value_documents import pack_value, write_value
from catalog.models import EngineSpecification, Machine, Status
from catalog.usecases.catalogue_writes import catalogue_write
from catalog.usecases.drafts import PositionDraft, ValueDraft
from catalog.usecases.line_working import Asked, Lines, lines_of
from catalog.usecases.machine_writing import keep_line_demands
from catalog.usecases.recorded_drafts import RELATED, draft_of, positions_of
from catalog.usecases.specification_writing import write_specifications
from service.errors import DomainError
from service.operations import jobs

Pair = tuple[str, str]


def demands_of_catalogue(lease: jobs.Lease) -> Mapping[str, Any]:
    """Write what every line asks, of specifications first and then of rebuilt machines.

    What has not changed since it was worked out is passed over; done again, the job changes nothing.
    """
    lined = EngineSpecification.objects.filter(supply_stages__isnull=False).distinct().order_by("pk")
    specifications = list(lined.values_list("pk", "model", "spec", "line_digest"))
    machines = _rebuilt().filter(specification__in=lined.order_by().values("pk")).order_by("pk")
    numbers = list(machines.values_list("pk", flat=True))
    changed, total = 0, len(specifications) + len(numbers)
    for done, (number, *pair, digest) in enumerate(specifications, start=1):
        changed += _work_out_specification(number, (pair[0], pair[1]), digest, lease.clock())
        lease.save({"done": done}, jobs.Progress(done, total), lease.clock())
    for done, machine in enumerate(numbers, start=len(specifications) + 1):
        changed += _work_out_machine(machine)
        lease.save({"done": done}, jobs.Progress(done, total), lease.clock())
    return {"specifications": len(specifications), "machines": len(numbers), "changed": changed}


def demands_of_machine(lease: jobs.Lease) -> Mapping[str, Any]:
    """Write what the lines of one machine ask."""
    return {"changed": _work_out_machine(UUID(lease.input["machine"]))}


def _rebuilt() -> Any:
    return Machine.objects.filter(status=Status.ACTIVE, as_built__isnull=False).distinct()


def _work_out_specification(number: int, pair: Pair, digest: str, now: datetime) -> int:
    """Answers 1 where what its positions are asked has changed."""
    lines = _lines(pair, None)
    if lines is None or lines.digest == digest:
        return 0
    asked = tuple(lines.asked())
    with catalogue_write(now) as write:
        row = EngineSpecification.objects.select_related("maker").prefetch_related(*RELATED).get(pk=number)
        positions = tuple(_with(position, asked) for position in positions_of(row))
        changed = write_specifications([draft_of(row, positions)], write).changed
        EngineSpecification.objects.filter(pk=number).update(line_digest=lines.digest)
    return changed


def _work_out_machine(number: UUID) -> int:
    """Answers 1 where what its positions are asked has changed. A machine that changes meanwhile has a job to come."""
    row = _rebuilt().select_related("specification", "dealer").filter(pk=number, specification__isnull=False).first()
    if row is None:
        return 0
    machine = loading.machines(row.dealer, [number])[number]
    lines = _lines((row.specification.model, row.specification.spec), machine)
    if lines is None or lines.digest == row.line_digest:
        return 0
    asks: dict[str, list[Any]] = {}
    for asked in lines.asked():
        asks.setdefault(asked.demand.position, []).append(_packed(asked))
    # A line that cannot be worked out as it stands leaves what its specification's asks: less would be an invented yes.
    return keep_line_demands(row, asks or None, lines.digest)


def _lines(pair: Pair, machine: loading.LoadedMachine | None) -> Lines | None:
    """None where no rulebook is published, or what is on record cannot be understood: then nothing is computed."""
    standing = loading.standing()
    if not standing.rulebook:
        return None
    rulebook: Rulebook = loading.load_rulebook(standing.rulebook, standing.digest)
    specification = loading.specifications(standing.stamp, [pair])[pair]
    try:
        return lines_of(specification, pair, rulebook, standing.stamp, machine)
    except DomainError:
        return Lines((), rulebook)


def _with(position: PositionDraft, asks: Iterable[Asked]) -> PositionDraft:
    stated = tuple(demand for demand in position.demands if demand.basis is not Basis.COMPUTED)
    computed = tuple(_draft(asked) for asked in asks if asked.demand.position == position.code)
    return replace(position, demands=(*stated, *computed))


def _draft(asked: Asked) -> ValueDraft:
    (attribute, slot), value = asked.demand.place, asked.demand.demand.value
    written = write_value(value, units="as_given")
    return ValueDraft(attribute, slot, value, written, asked.source, Basis.COMPUTED)


def _packed(asked: Asked) -> list[Any]:
    """A demand as the derived text of a position has it."""
    (attribute, slot), source = asked.demand.place, asked.source
    packed = pack_value(asked.demand.demand.value)
    return [attribute, slot, packed, source.kind.value, source.citation, Basis.COMPUTED.value]
