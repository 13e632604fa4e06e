"""The machine that a kit is for, as far as kits read it, with the plan that its file names."""

from __future__ import annotations

from functools import cache
from uuid import UUID

from catalog.loading.written import Written, written
from catalog.models import Customer, EngineSpecification, Machine
from service.operations.models import Dealer


def kit_machine(dealer: Dealer, number: UUID) -> tuple[Machine, UUID | None] | None:
    """None where this dealer has no such machine; one statement."""
    found = _machine().rows(dealer.pk, number)
    if not found:
        return None
    ((name, serial, status, customer, customer_name, specification, model, spec, cylinders, heads, plan),) = found
    machine = Machine(
        id=number, dealer=dealer, name=name, serial=serial, status=status,
        customer=None if customer is None else Customer(id=customer, name=customer_name),
        specification=None if specification is None else EngineSpecification(
            id=specification, model=model, spec=spec, cylinders=cylinders, heads=heads
        ),
    )  # fmt: skip
    return machine, plan


@cache
def _machine() -> Written:
    customer, engine = ("customer", "customer__name"), ("model", "spec", "cylinders", "heads")
    columns = ("name", "serial", "status", *customer, "specification", *(f"specification__{name}" for name in engine))
    rows = Machine.objects.filter(dealer=UUID(int=0)).filter(pk=UUID(int=0))
    return written(rows.values_list(*columns, "service_file__plan"), 2)
