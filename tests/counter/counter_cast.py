"""What the tests of counter answers share: the demo's dealer with a shelf, and asking about the resurfacer's filter."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any

from catalog.models import Part
from kits.models import Incoming, StockBatch, StockImport, StockItem
from service.operations.models import Branch, Dealer
from tests.acceptance.chains import RESURFACER_1
from tests.api.world import Desk
from tests.stock.rows import item, main_branch

OLD, NEW, BEFORE = "0021-450", "0021-460", "0021-440"


def filter_named(number: str, maker: str = "VRD") -> Part:
    return Part.objects.get(maker__code=maker, number=number)


def at_counter(desk: Desk, body: Mapping[str, Any], query: str = "") -> dict[str, Any]:
    """The counter answer to a question that is in order."""
    response = desk.post(f"/counter-answers/{query}", body)
    assert response.status_code == 201, response.content
    answer: dict[str, Any] = response.json()
    return answer


def asked(desk: Desk, number: str = NEW, application: Mapping[str, Any] = RESURFACER_1, **more: Any) -> dict[str, Any]:
    """About an oil filter of Veredin's, on Resurfacer 1 where nothing else is said."""
    return at_counter(desk, {"candidate": {"maker": "VRD", "number": number}, "application": application, **more})


def on_shelf(
    branch: Branch, part: Part, on_hand: int, reserved: int = 0, bin_: str = "C-3", **fields: Any
) -> StockItem:
    made = item(branch, part, **fields)
    StockBatch.objects.create(item=made, bin=bin_, on_hand=on_hand, reserved=reserved)
    return made


def four_old_filters(dealer: Dealer) -> StockItem:
    """Four 0021-450 in bin C-3; of 0021-460 none, and six on their way for Thursday 2 April."""
    branch = main_branch(dealer)
    current, day = item(branch, filter_named(NEW)), date(2026, 4, 2)
    Incoming.objects.create(item=current, quantity=6, promised_earliest=day, promised_latest=day)
    return on_shelf(branch, filter_named(OLD), 4)


def applied(dealer: Dealer, on: date, table: str = "stock", feed: str = "nightly") -> StockImport:
    """A file of that day, applied at five in the morning after it."""
    at = datetime(on.year, on.month, on.day + 1, 3, 0, tzinfo=UTC)
    return StockImport.objects.create(
        dealer=dealer, feed=feed, table=table, file_name="stock.csv", sha256="0" * 64, supplied_on=on, state="applied",
        created_at=at, applied_at=at,
    )  # fmt: skip


def numbers(entries: list[dict[str, Any]]) -> list[str]:
    return [entry["part"]["number"] for entry in entries]
