"""The derived text a machine loads from in one query: the application it stands for, and its as-built positions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from catalog.domain.value_documents import MEDIUM_TEMPERATURE, pack_value, read_value
from catalog.models.facts import as_text
from catalog.models.machine import AsBuilt, FuelRecord, Machine


def machine_text(machine: Machine, records: Iterable[FuelRecord], as_built: Iterable[AsBuilt]) -> str:
    """`application` has the shape of a check's; who looked and who confirmed is no part of it: nothing rests on it."""
    spec = machine.specification
    return as_text(
        {
            "application": {
                "spec": None if spec is None else {"model": spec.model, "spec": spec.spec},
                "serial": machine.serial or None,
                "plate_fuels": machine.plate_fuels,
                "fuel_records": [_record(row) for row in records],
                "place_of_use": machine.place_of_use or None,
                "dusty": machine.dusty,
                "certified": machine.certified,
                "ecu": machine.ecu,
            },
            "as_built": [_as_built(row) for row in sorted(as_built, key=lambda row: row.position)],
            "line_demands": machine.line_demands,
        }
    )


def _record(row: FuelRecord) -> dict[str, Any]:
    return {
        "fuels": row.fuels,
        "mode": row.mode,
        "found_on": row.found_on.isoformat(),
        "conversion_paper": row.conversion_paper,
    }


def _as_built(row: AsBuilt) -> dict[str, Any]:
    """Nothing is said of media where none are recorded, so that such texts stay as they were."""
    media = sorted(map(_medium, row.media), key=as_text)
    return {
        "position": row.position,
        "category": row.category,
        "quantity": row.quantity,
        "branch": row.branch or None,
        "ports": sorted(([port["port"], port["fuel"], port["classes"]] for port in row.ports), key=as_text),
        "part": row.part_id,
        "removed": row.removed,
        **({"media": media} if media else {}),
    }


def _medium(stated: Mapping[str, Any]) -> list[Any]:
    """A medium in the packed form that the positions of a specification have."""
    window = stated["temperature"]
    packed = None if window is None else pack_value(read_value(window, MEDIUM_TEMPERATURE, pointer="/temperature"))
    return [stated["name"], packed, stated["dynamic"], stated["slot"]]
