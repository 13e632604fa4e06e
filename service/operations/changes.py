"""Writing and reading the feed.

A reader keeps the last number it saw and asks for what came after. That is only safe when numbers appear in the
order of commits, so on PostgreSQL a lock held to the end of the transaction is taken before a number is drawn;
otherwise a slow transaction could commit a lower number after a reader has passed it. SQLite has one writer.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import connection, transaction
from django.db.models import Max

from service.errors import Gone
from service.operations.models import Change, Dealer, FeedHorizon

# Any number will do as long as nothing else in this database locks on it.
FEED_LOCK = 7_305_114


class FeedTooOld(Gone):
    """The reader stopped before what is still kept; it has to start again from a whole copy."""

    code = "feed_cursor_too_old"


class FeedNeverSoFar(Gone):
    """The reader stands beyond the newest change: the feed it knew is not this one, so it has to start again too."""

    code = "feed_cursor_ahead"


@dataclass(frozen=True, slots=True)
class FeedPage:
    """Changes in order; ``cursor`` is what to ask after next, and ``more`` whether there is more already."""

    changes: tuple[Change, ...]
    cursor: int
    more: bool


@dataclass(frozen=True, slots=True)
class NewChange:
    """One change to be written: what was done to which thing; shared when no dealer is given."""

    kind: str
    object_type: str
    object_id: object
    dealer: Dealer | None = None
    payload: Mapping[str, Any] = field(default_factory=dict)


def append(made: NewChange, now: datetime) -> Change:
    """Add one change. Belongs in the transaction that makes the change."""
    return append_all([made], now)[0]


def append_all(made: Iterable[NewChange], now: datetime) -> tuple[Change, ...]:
    """Add changes in the order given, in one statement for all. Belongs in the transaction that makes them."""
    lock_feed()
    rows = [
        Change(
            kind=one.kind,
            object_type=one.object_type,
            object_id=str(one.object_id),
            dealer=one.dealer,
            payload=dict(one.payload),
            at=now,
        )
        for one in made
    ]
    return tuple(Change.objects.bulk_create(rows))


def lock_feed() -> None:
    """Make this transaction the only one that adds to the feed until it ends. Take it before other hot locks."""
    if not connection.in_atomic_block:
        raise RuntimeError("A change is written inside the transaction that makes it; open one with atomic().")
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [FEED_LOCK])


def read_after(cursor: int, *, dealer: Dealer | None, limit: int = 200) -> FeedPage:
    """Shared changes and this dealer's own with a number above ``cursor``.

    Raises ``FeedTooOld`` where some of them are kept no longer, ``FeedNeverSoFar`` for a number not yet given out.
    """
    found = tuple(Change.objects.visible_to(dealer).filter(seq__gt=cursor).order_by("seq")[: limit + 1])
    # Looked at after the changes: what was cleared away between the two statements is then never passed over.
    _refuse_too_old(cursor, dealer)
    if not found:
        _refuse_ahead(cursor)
    page = found[:limit]
    return FeedPage(changes=page, cursor=page[-1].seq if page else cursor, more=len(found) > limit)


def kept_after() -> int:
    """The number up to which changes are kept no longer; 0 while all are."""
    return FeedHorizon.objects.values_list("cleared_through", flat=True).first() or 0


def _refuse_too_old(cursor: int, dealer: Dealer | None) -> None:
    cleared = kept_after()
    if cursor < cleared:
        now_at = max(newest(dealer), cleared)
        raise FeedTooOld(
            f"Changes up to number {cleared} are kept no longer and {cursor} was asked for; "
            f"fetch everything once more and then ask for what came after {now_at}.",
            kept_after=cleared,
            newest=now_at,
        )


def _refuse_ahead(cursor: int) -> None:
    last: int | None = Change.objects.aggregate(last=Max("seq"))["last"]
    highest = max(last or 0, kept_after())
    if cursor > highest:
        raise FeedNeverSoFar(
            f"The newest change is number {highest} and {cursor} was asked for, which this feed never reached; "
            f"fetch everything once more and then ask for what came after {highest}.",
            newest=highest,
        )


def newest(dealer: Dealer | None) -> int:
    """The highest number this dealer can see; 0 when there is none. Cheap enough to stand for a list's version."""
    highest: int | None = Change.objects.visible_to(dealer).aggregate(highest=Max("seq"))["highest"]
    return highest or 0


def clear_before(instant: datetime) -> int:
    """Forget the changes made before ``instant`` and remember how far; answers how many went."""
    with transaction.atomic():
        lock_feed()
        old = Change.objects.filter(at__lt=instant)
        last: int | None = old.aggregate(last=Max("seq"))["last"]
        if last is None:
            return 0
        # By number, not by time: the feed is kept whole from one number on.
        forgotten, _ = Change.objects.filter(seq__lte=last).delete()
        FeedHorizon.objects.update_or_create(id=1, defaults={"cleared_through": last})
    return forgotten
