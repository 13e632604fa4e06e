"""What an order plan is asked: needs by part and day, what lies there, what suppliers offer. Money in one currency."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, tzinfo

from catalog.domain.parts import PartKey
from kits.domain.calendars import Delivery, LastOrder, arrival, last_order
from kits.domain.money import Money
from kits.domain.stock import StockItem
from service.errors import Invalid


@dataclass(frozen=True, slots=True)
class Need:
    """Pieces for one line of one machine's kit. `serves` are the parts settled for that machine, the asked one too.

    `alternatives` passed their check on it as well, and nobody has decided to use them: they are shown and never
    taken. Goods must be on the shelf on `shelf` and are fitted on `fitted_on`.
    """

    id: str
    machine: str
    part: PartKey
    quantity: int
    shelf: date
    fitted_on: date
    serves: tuple[PartKey, ...]
    alternatives: tuple[PartKey, ...] = ()

    def __post_init__(self) -> None:
        if self.quantity < 1:
            raise Invalid(f"Line {self.id} needs at least one piece.", code="quantity")


@dataclass(frozen=True, slots=True)
class Promise:
    """When a supplier says that what is on back-order comes, as a range; plans go by its far end."""

    earliest: date
    latest: date


@dataclass(frozen=True, slots=True)
class Offer:
    """A supplier's price for whole packs of a part. `minimum` is in pieces; the core charge is for each piece.

    Without `delivery` and without a promise nobody knows when it comes.
    """

    id: str
    supplier: str
    part: PartKey
    pack_price: Money
    pack: int = 1
    minimum: int = 0
    delivery: Delivery | None = None
    promise: Promise | None = None
    core: Money | None = None

    def __post_init__(self) -> None:
        if self.pack < 1 or self.minimum < 0:
            raise Invalid("A pack holds at least one piece, and a minimum is never below zero.", code="pack")
        if self.pack_price.ticks <= 0:
            raise Invalid(f"Offer {self.id}: a price above zero is needed to plan with.", code="price")

    @property
    def least_packs(self) -> int:
        return max(1, -(-self.minimum // self.pack))

    def arrives(self, placed: datetime) -> date | None:
        """The day it is on the shelf if ordered at that instant, at the latest; None where nobody knows."""
        if self.promise is not None:
            return self.promise.latest
        return arrival(placed, self.delivery) if self.delivery is not None else None

    def last_order(self, shelf: date, branch: tzinfo) -> LastOrder | None:
        """None for a back-order, which ordering early does not hasten."""
        if self.delivery is None or self.promise is not None:
            return None
        return last_order(shelf, self.delivery, branch)


@dataclass(frozen=True, slots=True)
class Supplier:
    """What an order to it costs besides the goods, and what it has to come to."""

    code: str
    order_charge: Money | None = None
    minimum_value: Money | None = None


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Free pieces at another branch, which are shown and not planned with."""

    branch: str
    part: PartKey
    free: int


@dataclass(frozen=True, slots=True)
class OrderQuestion:
    """All of it, asked at the instant `placed`; days are in the zone of the branch."""

    needs: tuple[Need, ...]
    stock: tuple[StockItem, ...]
    offers: tuple[Offer, ...]
    placed: datetime
    branch: tzinfo
    currency: str
    suppliers: tuple[Supplier, ...] = ()
    elsewhere: tuple[Elsewhere, ...] = ()

    def __post_init__(self) -> None:
        for name, ids in (
            ("line", [need.id for need in self.needs]),
            ("offer", [offer.id for offer in self.offers]),
            ("supplier", [entry.code for entry in self.suppliers]),
        ):
            twice = sorted({one for one in ids if ids.count(one) > 1}) if len(set(ids)) < len(ids) else []
            if twice:
                raise Invalid(f"Each {name} is named once; twice here: {', '.join(twice)}.", code="named_twice")
