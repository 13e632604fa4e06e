"""Worked examples of approvals, outcomes, holds and work orders, invented, for the API's description."""

from __future__ import annotations

from typing import Any

from catalog.api.examples import OTHER_PART
from catalog.api.machine_examples import page

CHECK = "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5e6f"
MACHINE = "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5e70"
CONDITION = (
    "a licensed person has confirmed the LP-gas equipment and the service manager records it; "
    "this answer does not approve the conversion"
)
ORDER_BODY: dict[str, Any] = {"number": "J9", "machine": MACHINE, "planned_on": "2026-04-13"}
ORDER: dict[str, Any] = {"id": "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5e71", **ORDER_BODY, "state": "open"}
ORDER_PAGE = page(ORDER)
APPROVAL_BODY: dict[str, Any] = {
    "person": "r.tarnick",
    "until": "2026-04-09",
    "work_order": "J9",
    "reason": "converted by a licensed person, confirmed on 2026-03-02",
}
APPROVAL: dict[str, Any] = {
    "id": "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5e72",
    "check": CHECK,
    "machine": MACHINE,
    "position": "spark_plug",
    "parts": [{"maker": "TSK", "number": "4475", "quantity": 6, "with": []}],
    "conditions": [
        CONDITION,
    ],
    "person": {"id": 5, "name": "R. Tarnick"},
    "role": "service_manager",
    "licence": None,
    "from": "2026-03-09",
    "until": "2026-04-09",
    "work_order": {"id": ORDER["id"], "number": "J9"},
    "reason": APPROVAL_BODY["reason"],
    "approved_at": "2026-03-09T09:15:00Z",
    "entered_by": "counter (0a1b2c3d)",
    "withdrawn": None,
    "applies": True,
    "why_not": None,
}
WITHDRAWN: dict[str, Any] = {
    **APPROVAL,
    "withdrawn": {"at": "2026-03-12T14:00:00Z", "by": "counter (0a1b2c3d)", "reason": "regulator found leaking"},
    "applies": False,
    "why_not": "withdrawn",
}
APPROVAL_PAGE = page(APPROVAL)
HOLD: dict[str, Any] = {
    "id": 4,
    "part": OTHER_PART,
    "spec": {"model": "TSK-R60", "spec": "N-43"},
    "position": "spark_plug",
    "kind": "did_not_fit",
    "reported_on": "2026-03-09",
    "note": "hexagon fouls the shroud",
    "state": "own",
    "confirmed": None,
    "closed": None,
}
HOLD_PAGE = page(HOLD)
CONFIRMED: dict[str, Any] = {
    **HOLD, "state": "all", "confirmed": {"at": "2026-03-10T08:00:00Z", "by": "P. Aldous"},
}  # fmt: skip
CLOSED: dict[str, Any] = {
    **HOLD,
    "state": "closed",
    "closed": {"at": "2026-03-12T08:00:00Z", "by": "P. Aldous", "reason": "shroud bent on that engine alone"},
}
OUTCOME_BODY: dict[str, Any] = {"kind": "did_not_fit", "reported_on": "2026-03-09", "note": "hexagon fouls the shroud"}
OUTCOME: dict[str, Any] = {
    "id": "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5e73",
    "check": CHECK,
    **OUTCOME_BODY,
    "by": "counter (0a1b2c3d)",
    "recorded_at": "2026-03-09T15:40:00Z",
    "holds": [HOLD],
}
OUTCOME_PAGE = page(OUTCOME)
