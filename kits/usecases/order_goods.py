"""What an order plan reckons with: parts by the piece, and containers of a fluid, each size under a name of its own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from catalog.domain.parts import PartKey
from catalog.models import Part
from catalog.usecases.reading import part_name
from kits.domain.containers import MICROLITRES
from kits.domain.order_plan.question import Offer
from kits.domain.stock import StockItem
from kits.usecases.branch_supply import BranchSupply


@dataclass(frozen=True, slots=True)
class Goods:
    """Pieces of a part, or containers of it of `content` microlitres."""

    part: Part
    content: int | None = None

    @property
    def key(self) -> PartKey:
        """What plans call it; sizes of one fluid never stand in for each other there."""
        return goods_key((self.part.maker.code, self.part.number), self.content)

    def document(self) -> dict[str, Any]:
        return {"part": part_name(self.part), "content": None if self.content is None else litres(self.content)}


def goods_key(part: PartKey, content: int | None) -> PartKey:
    return part if content is None else (part[0], f"{part[1]} {litres(content)} L")


def litres(microlitres: int) -> str:
    """As a decimal text, exactly."""
    whole, rest = divmod(microlitres, MICROLITRES)
    return f"{whole}.{rest:06d}".rstrip("0").rstrip(".")


def stock_of(supply: BranchSupply) -> tuple[StockItem, ...]:
    """All that lies at the branch or comes to it, containers under the names of their sizes."""
    sized = (replace(one.stock, part=goods_key(one.part, one.content)) for one in supply.volumes)
    return (*supply.stock, *sized)


def offers_of(supply: BranchSupply) -> tuple[Offer, ...]:
    """All that can be bought, containers under the names of their sizes."""
    sized = (replace(offer, part=goods_key(one.part, one.content)) for one in supply.volumes for offer in one.offers)
    return (*supply.offers, *sized)


def goods_by_key(goods: Iterable[Goods]) -> dict[PartKey, Goods]:
    return {one.key: one for one in goods}
