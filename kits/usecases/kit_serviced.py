"""Putting the service that a kit was for on file, where whoever hands it out says that it was done."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from catalog.usecases.machine_writing import Owner
from catalog.usecases.one_version import Asking
from catalog.usecases.refusals import below
from kits.models import Kit, KitUse
from kits.usecases.metering import By
from kits.usecases.services_done import add_service
from service.errors import Invalid


def record_service(
    kit: Kit, told: Mapping[str, Any], uses: Sequence[tuple[KitUse, int]], undone: Collection[str], asking: Asking
) -> dict[str, Any]:
    """The kit's tasks as done with the parts handed out, but for the `undone`, whose parts are not among them.

    Levels are on file only where the kit was for a level, and all of it was done. Raises what `add_service` does, below
    its place, and Invalid where nothing is left that was done.
    """
    tasks = [task["code"] for task in kit.work["tasks"] if task["code"] not in undone]
    if not tasks:
        words = (
            "No task of the kit has all its parts in it, so none is on file as done; record what was done by itself."
        )
        raise Invalid(words, pointer="/record_service", code="nothing_done")
    whole = kit.asked.get("level") is not None and not undone
    row = {
        **told,
        "plan": kit.plan_id,
        "tasks": tasks,
        "levels": kit.work["levels"] if whole else [],
        "work_order": None if kit.work_order is None else str(kit.work_order_id),
        "parts": [
            {"part": {"id": use.part_id}, "quantity": pieces, "position": use.line.position or None}
            for use, pieces in uses
            if pieces
        ],
    }
    with below("/record_service"):
        record, _ = add_service(kit.machine, row, By(Owner(asking.dealer, asking.now), asking.asked_by))
    return {"id": str(record.pk), "on": record.on.isoformat(), "tasks": tasks, "not_recorded": sorted(undone)}
