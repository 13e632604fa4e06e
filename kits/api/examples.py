"""Examples of calendars, suppliers, prices, stock and handling for the API's description."""

from __future__ import annotations

from typing import Any

_CALENDAR_ID = "2f1c6f1e-2f0e-4a3a-8a51-8f0d4d7f9a10"
CALENDAR_BODY: dict[str, Any] = {"code": "fenmoor", "name": "Fenmoor", "first_year": 2026, "last_year": 2026}
CALENDAR: dict[str, Any] = {
    "id": _CALENDAR_ID,
    **CALENDAR_BODY,
    "branch": None,
    "country": None,
    "subdivision": None,
    "worked_weekdays": [1, 2, 3, 4, 5],
}
CALENDAR_PAGE: dict[str, Any] = {"results": [CALENDAR], "next": None, "previous": None}
DAY: dict[str, Any] = {"date": "2026-04-03", "closed": True, "reason": "Spring stocktaking"}
DAY_PAGE: dict[str, Any] = {"results": [DAY], "next": None, "previous": None}
SUPPLIER_BODY: dict[str, Any] = {
    "code": "fenmoor",
    "name": "Fenmoor Engine & Pump",
    "zone": "Europe/Paris",
    "currency": "USD",
    "calendar": _CALENDAR_ID,
}
SUPPLIER: dict[str, Any] = {
    "id": "8c1f9f42-58e6-4a53-b1b0-0d1a5f7b2c44",
    **SUPPLIER_BODY,
    "cut_off": None,
    "order_charge": None,
    "minimum_value": None,
    "status": "active",
}
SUPPLIER_PAGE: dict[str, Any] = {"results": [SUPPLIER], "next": None, "previous": None}
_PART: dict[str, Any] = {"id": 41, "maker": "VRD", "number": "0021-460", "name": "Oil filter"}
PRICE_BODY: dict[str, Any] = {
    "supplier": "fenmoor",
    "part": {"maker": "VRD", "number": "0021-460"},
    "price": {"amount": "14.20", "currency": "USD"},
    "pack": 6,
    "minimum": 6,
    "lead_days": 4,
}
PRICE: dict[str, Any] = {
    **PRICE_BODY,
    "id": 7,
    "part": _PART,
    "content": None,
    "supplier_number": "",
    "price_for": 1,
    "promised": None,
    "core_charge": None,
    "returnable": None,
    "import": None,
}
PRICE_PAGE: dict[str, Any] = {"results": [PRICE], "next": None, "previous": None}
ITEM_BODY: dict[str, Any] = {
    "branch": "main",
    "part": {"maker": "VRD", "number": "0021-460"},
    "counter_price": {"amount": "18.90", "currency": "USD"},
    "batches": [{"bin": "A3-2", "on_hand": 5}],
}
ITEM: dict[str, Any] = {
    "id": 12,
    "branch": "main",
    "part": _PART,
    "content": None,
    "counter_price": {"amount": "18.90", "currency": "USD"},
    "ages": False,
    "reorder_point": None,
    "as_of": "2026-03-09",
    "on_hand": 5,
    "reserved": 2,
    "free": 3,
    "incoming": 0,
    "batches": [
        {
            "bin": "A3-2", "date_code": None, "expires": None, "on_hand": 5, "reserved": 2, "never_free": None,
            "overpromised": 0,
        }
    ],
    "on_order": [],
}  # fmt: skip
ITEM_PAGE: dict[str, Any] = {"results": [ITEM], "next": None, "previous": None}
HANDLING_BODY: dict[str, Any] = {"part": {"maker": "VRD", "number": "0021-460"}, "transport": "article"}
HANDLING: dict[str, Any] = {
    "id": 3,
    "part": _PART,
    "transport": "article",
    "un_number": None,
    "sheet_revision": None,
    "nature": "plain",
    "fitted_by_licence": None,
}
HANDLING_PAGE: dict[str, Any] = {"results": [HANDLING], "next": None, "previous": None}
