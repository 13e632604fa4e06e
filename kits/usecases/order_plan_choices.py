"""What an order plan leaves to a person and shows both ways: old stock used up or kept, fluids by job or pooled."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from catalog.domain.parts import PartKey
from kits.domain.containers import Mix
from kits.domain.order_plan.fluids import Fluid
from kits.domain.order_plan.planning import OrderPlan
from kits.domain.order_plan.question import Need, Offer
from kits.domain.stock import StockItem, order_quantity
from kits.usecases.amounts import amount
from kits.usecases.order_goods import litres
from kits.usecases.order_questions import PlanBasis

Document = dict[str, Any]
Pair = tuple[PartKey, PartKey]  # what is asked for, and the earlier number


def old_stock_documents(basis: PlanBasis, found: OrderPlan) -> list[Document]:
    """Each earlier number that lies free: on which machines it may be used up, and what that changes."""
    pairs = dict.fromkeys(
        (wish.goods.key, old) for wish in basis.wishes.values() for old in wish.old if _free(old, basis, wish.goods.key)
    )
    return [_old_stock(pair, basis, found) for pair in pairs]


def _old_stock(pair: Pair, basis: PlanBasis, found: OrderPlan) -> Document:
    part, old = pair
    needs = _needs_of(part, basis)
    allowed = [need for need in needs if old in basis.wishes[need.id].old]
    free, wanted = _free(old, basis, part), sum(need.quantity for need in needs)
    less = min(free, sum(need.quantity for need in allowed))
    return {
        **basis.goods[old].document(),
        "instead_of": basis.goods[part].document()["part"],
        "free": free,
        "allowed_on": _machines(allowed, basis),
        "not_allowed_on": _machines((need for need in needs if need not in allowed), basis),
        "without": _counts(wanted, part, basis),
        "with": _counts(wanted - less, part, basis),
        "taken": sum(one.quantity for one in found.servings if one.part == old),
        "words": "Nothing is swapped in a kit: settle the line with the earlier number before it is reserved.",
    }


def _counts(wanted: int, part: PartKey, basis: PlanBasis) -> Document:
    """What is wanted, short and to be ordered of a part, in pieces."""
    needs = _needs_of(part, basis)
    shelf = min(need.shelf for need in needs)
    items = [item for item in basis.question.stock if item.part == part] or [StockItem(part)]
    fitted = min(need.fitted_on for need in needs)
    short = max(0, wanted - sum(item.free(fitted) + item.incoming_by(shelf) for item in items))
    offer = cheapest(part, basis)
    return {
        "need": wanted,
        "short": short,
        "order": None if offer is None else order_quantity(short, offer.pack, offer.minimum),
    }


def cheapest(part: PartKey, basis: PlanBasis) -> Offer | None:
    """The offer in the plan's currency that asks least for a piece."""
    offers = [one for one in basis.question.offers if one.part == part]
    offers = [one for one in offers if one.pack_price.currency == basis.question.currency]
    return min(offers, key=lambda one: (one.pack_price.ticks / one.pack, one.id), default=None)


def _needs_of(part: PartKey, basis: PlanBasis) -> list[Need]:
    return [need for need in basis.question.needs if need.part == part and need.serves]


def _free(part: PartKey, basis: PlanBasis, asked: PartKey) -> int:
    fitted = min(need.fitted_on for need in _needs_of(asked, basis))
    return sum(item.free(fitted) for item in basis.question.stock if item.part == part)


def _machines(needs: Iterable[Need], basis: PlanBasis) -> list[str]:
    return sorted({line.kit.machine.name for need in needs for line in basis.wishes[need.id].lines})


def fluid_documents(basis: PlanBasis) -> list[Document]:
    return [_fluid(fluid, basis) for fluid in basis.fluids]


def _fluid(fluid: Fluid, basis: PlanBasis) -> Document:
    ways = fluid.ways
    part = {"maker": fluid.part[0], "number": fluid.part[1]}
    told: Document = {"part": part, "chosen": basis.asked.fluids.value}
    if ways is None:
        jobs = [{"job": job, "volume": litres(volume)} for job, volume in fluid.jobs]
        return {
            **told,
            "by_job": jobs,
            "apart": None,
            "pooled": None,
            "saves": None,
            "words": "No container is priced.",
        }
    jobs = [
        {"job": job, "volume": litres(volume), **_mix(mix)}
        for (job, volume), mix in zip(fluid.jobs, ways.by_job, strict=True)
    ]
    total = sum(volume for _, volume in fluid.jobs)
    decanted = "Pooled it has to be decanted." if len(jobs) > 1 else "One job alone: nothing is to be decanted."
    return {
        **told,
        "by_job": jobs,
        "apart": amount(ways.apart),
        "pooled": {"volume": litres(total), **_mix(ways.pooled)},
        "saves": amount(ways.saved),
        "words": decanted,
    }


def _mix(mix: Mix) -> Document:
    return {
        "containers": [
            {
                "content": litres(filled.container.microlitres),
                "count": filled.count,
                "price": amount(filled.container.price),
            }
            for filled in mix.containers
        ],
        "cost": amount(mix.cost),
        "left_over": litres(mix.left_over),
    }
