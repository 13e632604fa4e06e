"""Orders made ready to be placed: from a plan as it stands, or of lines as a body has them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from catalog.models import Part
from kits.domain.money import MixedCurrencies, Money
from kits.domain.order_lines import line_cost
from kits.models import OrderPlan, Supplier, SupplierPrice
from kits.usecases.order_allotting import Bought
from kits.usecases.order_refusals import BelowMinimumValue, TooMuch
from service.operations.models import Branch

MOST_PIECES = 10_000_000
MOST_TICKS = 10**15  # of a line; the columns of an order hold a thousand such lines


@dataclass(frozen=True, slots=True)
class LineDraft:
    """Whole packs at a price for `price_for` pieces. `recorded` is the price's row, None where the price was agreed.

    `for_uses` says what of it is meant for which use of a kit.
    """

    part: Part
    content: int | None
    packs: int
    pack: int
    price: Money
    price_for: int = 1
    core_each: Money | None = None
    returnable: bool | None = None
    supplier_number: str = ""
    promised_from: date | None = None
    expected: date | None = None
    recorded: SupplierPrice | None = None
    for_uses: Bought | None = None

    @property
    def pieces(self) -> int:
        return self.packs * self.pack

    @property
    def cost(self) -> Money:
        """Rounded by line."""
        return line_cost(self.price, self.price_for, self.pieces)

    @property
    def core(self) -> Money | None:
        return None if self.core_each is None else line_cost(self.core_each, 1, self.pieces)


@dataclass(frozen=True, slots=True)
class OrderDraft:
    """One order to one supplier, all in one currency; `notes` is what nobody could tell of it."""

    supplier: Supplier
    branch: Branch
    lines: tuple[LineDraft, ...]
    plan: OrderPlan | None = None
    notes: tuple[str, ...] = field(default=())

    @property
    def currency(self) -> str:
        return self.lines[0].price.currency

    @property
    def goods(self) -> Money:
        return sum((line.cost for line in self.lines), Money(0, self.currency))

    @property
    def charge(self) -> Money:
        """What the supplier takes for an order. Raises MixedCurrencies where that is in another currency."""
        ticks = self.supplier.order_charge
        if not ticks:
            return Money(0, self.currency)
        return Money(Money(ticks, self.supplier.currency).ticks_in(self.currency), self.currency)

    def check(self) -> None:
        """Raises MixedCurrencies, for a charge or a minimum in another currency too, TooMuch and BelowMinimumValue."""
        cores = {line.core_each.currency for line in self.lines if line.core_each}
        others = sorted({line.price.currency for line in self.lines} | cores)
        if len(others) > 1:
            words = f"Prices and cores here are in {' and '.join(others)}; order what is priced in each by itself."
            raise MixedCurrencies(words, currencies=others)
        for place, line in enumerate(self.lines):
            if line.pieces > MOST_PIECES or max(line.cost.ticks, line.core.ticks if line.core else 0) > MOST_TICKS:
                words = (
                    f"{line.part.shown}: {line.pieces} pieces for {line.cost.shown} are more than one line can be of."
                )
                pointer = f"/lines/{place}" if self.plan is None else "/plan"
                raise TooMuch(f"{words} Look at the pack and the price, and order less.", pointer=pointer)
        least = self.supplier.minimum_value
        if least:
            asked = Money(least, self.supplier.currency)
            if self.goods < asked:
                raise BelowMinimumValue(
                    f"The goods come to {self.goods.shown}; {self.supplier.name} takes orders from {asked.shown} on. "
                    "Order more of what is needed later anyway, or order elsewhere.",
                    pointer="/lines" if self.plan is None else "/plan",
                )


def recorded_line(row: SupplierPrice, packs: int, arrives: date | None, for_uses: Bought | None = None) -> LineDraft:
    """At the price as it is recorded today; a back-order comes when it is promised."""
    return LineDraft(
        part=row.part,
        content=row.content,
        packs=packs,
        pack=row.pack,
        price=Money(row.price, row.currency),
        price_for=row.price_for,
        core_each=None if row.core_charge is None else Money(row.core_charge, row.currency),
        returnable=row.returnable,
        supplier_number=row.number_text,
        promised_from=row.promised_earliest,
        expected=arrives,
        recorded=row,
        for_uses=for_uses,
    )


TERMS = ("price", "price_for", "currency", "pack", "minimum", "content", "core_charge", "returnable")


def changed_prices(drafts: Iterable[OrderDraft]) -> Sequence[SupplierPrice]:
    """The prices that have changed, or are gone, since the drafts were made; one statement."""
    used = {line.recorded.pk: line.recorded for draft in drafts for line in draft.lines if line.recorded is not None}
    now = {row.pk: row for row in SupplierPrice.objects.filter(pk__in=used)}
    return [row for pk, row in used.items() if pk not in now or _terms(now[pk]) != _terms(row)]


def _terms(row: SupplierPrice) -> tuple[object, ...]:
    return tuple(getattr(row, name) for name in TERMS)
