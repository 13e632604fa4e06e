"""What an order plan suggests and does not do: a boxed kit instead of loose parts, and stock to be filled up again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from catalog.domain.parts import PartKey
from catalog.models import Part, PartContent
from catalog.usecases.reading import part_name
from kits.domain.kit_or_loose import LoosePart, kit_or_loose
from kits.domain.money import Money
from kits.domain.order_lines import line_cost
from kits.domain.order_plan.planning import OrderPlan
from kits.domain.order_plan.question import Offer
from kits.domain.stock import StockItem, reorder_quantity
from kits.domain.supply_prices import pack_price
from kits.models import Kit, SupplierPrice
from kits.models import StockItem as ItemRow
from kits.usecases.amounts import amount
from kits.usecases.order_goods import Goods
from kits.usecases.order_plan_choices import cheapest
from kits.usecases.order_questions import PlanBasis

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class _Box:
    """A boxed kit at a supplier's price, and what it holds by part."""

    price: SupplierPrice
    holds: Mapping[int, int]


@dataclass(frozen=True, slots=True)
class _Kit:
    """What one kit takes of each part (by id), what of it is bought for it, and what of it is late."""

    kit: Kit
    takes: dict[int, int]
    bought: dict[int, int]
    late: set[int]


def kit_or_loose_documents(basis: PlanBasis, found: OrderPlan) -> list[Document]:
    """For each kit the priced boxes that hold parts of it and nothing else, in two statements."""
    parts = {use.part.pk: use.part for line in basis.lines for use in line.uses}
    boxes = _boxes(basis, parts)
    if not boxes:
        return []
    return [
        _compared(box, kit, parts, basis)
        for kit in _kits(basis, found)
        for box in boxes
        if all(kit.takes.get(part, 0) >= count for part, count in box.holds.items())
    ]


def _boxes(basis: PlanBasis, parts: Mapping[int, Part]) -> list[_Box]:
    asked = SupplierPrice.objects.visible_to(basis.asked.branch.dealer).filter(
        part__contents__part__in=parts, content=None, currency=basis.question.currency, supplier__status="active"
    )
    prices = list(asked.select_related("supplier", "part__maker").distinct().order_by("pk"))
    holds: dict[int, dict[int, int]] = {}
    contents = PartContent.objects.filter(container__in={row.part_id for row in prices})
    for box, part, count in contents.values_list("container_id", "part_id", "quantity"):
        holds.setdefault(box, {})[part] = count
    return [_Box(row, holds[row.part_id]) for row in prices if len(holds[row.part_id]) > 1]


def _kits(basis: PlanBasis, found: OrderPlan) -> Iterable[_Kit]:
    """Each kit by itself; what nothing serves counts as bought for it."""
    kits = {kit.pk: _Kit(kit, {}, {}, set()) for kit in basis.asked.kits}
    for line in basis.lines:
        for use in line.row.uses.all():
            if use.content is None:
                _count(kits[line.kit.pk].takes, use.part_id, use.quantity)
    for given in found.servings:
        wish = basis.wishes[given.line]
        if wish.use is not None and given.offer is not None:
            _count(kits[wish.lines[0].kit.pk].bought, wish.use.part.pk, given.quantity)
    for late in found.late:
        wish = basis.wishes[late.line]
        if wish.use is not None:
            kit = kits[wish.lines[0].kit.pk]
            kit.late.add(wish.use.part.pk)
            if late.arrives is None:
                _count(kit.bought, wish.use.part.pk, late.quantity)
    return kits.values()


def _count(counts: dict[int, int], part: int, pieces: int) -> None:
    counts[part] = counts.get(part, 0) + pieces


def _compared(box: _Box, kit: _Kit, parts: Mapping[int, Part], basis: PlanBasis) -> Document:
    row = box.price
    price = pack_price(Money(row.price, row.currency), row.price_for, 1).rounded
    loose = tuple(_loose(part, count, kit, parts, basis) for part, count in box.holds.items())
    both = kit_or_loose(price, loose)
    return {
        "kit": str(kit.kit.pk),
        "kit_number": kit.kit.number,
        "machine": kit.kit.machine.name,
        "boxed": part_name(row.part),
        "supplier": row.supplier.code,
        "boxed_price": amount(both.kit),
        "loose": amount(both.loose),
        "to_buy": amount(both.to_buy),
        "loose_saves": amount(both.loose_saves),
        "boxed_whole": both.kit_whole,
        "unpriced": [{"maker": maker, "number": number} for maker, number in both.unpriced],
        "words": "Shown, not taken; what it holds is checked before it is ordered.",
    }


def _loose(number: int, count: int, kit: _Kit, parts: Mapping[int, Part], basis: PlanBasis) -> LoosePart:
    key = Goods(parts[number]).key
    offer = cheapest(key, basis)
    free = max(0, count - kit.bought.get(number, 0))
    return LoosePart(key, count, None if offer is None else _each(offer), free, number in kit.late)


def _each(offer: Offer) -> Money:
    """What one piece costs, to the ten-thousandth."""
    return pack_price(offer.pack_price, offer.pack, 1)


def reorder_documents(basis: PlanBasis, found: OrderPlan) -> list[Document]:
    """Stock that the plan leaves below its reorder point, each with what to order more as a line of its own."""
    shown = {(goods.part.pk, goods.content): goods for goods in basis.goods.values()}
    rows = ItemRow.objects.filter(branch=basis.asked.branch, part__in={part for part, _ in shown})
    told = []
    for row in rows.filter(reorder_point__isnull=False).order_by("part__maker__code", "part__number", "content"):
        goods = shown.get((row.part_id, row.content))
        if goods is not None and row.reorder_point is not None:
            left = _left_after(goods.key, basis, found)
            if left < row.reorder_point:
                told.append(_suggested(goods, left, row.reorder_point, basis))
    return told


def _left_after(part: PartKey, basis: PlanBasis, found: OrderPlan) -> int:
    """Pieces free once all of the plan is bought, has come and is used."""
    first = min(kit.fitted_on for kit in basis.asked.kits)
    item = next((one for one in basis.question.stock if one.part == part), StockItem(part))
    there = item.free(first) + sum(entry.unassigned for entry in item.incoming)
    used = sum(one.quantity for one in found.servings if one.part == part and one.offer is None)
    return there - used + sum(one.spare for one in found.purchases if one.offer.part == part)


def _suggested(goods: Goods, left: int, point: int, basis: PlanBasis) -> Document:
    offer = cheapest(goods.key, basis)
    pieces = reorder_quantity(left, point, offer.pack, offer.minimum) if offer else point - left
    return {
        **goods.document(),
        "left_after": left,
        "reorder_point": point,
        "pieces": pieces,
        "supplier": None if offer is None else offer.supplier,
        "packs": None if offer is None else pieces // offer.pack,
        "cost": None if offer is None else amount(line_cost(offer.pack_price, offer.pack, pieces)),
    }
