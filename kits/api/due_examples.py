"""A worked due list, invented, for the API's description."""

from __future__ import annotations

from typing import Any

from catalog.api.machine_examples import CUSTOMER, page
from kits.api.plan_examples import NONE_GIVEN
from kits.api.record_examples import MACHINE_NAME, PLAN_AT_VERSION

_READINGS = [{"on": "2026-02-23", "hours": "4481"}, {"on": "2026-03-09", "hours": "4529"}]
TASK: dict[str, Any] = {
    "task": {
        "code": "oil",
        "name": "Oil and filter",
        "kind": "replace",
        "subject": "engine_oil",
        "who": "technician",
        "source": NONE_GIVEN,
    },
    "state": "not_yet",
    "due_at_hours": "4560",
    "due_on": "2026-07-12",
    "open": [],
    "may_be_late": {"hours": "0", "days": 0},
    "counted_from": "last done 2026-01-12 at 4310 h",
    "limits": "4560 h or 2026-07-12, whichever is first",
    "settled": False,
    "window": {"earliest": "2026-03-16", "likely": "2026-03-16", "latest": "2026-03-18"},
    "decided_by": "hours",
    "readings_used": _READINGS,
    "last_reading_age_days": 0,
    "forecast_from": "readings",
    "if_severe": None,
    "missing": [],
    "words": "2026-03-16 to 2026-03-18, from 2 readings, last one 0 days old; hours decide",
}
_HEAD: dict[str, Any] = {
    "machine": MACHINE_NAME,
    "as_of": "2026-03-09",
    "plan": PLAN_AT_VERSION,
    "lifetime": {"on": "2026-03-09", "hours": "4529", "age_days": 0},
    "missing": [],
}
DUE: dict[str, Any] = {
    **_HEAD,
    "horizon_days": 30,
    "held": [],
    "tasks": [TASK],
    "levels": [],
    "series": {
        "readings": _READINGS,
        "forecast": [{"hours": "4560", "earliest": "2026-03-16", "likely": "2026-03-16", "latest": "2026-03-18"}],
    },
    "cautions": [{"code": "no_use_profile", "text": "Nobody has said how this machine is used."}],
}
FLEET_PAGE = page({**_HEAD, "customer": {"id": CUSTOMER["id"], "name": CUSTOMER["name"]}, "tasks": [TASK]})
