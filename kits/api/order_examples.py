"""Worked examples of order plans and orders, invented, for the API's description."""

from __future__ import annotations

from typing import Any


def _usd(amount: str) -> dict[str, str]:
    return {"amount": amount, "currency": "USD"}


_KIT = "0d8f5a52-6d0e-4a5e-9f7e-0d3c1b2a4f10"
_FILTER = {"id": 31, "maker": "VRD", "number": "0021-460", "name": "oil filter"}
_OLD_FILTER = {"id": 30, "maker": "VRD", "number": "0021-450", "name": "oil filter"}
_VALVE = {"id": 58, "maker": "VRD", "number": "3307", "name": "breather valve"}
_LINE = {"kit": _KIT, "kit_number": 4, "line": 1, "machine": "Resurfacer 1"}

PLAN_BODY = {"branch": "main", "kits": [_KIT], "seconds": 20, "old_stock": "first", "fluids": "by_job"}
_PLAN_HEAD: dict[str, Any] = {
    "id": "52f1a0a4-7f1c-4a0b-8a3e-7b6f0c9d1e21",
    "state": "at_once",
    "job": None,
    "seconds": 20,
    "made_at": "2026-03-09T09:15:00Z",
    "made_by": "H. Orrin",
    "branch": "main",
    "currency": "USD",
    "goods": _usd("85.20"),
    "charges": _usd("0.00"),
    "gap": {"share": "0.000000", "cost": _usd("85.20"), "bound": _usd("85.20"), "could_save": _usd("0.00")},
}
PLAN: dict[str, Any] = {
    **_PLAN_HEAD,
    "outdated": False,
    "orders": [],
    "placed_at": "2026-03-09T09:15:00Z",
    "settings": {"old_stock": "first", "fluids": "by_job"},
    "rounding": "by_line",
    "kits": [
        {"id": _KIT, "number": 4, "machine": "Resurfacer 1", "work_order": "J2", "fitted_on": "2026-04-13",
         "shelf": "2026-04-10"}
    ],
    "purchases": [
        {
            "supplier": "fenmoor", "supplier_name": "Fenmoor Engine & Pump", "supplier_number": None, "part": _FILTER,
            "content": None, "packs": 1, "pack": 6, "pieces": 6, "minimum": 6, "pack_price": _usd("85.20"),
            "cost": _usd("85.20"), "core": None, "spare": 5,
            "order_by": {"day": "2026-04-02", "instant": "2026-04-02T14:00:00Z"}, "arrives": "2026-03-13",
            "promised_from": None, "returnable": True,
        }
    ],
    "servings": [
        {"lines": [_LINE], "part": _FILTER, "content": None, "pieces": 1, "source": "order", "supplier": "fenmoor",
         "comes": "2026-03-13", "days_late": 0, "old_stock": False}
    ],
    "late": [
        {
            "lines": [{**_LINE, "line": 8}], "part": _VALVE, "content": None, "pieces": 1, "volume": None,
            "needed_by": "2026-04-10", "arrives": "2026-04-22", "promised_from": "2026-04-20",
            "ways": [{"way": "move_job", "words": "Move the job to after 2026-04-22.", "part": None}],
        }
    ],
    "cores": [],
    "old_stock": [
        {
            "part": _OLD_FILTER, "content": None, "instead_of": _FILTER, "free": 0, "allowed_on": ["Resurfacer 1"],
            "not_allowed_on": [], "without": {"need": 1, "short": 1, "order": 6},
            "with": {"need": 1, "short": 1, "order": 6}, "taken": 0,
            "words": "Nothing is swapped in a kit: settle the line with the earlier number before it is reserved.",
        }
    ],
    "fluids": [],
    "kit_or_loose": [],
    "reorder": [],
    "overpromised": [],
    "missing": [],
}  # fmt: skip
PLAN_PAGE = {"results": [_PLAN_HEAD], "next": None, "previous": None}

ORDER_OF_A_PLAN = {"plan": PLAN["id"], "suppliers": ["fenmoor"]}
ORDER_BODY = {
    "supplier": "fenmoor",
    "branch": "main",
    "lines": [{"part": {"maker": "VRD", "number": "0021-460"}, "packs": 1}],
}
_ORDER_HEAD: dict[str, Any] = {
    "id": "8e0c6f0b-53d5-4b53-9a6c-1d2e3f4a5b60",
    "number": 17,
    "supplier": "fenmoor",
    "supplier_name": "Fenmoor Engine & Pump",
    "branch": "main",
    "state": "placed",
    "plan": None,
    "currency": "USD",
    "rounding": "by_line",
    "goods": _usd("85.20"),
    "charge": _usd("0.00"),
    "total": _usd("85.20"),
    "core": None,
    "expected": "2026-03-13",
    "placed_at": "2026-03-09T09:15:00Z",
    "placed_by": "H. Orrin",
    "ended_at": None,
    "ended_by": None,
    "note": "",
}
ORDER: dict[str, Any] = {
    **_ORDER_HEAD,
    "lines": [
        {
            "line": 1, "part": _FILTER, "content": None, "supplier_number": None, "packs": 1, "pack": 6, "pieces": 6,
            "price": _usd("14.20"), "price_for": 1, "cost": _usd("85.20"), "core": None, "returnable": True,
            "expected": "2026-03-13", "received": 0,
            "meant_for": [
                {"kit": _KIT, "kit_number": 4, "line": 1, "machine": "Resurfacer 1", "pieces": 1, "kept": 0,
                 "volume": None}
            ],
        }
    ],
    "notes": [],
    "freed": [],
}  # fmt: skip
ORDER_PAGE = {"results": [_ORDER_HEAD], "next": None, "previous": None}
RECEIPT_BODY = {"lines": [{"line": 1, "pieces": 6, "bin": "A1"}]}
