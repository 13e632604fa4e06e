"""For whom a counter answer is, at which branch and when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from catalog.usecases.checking import Tell
from kits.domain.counter.offering import OfferFirst
from kits.domain.counter.shelf import Counter
from service.operations.models import Branch


@dataclass(frozen=True, slots=True)
class CounterAsking:
    """`tell` writes the problem of a needed part that could not be decided."""

    branch: Branch
    asked_by: str
    now: datetime
    tell: Tell
    first: OfferFirst = OfferFirst.OLD_STOCK

    @property
    def counter(self) -> Counter:
        return Counter(self.branch.name, self.now, self.branch.today(self.now), ZoneInfo(self.branch.zone))
