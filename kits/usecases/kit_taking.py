"""What the lines of a kit take from the shelf: pieces as their checks say, fluids in the cheapest containers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from catalog.domain.answers import Fact
from catalog.domain.parts import PartKey
from kits.domain.containers import Container
from kits.domain.kit_fluids import FluidBought, FluidNeed, fluids
from kits.domain.kit_lines import Unit
from kits.domain.money import Money
from kits.domain.supply_prices import pack_price
from kits.loading.kit_supply import PartPrice, part_prices
from kits.loading.stock import PartSize
from kits.models import SupplierPrice
from kits.usecases.kit_deciding import Decided
from service.operations.models import Branch


@dataclass(frozen=True, slots=True)
class Taken:
    """Of each line what it takes, by part and size of container; and what must be known before it can be bought."""

    uses: tuple[dict[PartSize, int], ...]
    missing: tuple[tuple[Fact, ...], ...]


def taken_by(decided: Sequence[Decided], branch: Branch, asked: Sequence[PartPrice] | None = None) -> Taken:
    """Needs of one fluid are summed before containers are chosen, at the prices `asked`.

    Without these, one statement where any line is a fluid.
    The containers stand on the first line of their fluid.
    """
    uses: list[dict[PartSize, int]] = [{} for _ in decided]
    missing: list[tuple[Fact, ...]] = [() for _ in decided]
    needs, ids = [], dict[PartKey, int]()
    for at, one in enumerate(decided):
        for used in one.uses:
            if one.line.unit is Unit.EACH:
                uses[at][used.id, None] = used.amount
            else:
                ids[used.key] = used.id
                needs.append(FluidNeed(at, used.key, used.amount))
    for bought in _bought(needs, ids.values(), branch, asked):
        for line in bought.lines:
            missing[line] = bought.missing
        if bought.mix is not None:
            for filled in bought.mix.containers:
                uses[bought.lines[0]][ids[bought.part], filled.container.microlitres] = filled.count
    return Taken(tuple(uses), tuple(missing))


def _bought(
    needs: Sequence[FluidNeed], parts: Iterable[int], branch: Branch, asked: Sequence[PartPrice] | None
) -> tuple[FluidBought, ...]:
    if not needs:
        return ()
    rows = part_prices(branch.dealer, set(parts)) if asked is None else asked
    return fluids(needs, containers_of(rows), branch.currency)


def containers_of(rows: Iterable[PartPrice]) -> dict[PartKey, tuple[Container, ...]]:
    """Of each fluid its sizes, each at the least that a supplier asks for it in each currency."""
    least: dict[tuple[PartKey, int, str], Container] = {}
    for row in rows:
        if row.content is None:
            continue
        price = piece_price(row)
        known = least.get((row.key, row.content, row.currency))
        if known is None or price < known.price:
            least[row.key, row.content, row.currency] = Container(f"{row.key[1]} {row.content}", row.content, price)
    found: dict[PartKey, tuple[Container, ...]] = {}
    for (part, _, _), container in least.items():
        found[part] = (*found.get(part, ()), container)
    return found


def piece_price(row: SupplierPrice | PartPrice) -> Money:
    """What one piece, or one container, costs at this supplier."""
    return pack_price(Money(row.price, row.currency), row.price_for, 1)
