"""An order plan as it is answered: what to buy, who gets what from where, what is late and what to do about it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from catalog.domain.parts import PartKey
from catalog.usecases.reading import part_name
from kits.domain.money import Money
from kits.domain.order_lines import line_cost
from kits.domain.order_plan.late import LateLine, Way
from kits.domain.order_plan.planning import OrderPlan, Purchase
from kits.domain.order_plan.servings import Serving
from kits.loading.kit_needs import WantedLine
from kits.models import SupplierPrice
from kits.usecases.amounts import amount, day, instant
from kits.usecases.order_goods import litres
from kits.usecases.order_plan_choices import fluid_documents, old_stock_documents
from kits.usecases.order_plan_hints import kit_or_loose_documents, reorder_documents
from kits.usecases.order_questions import PlanBasis

Document = dict[str, Any]
Prices = Mapping[str, SupplierPrice]


def plan_document(basis: PlanBasis, found: OrderPlan) -> Document:
    """In four statements more: the prices bought at, reorder points, and boxed kits with what they hold."""
    prices = _prices(found)
    purchases = [_purchase(one, basis, prices) for one in found.purchases]
    suppliers = {offer.id: offer.supplier for offer in basis.question.offers}
    goods = sum((_cost(one, prices) for one in found.purchases), Money(0, basis.question.currency))
    return {
        "branch": basis.asked.branch.code,
        "placed_at": instant(basis.asked.placed),
        "settings": {"old_stock": basis.asked.old_stock.value, "fluids": basis.asked.fluids.value},
        "currency": basis.question.currency,
        "rounding": "by_line",
        "kits": [_kit(basis, kit) for kit in basis.asked.kits],
        "purchases": purchases,
        "servings": [_serving(one, basis, suppliers) for one in found.servings],
        "late": [*(_late(one, basis) for one in found.late), *_uncounted(basis)],
        "goods": amount(goods),
        "charges": amount(found.charges),
        "cores": [amount(core) for core in found.cores],
        "gap": gap_document(found),
        "old_stock": old_stock_documents(basis, found),
        "fluids": fluid_documents(basis),
        "kit_or_loose": kit_or_loose_documents(basis, found),
        "reorder": reorder_documents(basis, found),
        "overpromised": [{"maker": maker, "number": number} for maker, number in basis.supply.overpromised],
        "missing": list(basis.missing),
    }


def gap_document(found: OrderPlan) -> Document:
    """What is proven of the cost, goods and order charges unrounded: no plan that leaves as little wanting is below."""
    share = found.gap
    return {
        "share": f"{float(share):.6f}",
        "cost": amount(found.cost),
        "bound": amount(found.bound),
        "could_save": amount(found.cost - found.bound),
    }


def line_reference(line: WantedLine) -> Document:
    return {
        "kit": str(line.kit.pk),
        "kit_number": line.kit.number,
        "line": line.row.line,
        "machine": line.kit.machine.name,
    }


def _prices(found: OrderPlan) -> Prices:
    wanted = [one.offer.id for one in found.purchases]
    rows = SupplierPrice.objects.filter(pk__in=wanted).select_related("supplier")
    return {str(row.pk): row for row in rows}


def _cost(bought: Purchase, prices: Prices) -> Money:
    """Rounded once, from the price as it is recorded and not from that of a pack."""
    row = prices[bought.offer.id]
    return line_cost(Money(row.price, row.currency), row.price_for, bought.pieces)


def _purchase(bought: Purchase, basis: PlanBasis, prices: Prices) -> Document:
    offer, by = bought.offer, bought.order_by
    return {
        "supplier": offer.supplier,
        "supplier_name": prices[offer.id].supplier.name,
        "supplier_number": prices[offer.id].number_text or None,
        **basis.goods[offer.part].document(),
        "packs": bought.packs,
        "pack": offer.pack,
        "pieces": bought.pieces,
        "minimum": offer.minimum,
        "pack_price": amount(offer.pack_price),
        "cost": amount(_cost(bought, prices)),
        "core": amount(bought.core),
        "spare": bought.spare,
        "order_by": None if by is None else {"day": day(by.day), "instant": instant(by.instant)},
        "arrives": day(bought.arrives),
        "promised_from": None if offer.promise is None else day(offer.promise.earliest),
        "returnable": prices[offer.id].returnable,
    }


def _kit(basis: PlanBasis, kit: Any) -> Document:
    return {
        "id": str(kit.pk),
        "number": kit.number,
        "machine": kit.machine.name,
        "work_order": None if kit.work_order is None else kit.work_order.number,
        "fitted_on": day(kit.fitted_on),
        "shelf": day(basis.shelf[kit.pk]),
    }


def _serving(given: Serving, basis: PlanBasis, suppliers: Mapping[str, str]) -> Document:
    wish = basis.wishes[given.line]
    source = "order" if given.offer else "stock" if given.comes is None else "incoming"
    return {
        "lines": [line_reference(line) for line in wish.lines],
        **basis.goods[given.part].document(),
        "pieces": given.quantity,
        "source": source,
        "supplier": suppliers[given.offer] if given.offer else None,
        "comes": day(given.comes),
        "days_late": given.days_late,
        "old_stock": given.part in wish.old,
    }


def _late(line: LateLine, basis: PlanBasis) -> Document:
    wish = basis.wishes[line.line]
    return {
        "lines": [line_reference(one) for one in wish.lines],
        **wish.goods.document(),
        "pieces": line.quantity,
        "volume": None,
        "needed_by": day(line.shelf),
        "arrives": day(line.arrives),
        "promised_from": day(line.promised_from),
        "ways": [_way(one.way, one.words, one.part, basis) for one in line.ways],
    }


def _way(way: Way, words: str, part: PartKey | None, basis: PlanBasis) -> Document:
    known = basis.goods.get(part) if part is not None else None
    return {"way": way.value, "words": words, "part": None if known is None else part_name(known.part)}


def _uncounted(basis: PlanBasis) -> Iterable[Document]:
    """Lines of which nothing can be counted in pieces: not settled and without a part, a quantity or containers.

    Settled ones are among them whose fluid is sold in containers that nobody knows.
    """
    told = {line.row.pk for wish in basis.wishes.values() for line in wish.lines}
    for line in basis.lines:
        if line.row.pk in told or (line.settled and not line.unknown_containers):
            continue
        row = line.row
        words = " ".join(row.words) or "No part is settled for this line."
        way = _way(Way.SETTLE_LINE, f"{words} Settle it before anything is ordered.", None, basis)
        if line.settled:
            asks = " ".join(one["question"] for one in row.missing)
            way = _way(Way.FIND_SUPPLIER, f"{asks} Record it, then change the kit or build it anew.", None, basis)
        yield {
            "lines": [line_reference(line)],
            "part": None if row.part is None else part_name(row.part),
            "content": None,
            "pieces": None if line.volume is not None else row.quantity,
            "volume": None if line.volume is None else litres(line.volume),
            "needed_by": day(basis.shelf[line.kit.pk]),
            "arrives": None,
            "promised_from": None,
            "ways": [way],
        }
