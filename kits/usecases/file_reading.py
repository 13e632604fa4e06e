"""A machine's service file as it is shown."""

from __future__ import annotations

from typing import Any

from catalog.models import Machine
from kits.models import ServiceFile
from kits.usecases.due_answers import facts, plan_name
from kits.usecases.machine_plans import plan_holding
from service.operations.models import Dealer


def file_document(machine: Machine, dealer: Dealer, file: ServiceFile) -> dict[str, Any]:
    """The head of the record; `holds` is the plan that holds, or what must be known to tell."""
    chosen = plan_holding(machine, dealer, file.plan_id)
    return {
        "machine": {"id": str(machine.pk), "name": machine.name},
        "plan": None if file.plan is None else plan_name(file.plan),
        "in_service": file.in_service and file.in_service.isoformat(),
        "record_complete": file.record_complete,
        "holds": None if chosen.plan is None else plan_name(chosen.plan.row),
        "missing": facts(chosen.missing),
    }
