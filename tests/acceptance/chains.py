"""The engines of the acceptance page as applications, for what replaces what on them."""

from __future__ import annotations

from typing import Any


def engine(model: str, spec: str, fuels: list[str], serial: str | None = None, **more: Any) -> dict[str, Any]:
    """An engine whose record of 2026-01-12 agrees with its plate."""
    record = {"fuels": fuels, "mode": "only_fuel", "found_on": "2026-01-12", "conversion_paper": None}
    known = {} if serial is None else {"serial": serial}
    spec_ = {"model": model, "spec": spec}
    return {"spec": spec_, **known, "plate_fuels": fuels, "fuel_records": [record], "certified": False, **more}


RESURFACER_1 = engine("VRD-H40", "S-118", ["lpg_liquid"], "118402", place_of_use="indoor")
TRUCK_7 = engine("VRD-H40", "S-131", ["lpg_liquid"], "131077", place_of_use="indoor")
PUMP_3 = engine("OLM-K55", "D-30A", ["diesel"], "204871", place_of_use="outdoor")
GENSET_NORTH = engine("TSK-R60", "N-43", ["natural_gas", "lpg_vapour"], "61622", place_of_use="outdoor")
GENSET_SOUTH = engine("TSK-R60", "N-43", ["lpg_vapour"], "61390", place_of_use="outdoor")


def walked(chain: list[dict[str, Any]]) -> list[str]:
    """The numbers of the steps that hold, in the order walked."""
    numbers: list[str] = []
    for step in chain:
        if step["holds"] == "yes":
            numbers += [member["part"]["number"] for side in ("from", "to") for member in step[side]]
    return list(dict.fromkeys(numbers))
