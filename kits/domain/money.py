"""Amounts of money: whole ten-thousandths with their currency, rounded where this says so and nowhere else."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from kits.domain.currencies import DECIMALS
from service.errors import Conflict, Invalid

TICKS = 10_000  # of one unit of a currency
_PLACES = 4
_AMOUNT = re.compile(r"(-?)(\d{1,14})(?:\.(\d+))?", re.ASCII)


class MixedCurrencies(Conflict):
    """Amounts in several currencies were to be added or compared."""

    code = "mixed_currencies"


class Rounding(StrEnum):
    """Where a total is rounded; the two differ, so every total says which it is."""

    BY_LINE = "by_line"
    ON_THE_SUM = "on_the_sum"


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in ten-thousandths of its currency. A unit price may be finer than the currency is paid in."""

    ticks: int
    currency: str

    def __post_init__(self) -> None:
        decimals_of(self.currency)

    def __add__(self, other: Money) -> Money:
        return Money(self.ticks + other.ticks_in(self.currency), self.currency)

    def __sub__(self, other: Money) -> Money:
        return Money(self.ticks - other.ticks_in(self.currency), self.currency)

    def __mul__(self, count: int) -> Money:
        return Money(self.ticks * count, self.currency)

    def __lt__(self, other: Money) -> bool:
        return self.ticks < other.ticks_in(self.currency)

    def ticks_in(self, currency: str) -> int:
        """The ticks, if they are of that currency. Raises MixedCurrencies."""
        if self.currency != currency:
            raise MixedCurrencies(
                f"{self.shown} and an amount in {currency} are never added or compared; total each currency by itself.",
                currencies=sorted((self.currency, currency)),
            )
        return self.ticks

    @property
    def rounded(self) -> Money:
        """To the decimals the currency is paid in; a half goes away from zero."""
        step = _step(self.currency)
        whole = (abs(self.ticks) + step // 2) // step * step
        return Money(whole if self.ticks >= 0 else -whole, self.currency)

    @property
    def amount(self) -> str:
        """The decimal text, with at least the decimals of the currency and no zeros beyond them."""
        least = DECIMALS[self.currency]
        whole, rest = divmod(abs(self.ticks), TICKS)
        digits = f"{rest:0{_PLACES}d}"
        fraction = digits[:least] + digits[least:].rstrip("0")
        sign = "-" if self.ticks < 0 else ""
        return f"{sign}{whole}.{fraction}" if fraction else f"{sign}{whole}"

    @property
    def shown(self) -> str:
        return f"{self.amount} {self.currency}"


def decimals_of(currency: str) -> int:
    """Raises Invalid for a code whose decimals are not known."""
    if currency not in DECIMALS:
        raise Invalid(
            f"{currency!r} is no currency of ISO 4217 whose decimals are known here; give its code of three capitals, "
            "such as USD.",
            code="unknown_currency",
        )
    return DECIMALS[currency]


def money(amount: str, currency: str) -> Money:
    """An amount from its decimal text with a dot, as in ``2.335``. Raises Invalid; nothing is rounded on the way in."""
    found = _AMOUNT.fullmatch(amount)
    if found is None:
        raise Invalid(f"{amount[:40]!r} is no amount; give digits with a dot, such as 12.30.", code="not_an_amount")
    fraction = (found[3] or "").rstrip("0")
    if len(fraction) > _PLACES:
        raise Invalid(
            f"{amount[:40]} has more than {_PLACES} decimals; amounts are kept to {_PLACES}.", code="too_fine"
        )
    ticks = int(found[2]) * TICKS + int(fraction.ljust(_PLACES, "0"))
    return Money(-ticks if found[1] else ticks, currency)


def line_total(unit_price: Money, quantity: int) -> Money:
    """What a line comes to, rounded as money is paid: 3 at 2.335 USD are 7.01."""
    return (unit_price * quantity).rounded


def total(amounts: Iterable[Money], currency: str, rounding: Rounding) -> Money:
    """The sum of unrounded line amounts in that currency, rounded as told. Raises MixedCurrencies."""
    parts = tuple(amounts)
    if rounding is Rounding.BY_LINE:
        parts = tuple(part.rounded for part in parts)
    return Money(sum(part.ticks_in(currency) for part in parts), currency).rounded


def totals_by_currency(amounts: Iterable[Money]) -> tuple[Money, ...]:
    """One sum for each currency, in the order of their codes. Nothing is rounded."""
    sums: dict[str, int] = {}
    for part in amounts:
        sums[part.currency] = sums.get(part.currency, 0) + part.ticks
    return tuple(Money(ticks, currency) for currency, ticks in sorted(sums.items()))


def _step(currency: str) -> int:
    return int(10 ** (_PLACES - DECIMALS[currency]))
