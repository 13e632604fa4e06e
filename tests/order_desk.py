"""Fenmoor sells filters, plugs and oil to Tallis Bridge; what its orders, receipts and kits look like in tests."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import pytest

from kits.models import Kit, StockItem, Supplier
from service.operations.models import Branch, Dealer
from tests.api.world import Desk
from tests.april_week import LITRE, engine, part, price, supplier
from tests.desks import Clock
from tests.kits_at_hand import Takes, kit_of

FILTER = {"maker": "VRD", "number": "0021-460"}
PLUG = {"maker": "VRD", "number": "4410-12"}
OIL = {"maker": "VRD", "number": "9105"}
FITTED_ON = date(2026, 4, 13)


@dataclass(slots=True)
class Shop:
    """A branch with one supplier; every order gets a key of its own."""

    desk: Desk
    branch: Branch
    fenmoor: Supplier
    asked: int = 0

    def post(self, address: str, body: Any) -> Any:
        self.asked += 1
        return self.desk.post(address, body, Idempotency_Key=f"k{self.asked}")

    def order(self, *lines: dict[str, Any], **more: Any) -> dict[str, Any]:
        return self.done("/orders/", {"supplier": "fenmoor", "lines": list(lines), **more})

    def done(self, address: str, body: Any) -> dict[str, Any]:
        response = self.post(address, body)
        assert response.status_code in (200, 201), response.content
        answer: dict[str, Any] = response.json()
        return answer

    def refused(self, address: str, body: Any) -> tuple[int, str, list[str]]:
        """Status, code, and where."""
        response = self.post(address, body)
        answer = response.json()
        return response.status_code, answer["code"], [entry["pointer"] for entry in answer.get("errors", [])]

    def plan(self, *kits: Kit, **more: Any) -> dict[str, Any]:
        return self.desk.made("/order-plans/", {"kits": [str(kit.pk) for kit in kits], "seconds": 0, **more})

    def kit(self, name: str, serial: str, *takes: Takes, fitted_on: date = FITTED_ON) -> Kit:
        machine = engine(self.desk, name, ("VRD-H40", "S-131", serial), fuel="lpg_liquid", place="indoor")
        return kit_of(self.desk, machine, takes, fitted_on=fitted_on)


def filters(pieces: int = 1) -> Takes:
    return Takes("oil_filter", "VRD", "0021-460", pieces)


PLUGS = Takes("spark_plug", "VRD", "4410-12", 4)


@pytest.fixture
def shop(desk: Desk, tallis_bridge: Dealer, clock: Clock) -> Shop:
    """Filters in sixes at 14.20, plugs in fours at 9.40, oil in 5 L at 34.50; it takes none of the filters back."""
    branch = Branch.objects.get(dealer=tallis_bridge)
    fenmoor = supplier(tallis_bridge, branch)
    price(fenmoor, part("VRD", "0021-460"), "14.20", pack=6, minimum=12, lead_days=4, returnable=False)
    price(fenmoor, part("VRD", "4410-12"), "9.40", pack=4, lead_days=4, returnable=True)
    price(fenmoor, part("VRD", "9105"), "34.50", content=5 * LITRE, lead_days=4)
    return Shop(desk, branch, fenmoor)


def shelf(shop: Shop, number: str) -> StockItem:
    return StockItem.objects.get(branch=shop.branch, part__maker__code="VRD", part__number=number)


def counted(shop: Shop, number: str) -> dict[str, int]:
    """What lies at the branch of a number, what of it is promised, what is on its way, and what of that is meant."""
    item = shelf(shop, number)
    batches, coming = list(item.batches.all()), list(item.incoming.all())
    return {
        "on_hand": sum(one.on_hand for one in batches),
        "reserved": sum(one.reserved for one in batches),
        "incoming": sum(one.quantity for one in coming),
        "assigned": sum(one.assigned for one in coming),
    }
