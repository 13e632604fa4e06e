"""The shelf of the trade notes' worked example as rows: Tallis Bridge, Fenmoor and the parts they trade in."""

from __future__ import annotations

from datetime import date
from typing import Any

from catalog.models import Maker, Part
from kits.models import CalendarDay, Incoming, StockBatch, StockItem, Supplier, SupplierPrice, WorkCalendar
from service.operations.models import Branch, Dealer

CLOSED = (date(2026, 4, 3), date(2026, 4, 6))
# number: category, on hand, reserved, pack, minimum, lead in working days, price in ten-thousandths of a dollar. The
# prices are the notes' where they state one (filter, plug, air, lock-off, PCV); that of TSK 1102 is invented.
SHELF: dict[tuple[str, str], tuple[str, int, int, int, int | None, int]] = {
    ("VRD", "0021-460"): ("oil_filter", 5, 2, 6, 4, 142_000),
    ("VRD", "4410-12"): ("spark_plug", 20, 8, 4, 4, 94_000),
    ("VRD", "2051"): ("air_filter", 4, 0, 1, 4, 315_000),
    ("VRD", "6611"): ("button_filter", 0, 0, 2, 7, 278_000),
    ("VRD", "3307"): ("pcv_valve", 0, 0, 1, None, 186_000),
    ("TSK", "1102"): ("oil_filter", 1, 0, 1, 10, 168_000),
}
BACK_ORDER = date(2026, 4, 22)


def part(maker: str, number: str, category: str = "oil_filter", **fields: Any) -> Part:
    """The part of that number, made where the catalogue lacks it."""
    made, _ = Maker.objects.get_or_create(code=maker, defaults={"name": maker})
    found = Part.objects.filter(maker=made, number=number).first()
    return found or Part.objects.create(maker=made, number=number, category=category, **fields)


def main_branch(dealer: Dealer) -> Branch:
    return Branch.objects.get(dealer=dealer, code="main")


def other_branch(dealer: Dealer) -> Branch:
    return Branch.objects.create(dealer=dealer, code="quay", name="Tallis Quay", zone="Europe/Paris", currency="USD")


def calendar(dealer: Dealer, code: str, **fields: Any) -> WorkCalendar:
    """The days of 2026, with the two closed days of the example."""
    made = WorkCalendar.objects.create(
        dealer=dealer, code=code, name=code.title(), first_year=2026, last_year=2026, **fields
    )
    CalendarDay.objects.bulk_create(CalendarDay(calendar=made, date=day) for day in CLOSED)
    return made


def fenmoor(dealer: Dealer, **fields: Any) -> Supplier:
    shown = {"name": "Fenmoor Engine & Pump", "zone": "Europe/Paris", "currency": "USD"}
    return Supplier.objects.create(dealer=dealer, code="fenmoor", **{**shown, **fields})


def item(branch: Branch, one: Part, *counts: tuple[int, int], **fields: Any) -> StockItem:
    """A stock item with a bin for each pair of on hand and reserved."""
    made = StockItem.objects.create(dealer=branch.dealer, branch=branch, part=one, **fields)
    for place, (on_hand, reserved) in enumerate(counts, start=1):
        StockBatch.objects.create(item=made, bin=f"A{place}", on_hand=on_hand, reserved=reserved)
    return made


def priced(supplier: Supplier, one: Part, ticks: int, **fields: Any) -> SupplierPrice:
    return SupplierPrice.objects.create(supplier=supplier, part=one, price=ticks, currency="USD", **fields)


def example(dealer: Dealer) -> tuple[Part, ...]:
    """All of the example for a dealer whose branch has its closed dates: stock, supplier and prices."""
    branch = main_branch(dealer)
    supplier = fenmoor(dealer, calendar=calendar(dealer, "fenmoor"))
    parts = []
    for (maker, number), (category, on_hand, reserved, pack, lead, ticks) in SHELF.items():
        one = part(maker, number, category)
        held = item(branch, one, (on_hand, reserved))
        promise = {} if lead else {"promised_earliest": BACK_ORDER, "promised_latest": BACK_ORDER}
        priced(supplier, one, ticks, pack=pack, minimum=pack, lead_days=lead, **promise)
        parts.append(one)
        if number == "2051":
            Incoming.objects.create(item=held, quantity=2, assigned=2, promised_latest=None)
    return tuple(parts)
