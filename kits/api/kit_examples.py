"""Worked examples of kits, invented, for the API's description."""

from __future__ import annotations

from typing import Any

from catalog.api.machine_examples import page

SPECIFIED = "The engine's maker specifies VRD 4410-12 for this position on an engine that burns LP-gas liquid."
KIT_BODY: dict[str, Any] = {
    "machine": "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5f01",
    "tasks": ["spark_plugs"],
    "fitted_on": "2026-03-12",
    "extras": [{"part": {"maker": "VRD", "number": "21-450"}, "quantity": 2}],
}
KIT: dict[str, Any] = {
    "id": "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5f00",
    "number": 1,
    "state": "built",
    "complete": True,
    "machine": {"id": "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5f01", "name": "Resurfacer 1", "serial": "118402"},
    "customer": "Cold Ash Ice Hall",
    "branch": "main",
    "work_order": None,
    "as_of": "2026-03-09",
    "fitted_on": "2026-03-09",
    "built_at": "2026-03-09T09:15:00Z",
    "built_by": "counter (0a1b2c3d)",
    "plan": {"id": "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5f02", "code": "VRD-H40", "version": 1, "changed": False},
    "asked": {"machine": "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5f01", "tasks": ["spark_plugs"]},
    "work": {
        "tasks": [{"code": "spark_plugs", "name": "Spark plugs", "kind": "replace", "who": "technician"}],
        "levels": ["500"],
        "beaten": [],
        "not_here": [],
        "not_told": [],
        "due": None,
    },
    "lines": [
        {
            "line": 1,
            "position": "spark_plug",
            "part": {"id": 297, "maker": "VRD", "number": "4410-12", "name": "spark plug, gas"},
            "quantity": 4,
            "unit": "each",
            "containers": [],
            "left_over": None,
            "tasks": ["spark_plugs"],
            "asked_by": None,
            "check": {
                "id": "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5f03",
                "verdict": "accepted",
                "headline": SPECIFIED,
                "conditions": [],
            },
            "state": "accepted",
            "settled": True,
            "words": [SPECIFIED],
            "missing": [],
            "alternatives": [],
            "choice": None,
            "to_follow": None,
            "use": [
                {
                    "part": {"id": 297, "maker": "VRD", "number": "4410-12", "name": "spark plug, gas"},
                    "content": None,
                    "quantity": 4,
                    "price": {"amount": "9.40", "currency": "USD"},
                    "stock": {
                        "recorded": True,
                        "free": 10,
                        "reserved": 0,
                        "incoming": 0,
                        "short": 0,
                        "bins": [{"bin": "A-1", "date_code": None, "quantity": 4, "reserved": False}],
                        "passed_over": [],
                        "instead": {"other_sizes": [], "old_stock": []},
                    },
                }
            ],
        }
    ],
    "count": "1 of 1",
    "left_out": [],
    "packages": [
        {
            "un_number": None,
            "dangerous": False,
            "lines": [{"part": {"maker": "VRD", "number": "4410-12"}, "quantity": 4}],
        }
    ],
    "sheets": [],
    "held_back": [],
    "questions": [],
    "boxed_kits": [],
    "totals": [{"amount": "37.60", "currency": "USD"}],
    "rounding": "by_line",
    "unpriced": [],
    "cautions": [
        {"code": "hot_exhaust", "text": "Let the head cool before a plug comes out, and keep dirt out of the hole."}
    ],
    "review": [],
    "events": [
        {
            "at": "2026-03-09T09:15:00Z",
            "by": "counter (0a1b2c3d)",
            "what": "built",
            "detail": {"lines": 1, "complete": True},
        }
    ],
    "catalogue_version": 5,
    "rulebook": 1,
}
HEAD = [
    "id",
    "number",
    "state",
    "complete",
    "machine",
    "customer",
    "branch",
    "work_order",
    "as_of",
    "fitted_on",
    "built_at",
    "built_by",
]
KIT_PAGE: dict[str, Any] = page({name: KIT[name] for name in HEAD})
CHANGE_BODY: dict[str, Any] = {"fitted_on": "2026-03-20", "lines": [{"line": 1, "quantity": 3, "reason": "one is new"}]}
SETTLE_BODY: dict[str, Any] = {"line": 1, "part": {"maker": "VRD", "number": "4410-12"}, "person": "w.osk"}
RESERVED: dict[str, Any] = {**KIT, "state": "reserved", "short": []}
PICKED: dict[str, Any] = {
    **KIT,
    "state": "picked",
    "picked": [
        {
            "line": 1,
            "part": {"maker": "VRD", "number": "4410-12"},
            "bin": "A-1",
            "date_code": None,
            "quantity": 3,
            "reserved": True,
        }
    ],
    "short": [
        {
            "line": 1,
            "quantity": 1,
            "reason": "one was cracked",
            "hint": "Count the bin; its stock record is wrong.",
        }
    ],
}
FULFILLED: dict[str, Any] = {**KIT, "state": "fulfilled"}
PICK_BODY: dict[str, Any] = {"short": [{"line": 1, "quantity": 1, "reason": "one was cracked"}]}
FULFIL_BODY: dict[str, Any] = {
    "to_follow": [{"line": 1, "reason": "a plug comes tomorrow"}],
    "record_service": {"on": "2026-03-09", "by": "J. Haverill", "hours": "8000"},
}
RELEASED: dict[str, Any] = {
    "released": [
        {
            "line": 1,
            "part": {"maker": "VRD", "number": "4410-12"},
            "bins": [{"bin": "A-1", "date_code": None, "quantity": 4}],
        }
    ],
    "ordered": [],
}
CANCELLED: dict[str, Any] = {**KIT, "state": "cancelled", **RELEASED}
LET_GO: dict[str, Any] = {"kit": {"id": KIT["id"], "number": 1}, **RELEASED}
