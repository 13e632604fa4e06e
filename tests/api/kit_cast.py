"""What the tests of kits share: Resurfacer 1 and its 500 h service, a shelf at the branch, prices at Fenmoor."""

from __future__ import annotations

from datetime import date
from itertools import count
from typing import Any

from catalog.models import Part
from kits.models import PartHandling, StockBatch, StockItem, Supplier, SupplierPrice
from service.operations.models import Branch, Dealer
from tests.api.approving import machine_named
from tests.api.world import Desk

NUMBERS = count(1)
LITRE = 1_000_000
KIT_500: dict[tuple[str, str], int] = {
    ("spark_plug", "4410-12"): 4, ("oil_filter", "0021-460"): 1, ("air_element", "2051"): 1,
    ("lock_off_filter", "6611"): 1, ("lockoff_o_ring", "6612"): 1, ("pcv_valve", "3307"): 1,
    ("drain_washer", "1001"): 1,
}  # fmt: skip


def key() -> dict[str, str]:
    return {"Idempotency_Key": f"kit-{next(NUMBERS)}"}


def built(desk: Desk, machine: str = "Resurfacer 1", **more: Any) -> dict[str, Any]:
    """A kit for the machine's 500 h service where nothing else is said."""
    response = build(desk, machine, **more)
    assert response.status_code == 201, response.content
    answer: dict[str, Any] = response.json()
    return answer


def build(desk: Desk, machine: str = "Resurfacer 1", **more: Any) -> Any:
    body: dict[str, Any] = {"machine": machine_named(desk, machine), **more}
    if not {"level", "tasks", "due_within"} & set(more):
        body["level"] = "500"
    return desk.post("/kits/", body, **key())


def step(desk: Desk, kit: dict[str, Any], name: str, body: Any = None) -> Any:
    return desk.post(f"/kits/{kit['id']}/{name}/", body or {}, **key())


def done(desk: Desk, kit: dict[str, Any], name: str, body: Any = None) -> dict[str, Any]:
    """What a step that is in order answers."""
    response = step(desk, kit, name, body)
    assert response.status_code == 200, response.content
    answer: dict[str, Any] = response.json()
    return answer


def line_at(kit: dict[str, Any], position: str | None) -> dict[str, Any]:
    found: dict[str, Any] = next(line for line in kit["lines"] if line["position"] == position)
    return found


def amounts(kit: dict[str, Any]) -> dict[tuple[str, str | None], Any]:
    return {(line["position"], (line["part"] or {}).get("number")): line["quantity"] for line in kit["lines"]}


def part(number: str, maker: str = "VRD") -> Part:
    return Part.objects.get(maker__code=maker, number=number)


def shelve(
    dealer: Dealer, number: str, pieces: int, *, bin_: str = "A-1", maker: str = "VRD", **more: Any
) -> StockBatch:
    """Pieces of a part in a bin of the dealer's branch."""
    columns = {name: more.pop(name) for name in ("content", "ages") if name in more}
    item, _ = StockItem.objects.get_or_create(
        dealer=dealer, branch=Branch.objects.get(dealer=dealer), part=part(number, maker),
        content=columns.get("content"), defaults={"ages": columns.get("ages", False)},
    )  # fmt: skip
    return StockBatch.objects.create(item=item, bin=bin_, on_hand=pieces, **more)


def full_shelf(dealer: Dealer, pieces: int = 10, oil: int = 3) -> None:
    """Enough of everything that the 500 h service takes."""
    for _, number in KIT_500:
        shelve(dealer, number, pieces)
    price(dealer, "9105", "34.50", content=5 * LITRE)
    shelve(dealer, "9105", oil, content=5 * LITRE)


def price(dealer: Dealer, number: str, amount: str, *, maker: str = "VRD", currency: str = "USD", **more: Any) -> None:
    """What Fenmoor asks for one."""
    whole, _, rest = amount.partition(".")
    fenmoor, _ = Supplier.objects.get_or_create(
        dealer=dealer, code="fenmoor",
        defaults={"name": "Fenmoor Engine & Pump", "zone": "Europe/Paris", "currency": "USD"},
    )  # fmt: skip
    ticks = int(whole) * 10_000 + int(rest.ljust(4, "0") or 0)
    SupplierPrice.objects.create(supplier=fenmoor, part=part(number, maker), price=ticks, currency=currency, **more)


def handle(dealer: Dealer, number: str, *, maker: str = "VRD", **columns: Any) -> None:
    PartHandling.objects.update_or_create(dealer=dealer, part=part(number, maker), defaults=columns)


def on_hand(number: str) -> tuple[int, int]:
    """Pieces on hand and reserved, in all bins."""
    rows = StockBatch.objects.filter(item__part__number=number)
    return sum(row.on_hand for row in rows), sum(row.reserved for row in rows)


def day(text: str) -> date:
    return date.fromisoformat(text)
