"""What lies on the shelf: on hand, reserved, free, and what is on its way; which pieces to take first.

The words are the trade's (common practice, no source): free is on hand less what is promised to a job; short is what
is needed less what is free and what arrives in time.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from catalog.domain.parts import PartKey
from service.errors import Invalid


class PassedOver(StrEnum):
    """Why pieces on the shelf are not taken."""

    EXPIRED = "expired"
    NO_DATE_CODE = "no_date_code"  # of goods that age: how old they are cannot be told
    AGE_NOT_KNOWN = "age_not_known"  # coded, and nobody recorded until when that is good


@dataclass(frozen=True, slots=True)
class Batch:
    """Pieces in one bin with one date code. `expires` is the last day on which they may be fitted."""

    bin: str
    on_hand: int
    reserved: int = 0
    date_code: date | None = None
    expires: date | None = None

    def __post_init__(self) -> None:
        if self.on_hand < 0 or not 0 <= self.reserved <= self.on_hand:
            raise Invalid(
                f"Bin {self.bin}: {self.on_hand} on hand and {self.reserved} reserved; no more can be promised than "
                "is there. Count the bin.",
                code="stock_count",
            )

    @property
    def unreserved(self) -> int:
        return self.on_hand - self.reserved

    def refusal(self, fitted_on: date, *, ages: bool) -> PassedOver | None:
        """Why nothing of this may be promised for that day; None where it may."""
        if self.expires is not None and fitted_on > self.expires:
            return PassedOver.EXPIRED
        if ages and self.date_code is None:
            return PassedOver.NO_DATE_CODE
        return PassedOver.AGE_NOT_KNOWN if ages and self.expires is None else None


@dataclass(frozen=True, slots=True)
class Incoming:
    """Ordered and not here. `latest` is the far end of the promise; None is no promise, which counts for no day."""

    quantity: int
    latest: date | None = None
    assigned: int = 0  # of them already meant for a job

    @property
    def unassigned(self) -> int:
        return max(0, self.quantity - self.assigned)

    def by(self, day: date) -> int:
        return self.unassigned if self.latest is not None and self.latest <= day else 0


def still_promised(latest: date | None, today: date) -> date | None:
    """The far end of a promise that can still be kept: what was to be here on a day that is past has no promise."""
    return latest if latest is not None and latest >= today else None


@dataclass(frozen=True, slots=True)
class StockItem:
    """All of one part at one branch. `ages` marks goods that may be fitted only up to an age: rubber, sealants."""

    part: PartKey
    batches: tuple[Batch, ...] = ()
    incoming: tuple[Incoming, ...] = ()
    ages: bool = False

    @property
    def on_hand(self) -> int:
        return sum(batch.on_hand for batch in self.batches)

    @property
    def reserved(self) -> int:
        return sum(batch.reserved for batch in self.batches)

    def free(self, fitted_on: date) -> int:
        """Pieces that may be promised for a job of that day: neither promised already nor too old by then."""
        return sum(batch.unreserved for batch in self.batches if not batch.refusal(fitted_on, ages=self.ages))

    def incoming_by(self, day: date) -> int:
        return sum(entry.by(day) for entry in self.incoming)

    def incoming_before(self, day: date) -> int:
        return sum(entry.unassigned for entry in self.incoming if entry.latest is not None and entry.latest < day)

    def short(self, needed: int, *, shelf: date, fitted_on: date) -> int:
        return max(0, needed - self.free(fitted_on) - self.incoming_by(shelf))


@dataclass(frozen=True, slots=True)
class Taken:
    bin: str
    date_code: date | None
    quantity: int


@dataclass(frozen=True, slots=True)
class NotTaken:
    bin: str
    quantity: int
    why: PassedOver


@dataclass(frozen=True, slots=True)
class Taking:
    """What to reserve where, what is still short, and what lies there and is not taken."""

    taken: tuple[Taken, ...]
    short: int
    passed_over: tuple[NotTaken, ...]


def take(item: StockItem, needed: int, fitted_on: date) -> Taking:
    """The pieces to reserve for a job of that day: oldest date code first, then by bin; expired ones never."""
    taken: list[Taken] = []
    passed: list[NotTaken] = []
    left = needed
    for batch in sorted(item.batches, key=_oldest_first):
        why = batch.refusal(fitted_on, ages=item.ages)
        if why is not None and batch.unreserved:
            passed.append(NotTaken(batch.bin, batch.unreserved, why))
        pieces = 0 if why else min(left, batch.unreserved)
        if pieces:
            taken.append(Taken(batch.bin, batch.date_code, pieces))
            left -= pieces
    return Taking(tuple(taken), left, tuple(passed))


def _oldest_first(batch: Batch) -> tuple[date, date, str]:
    return batch.date_code or date.max, batch.expires or date.max, batch.bin


def order_quantity(short: int, pack: int, minimum: int) -> int:
    """Pieces to order: what is short, raised to the minimum, then to whole packs; nothing where nothing is short."""
    if pack < 1 or minimum < 0:
        raise Invalid("A pack holds at least one piece, and a minimum is never below zero.", code="pack")
    return -(-max(short, minimum) // pack) * pack if short > 0 else 0


def reorder_quantity(left_after: int, reorder_point: int, pack: int, minimum: int) -> int:
    """What to suggest, as a line of its own, so that the level is at the reorder point again; 0 where it is."""
    return order_quantity(reorder_point - left_after, pack, minimum)


def in_packs(quantity: int, pack: int) -> str:
    """As a pick list says it: ``16 EA = 4 packs of 4``, with loose pieces named."""
    if pack <= 1:
        return f"{quantity} EA"
    packs, loose = divmod(quantity, pack)
    words = [f"{packs} {'pack' if packs == 1 else 'packs'} of {pack}"] if packs else []
    return f"{quantity} EA = {' and '.join([*words, *([f'{loose} loose'] if loose else [])])}" if quantity else "0 EA"
