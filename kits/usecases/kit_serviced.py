"""Putting the service that a kit was for on file, where whoever hands it out says that it was done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from catalog.usecases.machine_writing import Owner
from catalog.usecases.one_version import Asking
from catalog.usecases.refusals import below
from kits.models import Kit, KitUse
from kits.usecases.metering import By
from kits.usecases.services_done import add_service


def record_service(
    kit: Kit, told: Mapping[str, Any], uses: Sequence[tuple[KitUse, int]], asking: Asking
) -> dict[str, Any]:
    """The kit's tasks and levels as done with the parts handed out. Raises what `add_service` does, below its place."""
    row = {
        **told,
        "plan": kit.plan_id,
        "tasks": [task["code"] for task in kit.work["tasks"]],
        "levels": kit.work["levels"],
        "work_order": None if kit.work_order is None else str(kit.work_order_id),
        "parts": [
            {"part": {"id": use.part_id}, "quantity": pieces, "position": use.line.position or None}
            for use, pieces in uses
            if pieces
        ],
    }
    with below("/record_service"):
        record, _ = add_service(kit.machine, row, By(Owner(asking.dealer, asking.now), asking.asked_by))
    return {"id": str(record.pk), "on": record.on.isoformat()}
