"""What may be offered at the counter, in which order, and how old what is said of the shelf may be.

Where the application permits it free old stock is offered first, then the current number; a dealer may turn that round
(common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from catalog.domain.answers import Verdict
from kits.domain.counter.shelf import Counter, OnShelf

STALE_AFTER = timedelta(days=1)  # stock files come nightly; what is older is said to be (common practice, no source)


class OfferFirst(StrEnum):
    OLD_STOCK = "old_stock"
    CURRENT = "current"


class OfferState(StrEnum):
    OFFERED = "offered"
    ONLY_IF = "only_if"  # with the conditions of its check
    NOT_OFFERED = "not_offered"


class Sort(StrEnum):
    OLD_STOCK = "old_stock"
    CURRENT = "current"
    ALTERNATIVE = "alternative"


def offer_state(verdict: Verdict | None) -> OfferState:
    """A question that could not be decided has no verdict, and nothing is offered on it."""
    if verdict is Verdict.ACCEPTED:
        return OfferState.OFFERED
    return OfferState.ONLY_IF if verdict is Verdict.CONDITIONAL else OfferState.NOT_OFFERED


@dataclass(frozen=True, slots=True)
class Choice:
    """Something that may be handed over, with the verdict of its own check.

    `parts` are all needed; of each the shelf, or one for every size of container it is known in, of which one will do.
    """

    sort: Sort
    verdict: Verdict | None
    parts: tuple[tuple[OnShelf, ...], ...]

    @property
    def shelves(self) -> tuple[OnShelf, ...]:
        return tuple(shelf for sizes in self.parts for shelf in sizes)

    def free(self, today: date) -> int | None:
        """Pieces of one part, whole sets of several; None where any of it is not recorded, or is no piece."""
        counts = [_times(shelf, today, each=len(self.parts) > 1) for shelf in self.shelves]
        return None if None in counts else min((count for count in counts if count is not None), default=None)

    def lies_free(self, today: date) -> bool:
        return bool(self.parts) and all(any(shelf.lies_free(today) for shelf in sizes) for sizes in self.parts)

    def enough(self, today: date) -> bool | None:
        told = [shelf.enough(today) for shelf in self.shelves]
        if False in told:
            return False
        return None if None in told or not told else True


def _times(shelf: OnShelf, today: date, *, each: bool) -> int | None:
    """How many are free; with `each` how many times as many as are needed."""
    free = None if shelf.content is not None else shelf.free(today)
    if free is None or not each:
        return free
    return free // shelf.needed if shelf.needed else None


def in_order(current: Choice, old: Iterable[Choice], first: OfferFirst, today: date) -> tuple[Choice, ...]:
    """What to offer, the first first: free old stock before or behind the current number.

    Old stock whose verdict is worse than the current number's stands behind it whatever the dealer prefers.
    """
    lying = [one for one in old if one.lies_free(today) and offer_state(one.verdict) is not OfferState.NOT_OFFERED]
    if offer_state(current.verdict) is OfferState.NOT_OFFERED:
        return ()
    as_good = [one for one in lying if one.verdict is current.verdict or one.verdict is Verdict.ACCEPTED]
    worse = [one for one in lying if one not in as_good]
    before, behind = (as_good, worse) if first is OfferFirst.OLD_STOCK else ([], [*as_good, *worse])
    return (*before, current, *behind)


@dataclass(frozen=True, slots=True)
class Feed:
    """The last file of one feed that was applied: when that was, and the day the file speaks of."""

    name: str
    applied_at: datetime
    supplied_on: date


@dataclass(frozen=True, slots=True)
class Age:
    """`as_of` is the oldest of the feeds, None where no file was ever applied; then `stale` is not known either."""

    as_of: Feed | None
    stale: bool | None


def age_of(feeds: Sequence[Feed], counter: Counter) -> Age:
    """How old what is recorded may be: as old as the feed that was heard least lately."""
    if not feeds:
        return Age(None, None)
    oldest = min(feeds, key=lambda feed: (feed.supplied_on, feed.applied_at))
    return Age(oldest, any(_is_late(feed, counter) for feed in feeds))


def _is_late(feed: Feed, counter: Counter) -> bool:
    return counter.now - feed.applied_at > STALE_AFTER or counter.today - feed.supplied_on > STALE_AFTER
