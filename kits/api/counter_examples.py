"""One worked example, invented, for the API's description: old stock lies here and the current number does not."""

from __future__ import annotations

from typing import Any

from catalog.api import examples

CURRENT: dict[str, Any] = {"id": 230, "maker": "VRD", "number": "0021-460", "name": "oil filter"}
OLD: dict[str, Any] = {"id": 229, "maker": "VRD", "number": "0021-450", "name": "oil filter"}
WHY = "serial 118402 is below 120000, swap allowed both ways"
QUESTION: dict[str, Any] = {
    "candidate": {"maker": "VRD", "number": "0021-460"},
    "application": {
        "spec": {"model": "VRD-H40", "spec": "S-118"},
        "serial": "118402",
        "plate_fuels": ["lpg_liquid"],
        "fuel_records": [{"fuels": ["lpg_liquid"], "mode": "only_fuel", "found_on": "2026-01-12"}],
        "place_of_use": "indoor",
    },
    "branch": "main",
    "quantity": 1,
}
_STOCK: dict[str, Any] = {
    "part": CURRENT,
    "content": None,
    "needed": 1,
    "recorded": True,
    "on_hand": 0,
    "reserved": 0,
    "free": 0,
    "short": 1,
    "bins": [],
    "passed_over": [],
    "overpromised": False,
    "elsewhere": [],
    "incoming": [{"quantity": 6, "arrives_by": "2026-04-02"}],
    "if_ordered_now": {
        "supplier": {"code": "fenmoor", "name": "Fenmoor Engine & Pump"},
        "arrives": "2026-04-08",
        "back_order_from": None,
        "order_by": {"day": "2026-03-31", "cut_off": "2026-03-31T14:00:00Z"},
        "pieces": 6,
        "pack": 6,
        "minimum": 6,
        "returnable": None,
        "missing": [],
        "text": "ordered now from Fenmoor Engine & Pump it arrives Wed 8 Apr, if ordered by Tue 31 Mar 16:00.",
    },
    "text": "VRD 0021-460 is out of stock at Tallis Bridge Power Service. 6 arrive by Thu 2 Apr.",
}
_OLD_STOCK: dict[str, Any] = {
    **_STOCK,
    "part": OLD,
    "on_hand": 4,
    "free": 4,
    "short": 0,
    "bins": [{"bin": "C-3", "date_code": None, "quantity": 4}],
    "incoming": [],
    "if_ordered_now": None,
    "text": "VRD 0021-450: 4 free here in bin C-3.",
}
_PRICE: dict[str, Any] = {
    "part": CURRENT,
    "content": None,
    "each": {"amount": "14.20", "currency": "USD"},
    "quantity": 1,
    "line": {"amount": "14.20", "currency": "USD"},
    "packs": [{"supplier": "Fenmoor Engine & Pump", "pack": 6, "minimum": 6}],
    "core_charges": [{"supplier": "Fenmoor Engine & Pump", "each": None}],
    "text": "14.20 USD each.",
}
_OLD_PRICE: dict[str, Any] = {
    **_PRICE,
    "part": OLD,
    "each": {"amount": "12.90", "currency": "USD"},
    "line": {"amount": "12.90", "currency": "USD"},
    "packs": [],
    "core_charges": [],
    "text": "12.90 USD each.",
}
_HEARD: dict[str, Any] = {
    "stale": False, "feed": "nightly", "as_of": "2026-03-30", "applied_at": "2026-03-31T01:05:00Z",
}  # fmt: skip
ANSWER: dict[str, Any] = {
    "check": {
        **examples.ANSWER,
        "verdict": "accepted",
        "headline": "The engine's maker specifies VRD 0021-460 for this position.",
        "position": "oil_filter",
        "use": [{"part": CURRENT, "quantity": 1, "why": ""}],
        "findings": [],
        "conflicts": [],
        "alternatives": [],
    },
    "offer": {"state": "offered", "conditions": [], "approval": None, "approvable_by": None, "text": "Offered."},
    "branch": {"code": "main", "name": "Tallis Bridge Power Service"},
    "headline_stock": "VRD 0021-450: 4 free here in bin C-3; the current number VRD 0021-460 is out of stock, "
    "6 arrive by Thu 2 Apr.",
    "offer_first": "old_stock",
    "offered": [
        {
            "as": "old_stock", "parts": [{"maker": "VRD", "number": "0021-450"}], "state": "offered", "free": 4,
            "enough": True,
        },
        {
            "as": "current", "parts": [{"maker": "VRD", "number": "0021-460"}], "state": "offered", "free": 0,
            "enough": False,
        },
    ],
    "stock": [_STOCK],
    "price": {
        "parts": [_PRICE],
        "totals": [{"amount": "14.20", "currency": "USD"}],
        "rounding": "by_line",
        "unpriced": [],
    },
    "also_needed": {"text": "Nothing is recorded as needed with it.", "results": []},
    "old_stock": [
        {
            "part": OLD,
            "verdict": "accepted",
            "headline": f"VRD 0021-450 may still be used in place of VRD 0021-460: {WHY}.",
            "conditions": [],
            "free_here": True,
            "stock": [_OLD_STOCK],
            "price": [_OLD_PRICE],
            "instead_of": {"maker": "VRD", "number": "0021-460"},
            "why": WHY,
        }
    ],
    "old_stock_missing": [],
    "alternatives": [],
    "not_offered": [],
    "more_not_offered": 0,
    "not_looked_at": 0,
    "age": {
        "asked_at": "2026-03-31T08:15:00Z",
        "stock": _HEARD,
        "prices": _HEARD,
        "check_catalogue_version": 1841,
        "others_catalogue_version": 1841,
    },
}  # fmt: skip
