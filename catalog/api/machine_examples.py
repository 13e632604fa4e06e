"""Worked examples of customers and machines, invented, for the API's description."""

from __future__ import annotations

from typing import Any


def page(*entries: dict[str, Any]) -> dict[str, Any]:
    return {"results": list(entries), "next": None, "previous": None}


CUSTOMER_BODY = {"name": "Cold Ash Ice Hall"}
CUSTOMER = {"id": "3b2a9a55-43d4-4a52-9d4e-9d4c3f1f0c11", "name": "Cold Ash Ice Hall", "status": "active"}
CUSTOMER_PAGE = page(CUSTOMER)
FUEL_RECORD_BODY = {
    "fuels": ["lpg_vapour"],
    "mode": "only_fuel",
    "found_on": "2024-05-06",
    "by": "J. Haverill",
    "evidence": "natural-gas line capped, photo with work order 4471",
    "conversion_paper": False,
}
FUEL_RECORD = {"id": 3, **FUEL_RECORD_BODY, "confirmed_by": None}
FUEL_RECORD_PAGE = page(FUEL_RECORD)
AS_BUILT_BODY: dict[str, Any] = {
    "position": "vaporiser",
    "category": "regulator",
    "branch": "lpg_vapour",
    "ports": [{"port": "inlet", "fuel": "lpg_vapour", "classes": ["LPG-CV"]}],
    "media": [{"name": "lpg_vapour", "slot": "fuel_side", "temperature": None, "dynamic": None}],
    "described": {"maker_text": "no name", "number_text": "R 2 1/2"},
    "source": {"kind": "record", "citation": "looked at on 2024-05-06"},
}
AS_BUILT = {**AS_BUILT_BODY, "quantity": 1, "part": None, "removed": False}
AS_BUILT_PAGE = page(AS_BUILT)
MACHINE_BODY: dict[str, Any] = {
    "name": "Genset South",
    "customer": CUSTOMER["id"],
    "spec": {"model": "TSK-R60", "spec": "N-43"},
    "serial": "61390",
    "plate_fuels": ["natural_gas"],
    "place_of_use": "outdoor",
    "certified": False,
}
_HEAD = {
    "id": "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5e70",
    **MACHINE_BODY,
    "customer": CUSTOMER,
    "dusty": None,
    "ecu": None,
    "status": "active",
}
MACHINE_PAGE = page(_HEAD)
MACHINE = {**_HEAD, "fuel_records": [FUEL_RECORD], "as_built": [AS_BUILT]}
