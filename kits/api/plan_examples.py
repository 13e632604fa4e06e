"""Worked examples of service plans, invented, for the API's description."""

from __future__ import annotations

from typing import Any

from catalog.api.machine_examples import page

NONE_GIVEN = {"kind": "common_practice", "citation": "common practice, no source"}
TRIGGERS: dict[str, dict[str, Any]] = {
    "Every 250 h or six months, after a break-in at 25 h": {
        "kind": "every",
        "hours": "250",
        "span": {"months": 6, "days": 0},
        "anchor": "last_done",
        "first": {"hours": "25", "span": None},
    },
    "Once, at 250 h": {"kind": "once", "hours": "250", "span": None},
    "With every third outer element": {"kind": "every_nth", "of": "outer_element", "times": 3},
    "Four years old and no older": {"kind": "age_limit", "span": {"months": 48, "days": 0}, "since": "manufacture"},
    "When the indicator shows red": {"kind": "on_condition", "question": "Does the restriction indicator show red?"},
    "Before the season": {"kind": "before_season"},
    "Before storage": {"kind": "before_storage"},
    "After a flood": {"kind": "after_event", "event": "flood"},
}


def _body(trigger: dict[str, Any]) -> dict[str, Any]:
    return {
        "code": "VRD-H40-YARD",
        "name": "VRD-H40, our own",
        "maker": "VRD",
        "model": "VRD-H40",
        "tasks": [{"code": "oil", "name": "Oil and filter", "kind": "replace", "trigger": trigger}],
    }


TRIGGER_BODIES = {name: _body(trigger) for name, trigger in TRIGGERS.items()}
PLAN_BODY: dict[str, Any] = {
    "code": "VRD-H40-YARD",
    "name": "VRD-H40, our own",
    "maker": "VRD",
    "model": "VRD-H40",
    "counts": "engine",
    "tasks": [
        {
            "code": "oil",
            "name": "Oil and filter",
            "kind": "replace",
            "subject": "engine_oil",
            "trigger": TRIGGERS["Every 250 h or six months, after a break-in at 25 h"],
            "severe_percent": 50,
            "parts": [
                {
                    "position": "oil_filter",
                    "choices": [
                        {"part": {"maker": "VRD", "number": "0021-460"}},
                    ],
                    "quantity": 1,
                },
                {
                    "position": "engine_oil",
                    "choices": [{"part": {"maker": "VRD", "number": "OIL-G"}}],
                    "quantity": "4.3",
                    "unit": "L",
                },
            ],
            "opens": ["oil_drain"],
        }
    ],
    "levels": [{"code": "250", "name": "250 h service", "tasks": ["oil"], "contains": []}],
    "joints": [
        {
            "code": "oil_drain",
            "goods": [
                {"position": "drain_washer", "choices": [{"part": {"maker": "VRD", "number": "9120"}}], "quantity": 1}
            ],
        }
    ],
}
HEAD: dict[str, Any] = {
    "id": "0c6d7a2e-3f0b-4b7e-8f5e-1c2d3e4f5a60",
    "code": "VRD-H40-YARD",
    "name": "VRD-H40, our own",
    "shared": False,
    "spec": None,
    "maker": "VRD",
    "model": "VRD-H40",
    "counts": "engine",
    "status": "active",
    "version": 1,
}
PAGE = page(HEAD)


def _need(position: str, number: str, name: str, quantity: int | str, unit: str = "each") -> dict[str, Any]:
    part = {"id": 41, "maker": "VRD", "number": number, "name": name}
    choice = {"part": part, "applicability": None, "nature": "plain"}
    return {"position": position, "choices": [choice], "quantity": quantity, "unit": unit, "per": "machine"}


PLAN: dict[str, Any] = {
    **HEAD,
    "tasks": [
        {
            "code": "oil",
            "name": "Oil and filter",
            "kind": "replace",
            "subject": "engine_oil",
            "trigger": TRIGGERS["Every 250 h or six months, after a break-in at 25 h"],
            "applicability": None,
            "who": "technician",
            "severe_percent": 50,
            "tolerance": None,
            "emission": False,
            "warranty": False,
            "source": NONE_GIVEN,
            "parts": [
                _need("oil_filter", "0021-460", "oil filter", 1),
                _need("engine_oil", "OIL-G", "engine oil", "4.3", "L"),
            ],
            "opens": ["oil_drain"],
        }
    ],
    "levels": PLAN_BODY["levels"],
    "joints": [{"code": "oil_drain", "goods": [_need("drain_washer", "9120", "drain washer", 1)]}],
}
