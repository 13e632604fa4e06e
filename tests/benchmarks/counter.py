"""What a counter answer costs beside the check inside it: with nothing else on the shelf, and with a shelf of filters.

The aims are this project's own: a clerk waits for one answer, so a few checks' time is nothing, and twelve alternatives
weighed and priced may not cost as many checks one by one would.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from catalog.models import Part
from kits.models import StockBatch, StockItem, Supplier, SupplierPrice
from service.operations.models import Branch
from tests.acceptance.chains import RESURFACER_1
from tests.benchmarks.measuring import Row, interleaved
from tests.benchmarks.served import served

BODY: dict[str, Any] = {"candidate": {"maker": "VRD", "number": "0021-460"}, "application": RESURFACER_1}
BARE, STOCKED = 6.0, 12.0
REPEAT = 10


def measure() -> list[Row]:
    with served() as post:
        sides = {"check": post("/api/v1/checks/", BODY), "counter": post("/api/v1/counter-answers/", BODY)}
        bare = interleaved(sides, repeat=REPEAT)
        filters = list(Part.objects.filter(category="oil_filter").order_by("pk"))
        _lay(filters)
        stocked = interleaved(sides, repeat=REPEAT)
    return [
        _row("counter, one part", bare, BARE),
        _row(f"counter, {len(filters)} of its category", stocked, STOCKED),
    ]


def _row(name: str, taken: dict[str, float], aim: float) -> Row:
    ratio = taken["counter"] / taken["check"]
    beside = {f"{side} us": time for side, time in taken.items()}
    return Row(name, ratio, "of its check", f"<= {aim}", ratio <= aim, beside)


def _lay(parts: Iterable[Part]) -> None:
    """Three of each in a bin, with a counter price and a supplier's."""
    branch = Branch.objects.get(dealer__code="tallis-bridge")
    supplier = Supplier.objects.create(
        dealer=branch.dealer, code="fenmoor", name="Fenmoor Engine & Pump", zone="Europe/Paris", currency="USD"
    )
    for part in parts:
        item = StockItem.objects.create(
            dealer=branch.dealer, branch=branch, part=part, counter_price=142_000, counter_currency="USD"
        )
        StockBatch.objects.create(item=item, bin="C-3", on_hand=3)
        SupplierPrice.objects.create(supplier=supplier, part=part, price=100_000, currency="USD", lead_days=4)
