"""Money, days and instants as answers write them."""

from __future__ import annotations

from datetime import UTC, date, datetime

from kits.domain.money import Money


def amount(money: Money | None) -> dict[str, str] | None:
    return None if money is None else {"amount": money.amount, "currency": money.currency}


def ticks(count: int | None, currency: str) -> dict[str, str] | None:
    """An amount from its column."""
    return None if count is None else amount(Money(count, currency))


def day(when: date | None) -> str | None:
    return None if when is None else when.isoformat()


def instant(when: datetime | None) -> str | None:
    """RFC 3339 in UTC, with Z."""
    return None if when is None else when.astimezone(UTC).isoformat().replace("+00:00", "Z")
