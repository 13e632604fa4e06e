"""What writing a dealer's own rows has in common: changes told in the feed, versions moved, amounts and parts read.

Amounts are documents `{"amount", "currency"}`; content is a volume `{"value", "unit"}`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, models, transaction

from catalog import loading
from catalog.domain.quantities import Dimension, Quantity, quantity, same_dimension
from catalog.models import Part
from catalog.usecases.asked import named_part
from catalog.usecases.part_finding import PartFinder
from catalog.usecases.refusals import Taken
from kits.domain.money import Money, decimals_of, money
from service.errors import Conflict, DomainError, Invalid, Stale
from service.operations.changes import NewChange, append, lock_feed
from service.operations.models import Dealer

Row = Mapping[str, Any]
STALE = "It has changed since it was read; read it again and send the new ETag in If-Match."


class InUse(Conflict):
    """Something else rests on it, so it cannot go."""

    code = "in_use"


@dataclass(frozen=True, slots=True)
class Owner:
    """The dealer a change is for, and when it is made."""

    dealer: Dealer
    now: datetime


@contextmanager
def told(kind: str, row: Any, owner: Owner, *, taken: str = "") -> Iterator[None]:
    """A change of the dealer's own in one transaction, told in the feed. `taken` is said where it is there already."""
    name = kind.partition(".")[0]
    try:
        with transaction.atomic():
            lock_feed()
            yield
            append(NewChange(kind, name, row.pk, owner.dealer, {"version": row.version}), owner.now)
    except IntegrityError:
        if not taken:
            raise
        raise Taken(taken) from None


def move_on(row: Any) -> None:
    """Raises Stale where the row has changed since it was read; after it the row is this transaction's."""
    mine = type(row).objects.filter(pk=row.pk, version=row.version)
    if not mine.update(version=row.version + 1):
        raise Stale(STALE)
    row.version += 1


def removed(row: Any, why: str) -> None:
    """Take the row away at the version that was read. Raises Stale, and InUse where something rests on it."""
    try:
        gone, _ = type(row).objects.filter(pk=row.pk, version=row.version).delete()
    except (models.ProtectedError, models.RestrictedError):
        raise InUse(why) from None
    if not gone:
        raise Stale(STALE)


def part_of(entry: Any, pointer: str = "/part") -> Part:
    """The part that is named. Raises UnknownPart and its like, with suggestions."""
    name = named_part(entry, pointer)
    found = PartFinder([name], loading.standing().stamp).find(name)
    return Part.objects.select_related("maker").get(pk=found.id)


def ticks_of(entry: Row | None, pointer: str, *, paid: bool = False) -> tuple[int | None, str]:
    """An amount in ten-thousandths and its currency. `paid` refuses decimals that the currency is not paid in."""
    if entry is None:
        return None, ""
    try:
        found = money(f"{Decimal(entry['amount']):f}", entry["currency"])
    except DomainError as error:
        member = "currency" if error.code == "unknown_currency" else "amount"
        raise type(error)(error.message, pointer=f"{pointer}/{member}", code=error.code) from None
    if paid and found != found.rounded:
        words = (
            f"{found.shown}: the currency has {decimals_of(found.currency)} decimals; give an amount that can be paid."
        )
        raise Invalid(words, pointer=f"{pointer}/amount", code="too_fine")
    return found.ticks, found.currency


def currency_of(code: str, pointer: str = "/currency") -> str:
    try:
        decimals_of(code)
    except Invalid as error:
        raise Invalid(error.message, pointer=pointer, code=error.code) from None
    return code


def money_document(ticks: int | None, currency: str) -> dict[str, str] | None:
    return None if ticks is None else {"amount": Money(ticks, currency).amount, "currency": currency}


def content_of(entry: Row | None, pointer: str = "/content") -> int | None:
    """The microlitres of one container."""
    if entry is None:
        return None
    try:
        found = quantity(f"{Decimal(entry['value']):f}", entry["unit"])
        same_dimension(found, Dimension.VOLUME)
    except DomainError as error:
        raise type(error)(error.message, pointer=pointer, code=error.code) from None
    if found.amount < 1:
        raise Invalid("A container holds something; give what one holds, like 5 L.", pointer=pointer, code="volume")
    return found.amount


def content_document(content: int | None) -> dict[str, str] | None:
    if content is None:
        return None
    value, unit = Quantity(content, Dimension.VOLUME, "L").in_unit()
    return {"value": f"{value:f}", "unit": unit}


def part_document(part: Part) -> dict[str, Any]:
    return {"id": part.pk, "maker": part.maker.code, "number": part.number, "name": part.name}


def span_of(entry: Mapping[str, date] | None, pointer: str = "/promised") -> tuple[date | None, date | None]:
    """Both ends of a promise. Raises Invalid for one that ends before it starts."""
    if entry is None:
        return None, None
    if entry["latest"] < entry["earliest"]:
        words = "The latest day is before the earliest; give the later one as latest."
        raise Invalid(words, pointer=f"{pointer}/latest", code="ends_before_it_starts")
    return entry["earliest"], entry["latest"]


def span_document(earliest: date | None, latest: date | None) -> dict[str, str] | None:
    if earliest is None or latest is None:
        return None
    return {"earliest": earliest.isoformat(), "latest": latest.isoformat()}
