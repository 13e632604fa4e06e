"""Kits made straight from checked lines, through the rows: the one place to change once kits are built over HTTP."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from catalog.models import Check, Machine, Part
from kits.domain.kit_lines import Unit
from kits.domain.kit_settling import LineState
from kits.models import Kit, KitLine, KitUse, ServicePlan
from service.operations.models import Branch
from tests.api.world import NOW, Desk

STATES = {"accepted": LineState.ACCEPTED, "conditional": LineState.NEEDS_APPROVAL, "rejected": LineState.REJECTED}


@dataclass(frozen=True, slots=True)
class Takes:
    """A line: a number at a position, pieces of it or microlitres of a fluid with its containers' size."""

    position: str
    maker: str
    number: str
    quantity: int = 1
    container: int | None = None  # microlitres in each, of a fluid


def kit_of(desk: Desk, machine: str, takes: Iterable[Takes], *, fitted_on: date, work_order: str | None = None) -> Kit:
    """The machine's kit, each line decided by a recorded check on it."""
    found = Machine.objects.get(pk=machine)
    branch = Branch.objects.get(dealer=found.dealer)
    lines = list(takes)
    checks = _checks(desk, machine, lines)
    kit = Kit.objects.create(
        dealer=found.dealer, branch=branch, number=Kit.objects.filter(dealer=found.dealer).count() + 1, machine=found,
        plan=_plan(), plan_version=1, as_of=NOW.date(), fitted_on=fitted_on, complete=True,
        catalogue_version=1, rulebook_id=checks[0].rulebook_id, built_at=NOW, built_by="H. Orrin",
    )  # fmt: skip
    for number, (line, check) in enumerate(zip(lines, checks, strict=True), start=1):
        _keep(kit, number, line, check)
    return kit


def _checks(desk: Desk, machine: str, lines: Sequence[Takes]) -> list[Check]:
    """One recorded check of each line, in one batch."""
    items = []
    for line in lines:
        named: dict[str, Any] = {"part": {"maker": line.maker, "number": line.number}}
        if line.container is None:
            named["quantity"] = line.quantity
        items.append({"candidate": [named], "machine": machine, "position": line.position})
    response = desk.post("/checks/batch/", {"items": items})
    assert response.status_code == 200, response.content
    rows = Check.objects.in_bulk([UUID(answer["id"]) for answer in response.json()["results"]])
    return [rows[UUID(answer["id"])] for answer in response.json()["results"]]


def _keep(kit: Kit, number: int, line: Takes, check: Check) -> None:
    part = Part.objects.get(maker__code=line.maker, number=line.number)
    state = STATES.get(check.verdict, LineState.UNDETERMINED)
    unit = Unit.EACH if line.container is None else Unit.MICROLITRE
    row = KitLine.objects.create(
        kit=kit, line=number, position=line.position, part=part, quantity=line.quantity, unit=unit.value,
        state=state.value, words=[check.verdict], check_made=check,
    )  # fmt: skip
    if state is LineState.ACCEPTED:
        count = line.quantity if line.container is None else -(-line.quantity // line.container)
        KitUse.objects.create(line=row, part=part, content=line.container, quantity=count)


def _plan() -> ServicePlan:
    plan, _ = ServicePlan.objects.get_or_create(
        code="cast", dealer=None, defaults={"name": "work of the cast", "document": "{}", "changed_at": NOW}
    )
    return plan
