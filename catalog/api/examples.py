"""One worked example, invented, for the API's description."""

from __future__ import annotations

from typing import Any

QUESTION: dict[str, Any] = {
    "candidate": {"maker": "TSK", "number": "4470"},
    "replaces": {"maker": "TSK", "number": "4475"},
    "position": "spark_plug",
    "application": {
        "spec": {"model": "TSK-R60", "spec": "N-43"},
        "serial": "61390",
        "plate_fuels": ["natural_gas"],
        "fuel_records": [
            {"fuels": ["lpg_vapour"], "mode": "only_fuel", "found_on": "2024-05-06", "conversion_paper": False}
        ],
        "place_of_use": "outdoor",
    },
    "facts": [
        {"about": "candidate", "attribute": "gap", "value": {"value": "0.5", "unit": "mm"}, "how": "measured"}
    ],
}  # fmt: skip
PART = {"id": 7, "maker": "TSK", "number": "4470", "name": "spark plug, natural gas"}
OTHER_PART = {"id": 8, "maker": "TSK", "number": "4475", "name": "spark plug, gas"}
SOURCE = {"kind": "maker", "citation": "data sheet 2025, invented"}
SUMMARY: dict[str, Any] = {
    "id": "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5e6f",
    "verdict": "rejected",
    "headline": "Natural-gas plug; this engine burns LP-gas (found 2024-05-06).",
    "position": "spark_plug",
    "use": [{"part": PART, "quantity": 6, "why": "replace all together"}],
    "digest": "b94d27b9934d3e08a52e52d7da7dabfac484efe37a5380ee9088f7ace2efcde9",
    "catalogue_version": 1841,
    "rulebook": 12,
    "checked_at": "2026-03-09T09:15:00Z",
    "checked_by": "counter (0a1b2c3d)",
}
ANSWER: dict[str, Any] = {
    **SUMMARY,
    "machine": None,
    "chain": [],
    "catalogue_errors": [],
    "findings": [
        {
            "attribute": "fuels",
            "slot": None,
            "outcome": "not_met",
            "effect": "reject",
            "demand": {"value": ["lpg_vapour"], "basis": "fuel_record"},
            "offer": {"value": ["natural_gas"], "basis": "part_data"},
            "margin": None,
            "text": "Natural-gas plug; this engine burns LP-gas (found 2024-05-06).",
            "source": SOURCE,
        }
    ],
    "conditions": [],
    "missing": [],
    "conflicts": ["Plate says natural gas, found on LP-gas vapour 2024-05-06, the only fuel it can burn now."],
    "cautions": [],
    "alternatives": [
        {
            "part": OTHER_PART,
            "verdict": "conditional",
            "headline": "Use it only if a licensed person has confirmed the LP-gas equipment and the service manager "
            "records it; this answer does not approve the conversion.",
        }
    ],
    "approvable": False,
    "approvable_by": None,
    "approval": None,
}
CHECK_PAGE: dict[str, Any] = {"results": [SUMMARY], "next": None, "previous": None}
BATCH: dict[str, Any] = {
    "results": [
        {"index": 0, **ANSWER},
        {
            "index": 1,
            "problem": {
                "type": "/problems/unknown-part/",
                "title": "No such part",
                "status": 404,
                "detail": "No part is known as 'TSK 9999'; check the number, or describe the part.",
                "code": "unknown_part",
                "suggestions": [],
            },
        },
    ]
}
PROVENANCE = {"catalogue_version": 1841, "rulebook": 12}
PART_HEAD: dict[str, Any] = {
    **PART,
    "category": "spark_plug",
    "status": "active",
    "supplied_as": "piece",
    "condition": "new",
}
PART_PAGE: dict[str, Any] = {"results": [PART_HEAD], "next": None, "previous": None, **PROVENANCE}
PART_ANSWER: dict[str, Any] = {
    **PART_HEAD,
    **PROVENANCE,
    "barcodes": [],
    "matched_set": False,
    "contains": [],
    "needs": [],
    "attributes": [
        {
            "attribute": "reach",
            "slot": None,
            "state": "value",
            "value": {"value": "19", "unit": "mm"},
            "source": SOURCE,
        }
    ],
}
CATEGORY_HEAD: dict[str, Any] = {
    "code": "spark_plug",
    "name": "spark plug",
    "fuel_role": "combustion",
    "ports": [],
}
CATEGORY_LIST: dict[str, Any] = {"results": [CATEGORY_HEAD], "next": None, "previous": None, **PROVENANCE}
RULE: dict[str, Any] = {
    "rule": "reach",
    "comparison": "within",
    "when_not_met": "reject",
    "when_unknown": "undetermined",
    "taken_over": "same",
    "condition": "",
    "source": {"kind": "common_practice", "citation": "common practice, no source"},
}
CATEGORY: dict[str, Any] = {
    **CATEGORY_HEAD,
    **PROVENANCE,
    "replace_together": True,
    "cautions": [],
    "attributes": [
        {
            "attribute": "reach",
            "name": "reach",
            "kind": "quantity",
            "unit": "mm",
            "reference": None,
            "slots": [None],
            "vocabulary": [],
            "comparison": "within",
            "when_not_met": "reject",
            "when_unknown": "undetermined",
            "taken_over": "same",
            "source": SOURCE,
            "rules": [RULE],
        }
    ],
}
FUELS: dict[str, Any] = {
    "results": [
        {
            "code": "diesel",
            "name": "diesel",
            "family": "diesel",
            "grades": ["B0", "B7"],
            "usual": "B7",
            "source": {"kind": "published", "citation": "EN 590"},
        }
    ],
    "next": None,
    "previous": None,
    **PROVENANCE,
}
SERVICE_CLASSES: dict[str, Any] = {
    "results": [
        {
            "code": "LPG-VI",
            "name": "LP-gas vapour to an injector",
            "fuel_family": "LP-gas",
            "gas": True,
            "phase": "vapour",
            "container_pressure": False,
            "source": {"kind": "common_practice", "citation": "common practice, no source"},
        }
    ],
    "next": None,
    "previous": None,
    **PROVENANCE,
}
PART_BODY: dict[str, Any] = {
    "maker": "TSK",
    "number": "4475-S",
    "name": "set of spark plugs, gas",
    "category": "spark_plug",
    "attributes": [{"attribute": "reach", "value": {"value": "19", "unit": "mm"}, "source": SOURCE}],
    "contains": [{"part": {"maker": "TSK", "number": "4475"}, "quantity": 6}],
    "needs": [{"part": {"maker": "TSK", "number": "1102"}, "quantity": 6, "reason": "the gasket is crushed once"}],
}
