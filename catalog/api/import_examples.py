"""Examples of imports for the API's description."""

from __future__ import annotations

from typing import Any

_ID = "5d3c2f0e-6f5e-4f0a-9a55-0f6f7a1c2b3d"
QUEUED: dict[str, Any] = {
    "id": _ID,
    "kind": "catalogue_import",
    "state": "queued",
    "progress": {"done": 0, "total": None, "errors": 0},
    "result": None,
    "problem": None,
    "problems": f"/api/v1/jobs/{_ID}/problems/",
    "attempt": 0,
    "attempts_at_most": 3,
    "created_at": "2026-03-09T09:15:00Z",
    "run_after": "2026-03-09T09:15:00Z",
    "heartbeat_at": None,
    "cancel_asked_at": None,
    "finished_at": None,
}
TABLES: dict[str, Any] = {
    "tables": [
        {
            "table": "attributes",
            "says": "A value a row, of a part that is there or that the table parts of the same file adds.",
            "takes_values": False,
            "columns": [
                {"name": "maker", "needed": True, "says": "The maker's short name.", "example": "OLM"},
                {"name": "value", "needed": True, "says": "The value.", "example": "310 kPa gauge"},
            ],
        }
    ]
}
