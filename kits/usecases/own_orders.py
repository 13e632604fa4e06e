"""The branch's supply as it would be without what one order plan has ordered, to compare with what it was made from."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from uuid import UUID

from kits.domain.stock import Incoming, StockItem, still_promised
from kits.models import OrderLine
from kits.usecases.branch_supply import BranchSupply

_Coming = dict[tuple[tuple[str, str], int | None], list[Incoming]]


def without_orders_of(plan: UUID, supply: BranchSupply, today: date) -> BranchSupply:
    """One statement. `today` is the day that the supply was told for."""
    lines = OrderLine.objects.filter(order__plan=plan, incoming__isnull=False)
    own: _Coming = {}
    for line in lines.select_related("incoming", "part__maker"):
        if line.incoming is not None:
            latest = still_promised(line.incoming.promised_latest, today)
            entry = Incoming(line.incoming.quantity, latest, line.incoming.assigned)
            own.setdefault(((line.part.maker.code, line.part.number), line.content), []).append(entry)
    return replace(
        supply,
        stock=tuple(_less(item, own.get((item.part, None), [])) for item in supply.stock),
        volumes=tuple(
            replace(one, stock=_less(one.stock, own.get((one.part, one.content), []))) for one in supply.volumes
        ),
    )


def _less(item: StockItem, own: list[Incoming]) -> StockItem:
    left = list(item.incoming)
    for entry in own:
        if entry in left:
            left.remove(entry)
    return replace(item, incoming=tuple(left))
