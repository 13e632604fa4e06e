"""What a plan buys, with what of it is meant for which use of a kit: what orders are placed from."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from kits.domain.order_plan.planning import OrderPlan
from kits.domain.order_plan.servings import Serving
from kits.usecases.order_questions import PlanBasis, Wish


@dataclass(frozen=True, slots=True)
class Bought:
    """Packs at one price (its row's id). `uses` are pieces by the use's id, `volumes` microlitres of shared containers.

    `use` ids are those of KitUse.
    """

    price: int
    packs: int
    uses: dict[int, int] = field(default_factory=dict)
    volumes: dict[int, int] = field(default_factory=dict)

    def document(self) -> dict[str, Any]:
        return {
            "price": self.price,
            "packs": self.packs,
            "uses": [[use, pieces] for use, pieces in self.uses.items()],
            "volumes": [[use, volume] for use, volume in self.volumes.items()],
        }

    @classmethod
    def of(cls, document: dict[str, Any]) -> Bought:
        uses, volumes = dict(document["uses"]), dict(document["volumes"])
        return cls(document["price"], document["packs"], uses, volumes)


def bought_for(found: OrderPlan, basis: PlanBasis) -> tuple[Bought, ...]:
    """By supplier, part and size."""
    bought = {
        one.offer.id: Bought(int(one.offer.id), one.packs)
        for one in sorted(found.purchases, key=lambda one: (one.offer.supplier, one.offer.part, one.offer.id))
    }
    open_still = {
        line.row.pk: line.volume or 0 for wish in basis.wishes.values() if wish.use is None for line in wish.lines
    }
    for given in found.servings:
        wish = basis.wishes[given.line]
        entry = bought[given.offer] if given.offer is not None else None
        if wish.use is not None and entry is not None:
            entry.uses[wish.use.id] = entry.uses.get(wish.use.id, 0) + given.quantity
        elif wish.use is None and wish.lines:
            _share(given, wish, entry, open_still)
    return tuple(bought.values())


def _share(given: Serving, wish: Wish, entry: Bought | None, open_still: dict[int, int]) -> None:
    """What containers hold goes to the lines in order, up to what each wants; what lies on the shelf likewise."""
    left = given.quantity * (wish.goods.content or 0)
    for line in wish.lines:
        share = min(left, open_still[line.row.pk])
        if share:
            left -= share
            open_still[line.row.pk] -= share
            if entry is not None and line.uses:
                use = line.uses[0].id
                entry.volumes[use] = entry.volumes.get(use, 0) + share
