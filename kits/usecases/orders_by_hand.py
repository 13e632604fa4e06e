"""An order of lines as somebody has them: whole packs at recorded or agreed prices, refused rather than raised."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from catalog import loading
from catalog.models import Part, Status
from catalog.usecases.asked import named_part
from catalog.usecases.part_finding import PartFinder
from catalog.usecases.refusals import Gathered
from kits.domain.containers import MICROLITRES
from kits.domain.money import Money, money
from kits.domain.order_lines import Packing, check_minimum, packs_of
from kits.models import Supplier, SupplierPrice
from kits.usecases.branch_supply import branch_supply
from kits.usecases.branches import branch_meant
from kits.usecases.order_drafts import LineDraft, OrderDraft, recorded_line
from kits.usecases.order_goods import litres, offers_of
from kits.usecases.orders_from_plans import arrival_of
from kits.usecases.supplier_writing import UnknownSupplier, supplier_named
from service.errors import DomainError, Invalid
from service.operations.models import Branch, Dealer

Body = Mapping[str, Any]
Size = tuple[int, int | None]  # a part's id, and the microlitres of a container of it


def free_draft(body: Body, *, dealer: Dealer, now: datetime) -> OrderDraft:
    """The order of a body with supplier and lines. Raises all that is wrong with its lines at once.

    Numbers of pieces that are no whole packs, and less than the supplier's minimum, are refused with what would do:
    nobody buys what nobody asked for.
    """
    problems = Gathered()
    found: dict[str, Any] = {}
    with problems.each():
        found["branch"] = branch_meant(dealer, body.get("branch"))
    with problems.each():
        found["supplier"] = _supplier(dealer, body["supplier"])
    parts = _parts(body["lines"], problems)
    problems.tell()
    supplier, branch = found["supplier"], found["branch"]
    sizes = [(part.pk, _content(row)) for part, row in zip(parts, body["lines"], strict=True)]
    prices = _prices(supplier, parts)
    arrivals, missing = _arrivals(branch, parts, now)
    lines: list[LineDraft] = []
    for place, (row, part, size) in enumerate(zip(body["lines"], parts, sizes, strict=True)):
        with problems.each():
            _refuse_twice(sizes, place, part)
            lines.append(_line(row, part, prices.get(size), arrivals, f"/lines/{place}"))
    problems.tell()
    return OrderDraft(supplier, branch, tuple(lines), notes=missing)


def _supplier(dealer: Dealer, code: str) -> Supplier:
    found = supplier_named(dealer, code)
    if found.status != Status.ACTIVE:
        raise UnknownSupplier(f"{found.name} is withdrawn; order from another.", pointer="/supplier")
    return found


def _parts(lines: Sequence[Body], problems: Gathered) -> list[Part]:
    """The parts named, one for each line, in two statements."""
    names = [named_part(row["part"], f"/lines/{place}/part") for place, row in enumerate(lines)]
    finder = PartFinder(names, loading.standing().stamp)
    ids = []
    for name in names:
        with problems.each():
            ids.append(finder.find_live(name).id)
    rows = Part.objects.select_related("maker").defer("facts").in_bulk(ids)
    return [rows[number] for number in ids]


def _content(row: Body) -> int | None:
    told: Decimal | None = row.get("content")
    return None if told is None else int(told * MICROLITRES)


def _prices(supplier: Supplier, parts: Sequence[Part]) -> dict[Size, SupplierPrice]:
    rows = SupplierPrice.objects.filter(supplier=supplier, part__in=parts).select_related("supplier", "part__maker")
    return {(row.part_id, row.content): row for row in rows}


def _arrivals(branch: Branch, parts: Sequence[Part], now: datetime) -> tuple[dict[str, date | None], tuple[str, ...]]:
    today = branch.today(now)
    supply = branch_supply(branch, {part.pk for part in parts}, fitted_on=today, today=today)
    return {offer.id: arrival_of(offer, now) for offer in offers_of(supply)}, supply.missing


def _refuse_twice(sizes: Sequence[Size], place: int, part: Part) -> None:
    if sizes[place] in sizes[:place]:
        words = f"{part.shown} is on another line already; write one line for each part and size."
        raise Invalid(words, pointer=f"/lines/{place}/part", code="named_twice")


def _line(
    row: Body, part: Part, recorded: SupplierPrice | None, arrivals: Mapping[str, date | None], pointer: str
) -> LineDraft:
    agreed = _agreed(row, pointer)
    if recorded is not None:
        packs = _packs(row, Packing(recorded.pack, recorded.minimum), pointer)
        line = recorded_line(recorded, packs, arrivals.get(str(recorded.pk)))
        return line if agreed is None else replace(line, price=agreed, price_for=1, recorded=None)
    if agreed is None:
        words = f"No price of {_size(part, _content(row))} is recorded for this supplier; give the price agreed."
        raise Invalid(words, pointer=f"{pointer}/price", code="no_price")
    return LineDraft(part, _content(row), _packs(row, Packing(), pointer), 1, agreed)


def _agreed(row: Body, pointer: str) -> Money | None:
    told = row.get("price")
    if told is None:
        return None
    try:
        return money(f"{told['amount']:f}", told["currency"])
    except DomainError as error:
        error.pointer = f"{pointer}/price/{'currency' if error.code == 'unknown_currency' else 'amount'}"
        raise


def _packs(row: Body, packing: Packing, pointer: str) -> int:
    """Exactly one of packs and pieces is given, as the shape has it."""
    told = "packs" if row.get("packs") is not None else "pieces"
    try:
        packs = row["packs"] if told == "packs" else packs_of(row["pieces"], packing)
        check_minimum(packs, packing)
    except DomainError as error:
        error.pointer = f"{pointer}/{told}"
        raise
    return int(packs)


def _size(part: Part, content: int | None) -> str:
    return part.shown if content is None else f"{part.shown} in {litres(content)} L"
