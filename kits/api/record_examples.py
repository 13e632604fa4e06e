"""Worked examples of service records, invented, for the API's description."""

from __future__ import annotations

from typing import Any

from catalog.api.machine_examples import MACHINE, page
from kits.api.plan_examples import HEAD

MACHINE_NAME = {"id": MACHINE["id"], "name": MACHINE["name"]}
PLAN_NAME = {name: HEAD[name] for name in ("id", "code", "name")}
PLAN_AT_VERSION = {**PLAN_NAME, "version": 1}
FILE_BODY: dict[str, Any] = {"plan": HEAD["id"], "in_service": "2023-05-02", "record_complete": True}
FILE = {**FILE_BODY, "machine": MACHINE_NAME, "plan": PLAN_AT_VERSION, "holds": PLAN_AT_VERSION, "missing": []}
METER_BODY: dict[str, Any] = {
    "code": "new",
    "unit": "hours",
    "counts": "engine",
    "fitted_on": "2026-02-03",
    "start": "3",
    "replaces": {"meter": "old", "removed_on": "2026-02-03", "removed_at": "7842", "removed_by": "J. Haverill"},
}
METER: dict[str, Any] = {
    **{name: METER_BODY[name] for name in ("code", "unit", "counts", "fitted_on", "start")},
    "removed_on": None,
    "removed_at": None,
    "removed_by": None,
}
METER_PAGE = page(METER)
REMOVAL = {"removed_on": "2026-02-03", "removed_at": "7842", "removed_by": "J. Haverill"}
READING_BODY = {"meter": "new", "value": "161", "on": "2026-03-17"}
READING_AT = {"meter": "new", "value": "161", "at": "2026-03-17T07:40", "branch": "main"}
READING: dict[str, Any] = {
    "id": "e2a9c7a0-51f4-4a87-9b52-3f0f5d6f7081",
    "meter": "new",
    "value": "161",
    "unit": "hours",
    "on": "2026-03-17",
    "at": None,
    "entered_by": "W. Osk",
    "note": None,
    "review": "none",
    "reviewed_by": None,
    "reviewed_at": None,
    "held": None,
}
HELD = {
    **READING,
    "value": "16",
    "on": "2026-03-20",
    "held": {
        "reason": "rollback",
        "words": "16 h is lower than 161 h on 2026-03-17, and no replaced meter is on file.",
    },
}
READING_PAGE = page(READING, HELD)
PROFILE_BODY: dict[str, Any] = {
    "said_on": "2026-03-01",
    "said_by": "Wend Valley Growers",
    "severe": False,
    "periods": [
        {
            "least": "14",
            "most": "20",
            "season": {"opens": {"month": 4, "day": 20}, "closes": {"month": 9, "day": 20}},
            "may_shift": 7,
        }
    ],
}
PROFILE = {**PROFILE_BODY, "id": 3, "periods": [{**PROFILE_BODY["periods"][0], "first": None, "last": None}]}
PROFILE_PAGE = page(PROFILE)
SERVICE_BODY: dict[str, Any] = {"on": "2026-01-12", "reading": {"meter": "M1", "value": "4310"}, "levels": ["250"]}
SERVICE: dict[str, Any] = {
    "id": "5b1c0f7e-6d2a-4f3b-8c9d-0e1f2a3b4c5d",
    "on": "2026-01-12",
    "hours": "4310",
    "plan": PLAN_NAME,
    "tasks": [],
    "levels": ["250"],
    "work_order": None,
    "by": "J. Haverill",
    "note": None,
    "parts": [],
    "withdrawn": None,
}
SERVICE_PAGE = page(SERVICE)
OBSERVATION_BODY = {"kind": "part_fitted", "subject": "fuel_hose", "manufactured": "2024-11-01"}
OBSERVATION: dict[str, Any] = {
    "id": "9f8e7d6c-5b4a-4938-8271-605f4e3d2c1b",
    "kind": "part_fitted",
    "on": "2026-03-09",
    "by": "J. Haverill",
    "note": None,
    "subject": "fuel_hose",
    "manufactured": "2024-11-01",
    "fitted": None,
    "task": None,
    "met": None,
    "event": None,
    "hours": None,
    "withdrawn": None,
}
OBSERVATION_PAGE = page(OBSERVATION)
