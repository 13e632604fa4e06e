"""How the shelf stands to what a kit takes: free, held for it, short, from which bins, and what is passed over."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from catalog.domain.parts import PartKey
from kits.domain.stock import Taking, order_quantity, take
from kits.loading.kit_supply import KitShelf
from kits.loading.stock import PartSize
from kits.models import KitLine, KitUse, Reservation, ReservationState, SupplierPrice
from kits.usecases.kit_taking import piece_price

Shelves = Mapping[PartSize, KitShelf]
Held = Sequence[Reservation]


@dataclass(frozen=True, slots=True)
class OtherSize:
    """Free containers of a fluid in another size than a kit takes; `content` in microlitres."""

    content: int | None
    free: int


@dataclass(frozen=True, slots=True)
class OldStock:
    """An earlier number that lies free and may be used up on the kit's machine, with why."""

    id: int
    part: PartKey
    free: int
    why: str


@dataclass(frozen=True, slots=True)
class UseStock:
    """One use against its shelf; `shelf` is None where the branch has no record of the part in that size.

    `meant` are pieces ordered for this use that come in time. `other_sizes` and `old_stock` lie there besides.
    """

    use: KitUse
    held: tuple[Reservation, ...]
    shelf: KitShelf | None
    fitted_on: date
    meant: int = 0
    other_sizes: tuple[OtherSize, ...] = ()
    old_stock: tuple[OldStock, ...] = ()

    @property
    def needed(self) -> int:
        """What is still to be reserved."""
        return max(0, self.use.quantity - sum(one.quantity for one in self.held))

    @property
    def taking(self) -> Taking | None:
        return None if self.shelf is None else take(self.shelf.item, self.needed, self.fitted_on)

    @property
    def lacks(self) -> bool:
        """Whether too little of it lies free for what is still to be reserved."""
        taking = self.taking
        return self.needed > 0 and (taking is None or taking.short > 0)

    @property
    def incoming(self) -> int | None:
        """Pieces promised for the day before the service at the latest, meant for this use or for no job yet."""
        return None if self.shelf is None else self.shelf.item.incoming_before(self.fitted_on) + self.meant

    @property
    def short(self) -> int | None:
        taking = self.taking
        return None if taking is None else max(0, taking.short - (self.incoming or 0))


def held_of(reservations: Iterable[Reservation]) -> tuple[Reservation, ...]:
    return tuple(one for one in reservations if one.state == ReservationState.HELD)


def stock_document(stock: UseStock) -> dict[str, Any]:
    """Null numbers are not known: nothing is recorded of the part at this branch."""
    shelf, taking = stock.shelf, stock.taking
    return {
        "recorded": shelf is not None,
        "free": None if shelf is None else shelf.item.free(stock.fitted_on),
        "reserved": sum(one.quantity for one in stock.held),
        "incoming": stock.incoming,
        "short": stock.short,
        "bins": bin_documents(stock.held)
        or [{"bin": one.bin, "date_code": _day(one.date_code), "quantity": one.quantity, "reserved": False}
            for one in (taking.taken if taking else ())],
        "passed_over": [
            {"bin": one.bin, "quantity": one.quantity, "why": one.why.value}
            for one in (taking.passed_over if taking else ())
        ],
        "instead": instead_document(stock),
    }  # fmt: skip


def instead_document(stock: UseStock) -> dict[str, Any]:
    """What else lies free that would do, where too little of it does; nothing of it is taken by itself."""
    lacks = stock.lacks
    return {
        "other_sizes": [{"content": litres(one.content), "free": one.free} for one in stock.other_sizes if lacks],
        "old_stock": [
            {"part": {"id": one.id, "maker": one.part[0], "number": one.part[1]}, "free": one.free, "why": one.why}
            for one in stock.old_stock
        ],
    }


def bin_documents(held: Held) -> list[dict[str, Any]]:
    """Oldest date code first, as they are picked."""
    rows = sorted(held, key=lambda one: (one.batch.date_code or date.max, one.batch.bin, one.pk))
    return [
        {"bin": one.batch.bin, "date_code": _day(one.batch.date_code), "quantity": one.quantity, "reserved": True}
        for one in rows
    ]


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def short_document(stock: UseStock, prices: Iterable[SupplierPrice], currency: str) -> dict[str, Any]:
    """What is short of a line's part, what is on its way, and what to order of whom, in `currency` where it can be."""
    use, taking = stock.use, stock.taking
    short = stock.needed if taking is None else stock.short or 0
    offers = [row for row in prices if (row.part_id, row.content) == (use.part_id, use.content)]
    best = min(
        offers,
        key=lambda row: (row.currency != currency, row.currency, piece_price(row).ticks, row.pk),
        default=None,
    )
    return {
        "line": use.line.line,
        "part": {"id": use.part_id, "maker": use.part.maker.code, "number": use.part.number},
        "content": litres(use.content),
        "needed": stock.needed,
        "free": None if stock.shelf is None else stock.shelf.item.free(stock.fitted_on),
        "incoming": stock.incoming,
        "short": short,
        "why": _why(stock),
        "order": None if best is None or not short else {
            "supplier": best.supplier.code,
            "pieces": order_quantity(short, best.pack, best.minimum),
            "pack": best.pack,
            "price": money_document(piece_price(best)),
        },
    }  # fmt: skip


def not_bought_document(row: KitLine) -> dict[str, Any]:
    """A settled fluid of which nobody knows in which containers it is sold."""
    part = row.part
    return {
        "line": row.line,
        "part": None if part is None else {"id": part.pk, "maker": part.maker.code, "number": part.number},
        **dict.fromkeys(("content", "needed", "free", "incoming", "short", "order")),
        "why": " ".join(one["question"] for one in row.missing),
    }


def _why(stock: UseStock) -> str:
    if stock.shelf is None:
        return "Nothing is recorded of it at this branch; count it, or order it."
    taking = stock.taking
    passed = sum(one.quantity for one in taking.passed_over) if taking else 0
    words = f"{passed} lie here that are too old or of unknown age." if passed else "Too few are free."
    sizes = " and ".join(f"{one.free} of {litres(one.content)} l" for one in stock.other_sizes)
    words += f" In other containers lie {sizes}." if sizes else ""
    return f"{words} Nothing of this line is reserved until all of it can be."


def money_document(amount: Any) -> dict[str, str]:
    return {"amount": amount.amount, "currency": amount.currency}


def litres(microlitres: int | None) -> str | None:
    """Litres as a decimal text, exact to the microlitre."""
    if microlitres is None:
        return None
    whole, rest = divmod(microlitres, 1_000_000)
    return f"{whole}.{rest:06d}".rstrip("0").rstrip(".")
