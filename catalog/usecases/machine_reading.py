"""Customers and machines as they are shown to their dealer."""

from __future__ import annotations

from typing import Any

from catalog.models import AsBuilt, Customer, FuelRecord, Machine
from catalog.usecases.machine_writing import as_built_row


def customer_document(row: Customer) -> dict[str, Any]:
    return {"id": str(row.pk), "name": row.name, "status": row.status}


def machine_head(row: Machine) -> dict[str, Any]:
    """What a list shows of a machine; specification and customer have to be loaded with it."""
    spec, customer = row.specification, row.customer
    return {
        "id": str(row.pk),
        "name": row.name,
        "customer": None if customer is None else customer_document(customer),
        "spec": None if spec is None else {"model": spec.model, "spec": spec.spec},
        "serial": row.serial or None,
        "plate_fuels": row.plate_fuels,
        "place_of_use": row.place_of_use or None,
        "dusty": row.dusty,
        "certified": row.certified,
        "ecu": row.ecu,
        "status": row.status,
    }


def machine_page(row: Machine) -> dict[str, Any]:
    """A machine with what it was found burning and how it was rebuilt."""
    built = row.as_built.select_related("part__maker").order_by("position")
    return {
        **machine_head(row),
        "fuel_records": [record_document(record) for record in row.fuel_records.all()],
        "as_built": [as_built_document(standing) for standing in built],
    }


def record_document(row: FuelRecord) -> dict[str, Any]:
    confirmed = {
        "name": row.confirmed_name,
        "licence": row.confirmed_licence,
        "area": row.confirmed_area,
        "expires": row.confirmed_expires and row.confirmed_expires.isoformat(),
        "on": row.confirmed_on and row.confirmed_on.isoformat(),
    }
    return {
        "id": row.pk,
        "fuels": row.fuels,
        "mode": row.mode,
        "found_on": row.found_on.isoformat(),
        "by": row.by or None,
        "evidence": row.evidence or None,
        "conversion_paper": row.conversion_paper,
        "confirmed_by": confirmed if row.confirmed_name else None,
    }


def as_built_document(row: AsBuilt) -> dict[str, Any]:
    """As it was stated, the part with its id and name."""
    part = row.part
    shown = None if part is None else {
        "id": part.pk, "maker": part.maker.code, "number": part.number, "name": part.name
    }  # fmt: skip
    return {**as_built_row(row), "part": shown}
