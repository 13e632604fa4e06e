"""The week of Monday 13 April 2026 at Tallis Bridge, as the trade notes work it through (trade notes, section 5).

Prices of loose parts are those of the notes where they state one; that of the gas filter is invented.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from typing import Any

from catalog.models import Part
from kits.models import CalendarDay, Kit, StockBatch, StockItem, Supplier, SupplierPrice, WorkCalendar
from service.operations.models import Branch, Dealer
from tests.api.world import Desk
from tests.kits_at_hand import Takes, kit_of

SERVICE, SHELF = date(2026, 4, 13), date(2026, 4, 10)
CLOSED = (date(2026, 4, 3), date(2026, 4, 6))
LITRE = 1_000_000  # microlitres
OIL = Takes("engine_oil", "VRD", "9105", 4_300_000, 5 * LITRE)
AT_250 = (Takes("oil_filter", "VRD", "0021-460"), Takes("drain_washer", "VRD", "1001"), OIL)
AT_500 = (
    *AT_250,
    Takes("spark_plug", "VRD", "4410-12", 4),
    Takes("air_element", "VRD", "2051"),
    Takes("lock_off_filter", "VRD", "6611"),
    Takes("lockoff_o_ring", "VRD", "6612"),
    Takes("pcv_valve", "VRD", "3307"),
)
JOBS = {
    "J2": ("Resurfacer A", "Resurfacer B"),
    "J3": ("Genset",),
    "J4": ("Lift truck 1", "Lift truck 2", "Lift truck 3", "Lift truck 4"),
}
GENSET = (Takes("oil_filter", "TSK", "1102", 2),)


@dataclass(frozen=True, slots=True)
class Week:
    """The kits by machine, and the dealer whose stock and prices stand as in the notes."""

    dealer: Dealer
    kits: dict[str, Kit]

    def asked(self, *without: str) -> dict[str, Any]:
        """The kits and the jobs they are of, as a plan is asked."""
        kits = {name: str(kit.pk) for name, kit in self.kits.items() if name not in without}
        jobs = [{"name": job, "kits": [kits[name] for name in names if name in kits]} for job, names in JOBS.items()]
        return {"kits": list(kits.values()), "jobs": jobs}


def april_week(desk: Desk, dealer: Dealer) -> Week:
    """J2 two resurfacers, J3 one genset, J4 four trucks, two of them at 250 h."""
    branch = Branch.objects.get(dealer=dealer)
    fenmoor = supplier(dealer, branch)
    shelves(branch)
    prices(fenmoor)
    engines = {
        "Resurfacer A": ("S-118", "118402", AT_500),
        "Resurfacer B": ("S-118", "118377", AT_500),
        "Lift truck 1": ("S-131", "131001", AT_250),
        "Lift truck 3": ("S-131", "131003", AT_500),
        "Lift truck 4": ("S-131", "131004", AT_500),
        "Lift truck 2": ("S-131", "131002", AT_250),
    }
    kits = {}
    for name, (spec, serial, takes) in engines.items():
        machine = engine(desk, name, ("VRD-H40", spec, serial), fuel="lpg_liquid", place="indoor")
        kits[name] = kit_of(desk, machine, takes, fitted_on=SERVICE)
    genset = engine(desk, "Genset J3", ("TSK-R60", "N-43", "61640"), fuel="natural_gas", place="outdoor")
    kits["Genset"] = kit_of(desk, genset, GENSET, fitted_on=SERVICE)
    return Week(dealer, kits)


def engine(desk: Desk, name: str, build: tuple[str, str, str], *, fuel: str, place: str) -> str:
    """A machine of that model, specification and serial whose fuel record of 12 January agrees with its plate."""
    model, spec, serial = build
    body = {
        "name": name, "spec": {"model": model, "spec": spec}, "serial": serial, "plate_fuels": [fuel],
        "place_of_use": place, "certified": False,
    }  # fmt: skip
    made: str = desk.made("/machines/", body)["id"]
    record = {"fuels": [fuel], "mode": "burns_today", "found_on": "2026-01-12", "by": "J. Haverill",
              "evidence": "looked at the fuel line", "conversion_paper": False}  # fmt: skip
    desk.made(f"/machines/{made}/fuel-records/", record)
    return made


def supplier(dealer: Dealer, branch: Branch) -> Supplier:
    """Fenmoor and the shop, both closed on 3 and 6 April, of which neither is taken to be a public holiday."""
    WorkCalendar.objects.create(dealer=dealer, branch=branch, code="shop", name="shop", first_year=2026, last_year=2026)
    days = WorkCalendar.objects.create(dealer=dealer, code="fenmoor", name="Fenmoor", first_year=2026, last_year=2026)
    CalendarDay.objects.bulk_create(CalendarDay(calendar=days, date=day) for day in CLOSED)
    return Supplier.objects.create(
        dealer=dealer, code="fenmoor", name="Fenmoor Engine & Pump", zone="Europe/Paris", cut_off=time(16),
        currency="USD", calendar=days,
    )  # fmt: skip


def shelves(branch: Branch) -> None:
    on_hand = {
        ("VRD", "0021-460"): (5, 2, None), ("VRD", "4410-12"): (20, 8, 8), ("VRD", "2051"): (4, 0, None),
        ("VRD", "6611"): (0, 0, None), ("TSK", "1102"): (1, 0, None), ("VRD", "0021-450"): (4, 0, None),
    }  # fmt: skip
    for (maker, number), (pieces, reserved, point) in on_hand.items():
        item = stock(branch, part(maker, number), pieces, reserved)
        StockItem.objects.filter(pk=item.pk).update(reorder_point=point)


def stock(branch: Branch, of: Part, pieces: int, reserved: int = 0) -> StockItem:
    item = StockItem.objects.create(dealer=branch.dealer, branch=branch, part=of)
    StockBatch.objects.create(item=item, bin="A1", on_hand=pieces, reserved=reserved)
    return item


def prices(fenmoor: Supplier) -> None:
    rows: dict[tuple[str, str], tuple[str, int, int]] = {  # price of a piece, pack, lead in working days
        ("VRD", "0021-460"): ("14.20", 6, 4), ("VRD", "4410-12"): ("9.40", 4, 4), ("VRD", "2051"): ("31.50", 1, 4),
        ("VRD", "6611"): ("27.80", 2, 7), ("TSK", "1102"): ("16.00", 1, 10), ("VRD", "6612"): ("1.90", 1, 4),
        ("VRD", "1001"): ("0.85", 1, 4),
    }  # fmt: skip
    for (maker, number), (each, pack, lead) in rows.items():
        price(fenmoor, part(maker, number), each, pack=pack, minimum=pack, lead_days=lead)
    back = {"promised_earliest": date(2026, 4, 20), "promised_latest": date(2026, 4, 22)}
    price(fenmoor, part("VRD", "3307"), "18.60", **back)
    for content, each in ((LITRE, "8.90"), (5 * LITRE, "34.50"), (20 * LITRE, "118.00")):
        price(fenmoor, part("VRD", "9105"), each, content=content, lead_days=4)


def price(fenmoor: Supplier, of: Part, each: str, **more: Any) -> SupplierPrice:
    """`each` is for one piece or container unless `price_for` says otherwise."""
    ticks = int(Decimal(each) * 10_000)
    fields = {"currency": "USD", **more}
    return SupplierPrice.objects.create(supplier=fenmoor, part=of, price=ticks, **fields)


def part(maker: str, number: str) -> Part:
    return Part.objects.get(maker__code=maker, number=number)
