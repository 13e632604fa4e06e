from datetime import datetime, timedelta

import pytest
from django.db import transaction
from pytest_django import DjangoAssertNumQueries

from service.operations import changes, jobs
from service.operations.changes import NewChange
from service.operations.housekeeping import enqueue_daily
from service.operations.models import Change, Dealer, Job
from tests.operations.workers import at_once

pytestmark = pytest.mark.db


def changed(name: str, now: datetime, dealer: Dealer | None = None) -> int:
    with transaction.atomic():
        return changes.append(NewChange("changed", "part", name, dealer), now).seq


def test_a_reader_gets_what_is_shared_and_its_own_and_nothing_of_another(
    now: datetime, tallis_bridge: Dealer, weir_lane: Dealer
) -> None:
    changed("shared", now)
    changed("ours", now, tallis_bridge)
    changed("theirs", now, weir_lane)
    seen = changes.read_after(0, dealer=tallis_bridge).changes
    assert [change.object_id for change in seen] == ["shared", "ours"]
    assert [change.object_id for change in changes.read_after(0, dealer=None).changes] == ["shared"]


def test_pages_follow_each_other_without_gap_or_repeat(now: datetime, tallis_bridge: Dealer) -> None:
    numbers = [changed(str(number), now) for number in range(5)]
    seen, cursor, more = [], 0, True
    while more:
        page = changes.read_after(cursor, dealer=tallis_bridge, limit=2)
        seen += [change.seq for change in page.changes]
        cursor, more = page.cursor, page.more
    assert seen == numbers
    assert changes.read_after(cursor, dealer=tallis_bridge) == changes.FeedPage((), cursor, more=False)
    assert changes.newest(tallis_bridge) == numbers[-1]


def test_many_changes_are_added_in_their_order_in_one_insert(
    now: datetime, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    with transaction.atomic(), django_assert_max_num_queries(2):
        added = changes.append_all([NewChange("made", "part", number) for number in range(40)], now)
    assert [change.object_id for change in added] == [str(number) for number in range(40)]
    assert [change.seq for change in changes.read_after(0, dealer=None).changes] == [change.seq for change in added]


@pytest.mark.django_db(transaction=True)
def test_a_change_outside_a_transaction_is_refused(now: datetime) -> None:
    with pytest.raises(RuntimeError, match="atomic"):
        changes.append(NewChange("changed", "part", 1), now)


def test_housekeeping_clears_what_is_over_thirty_days_old_and_says_so_to_a_late_reader(
    now: datetime, tallis_bridge: Dealer
) -> None:
    old = [changed(str(number), now - timedelta(days=31)) for number in range(3)]
    kept = changed("kept", now - timedelta(days=29))
    enqueue_daily(now)
    assert jobs.run_due(lambda: now) == 1
    assert list(Change.objects.values_list("seq", flat=True)) == [kept]
    with pytest.raises(changes.FeedTooOld) as refused:
        changes.read_after(old[-1] - 1, dealer=tallis_bridge)
    assert refused.value.context == {"kept_after": old[-1], "newest": kept}
    assert [change.seq for change in changes.read_after(old[-1], dealer=tallis_bridge).changes] == [kept]


def test_housekeeping_is_added_once_a_day(now: datetime) -> None:
    enqueue_daily(now)
    enqueue_daily(now + timedelta(hours=14))
    assert Job.objects.count() == 1
    enqueue_daily(now + timedelta(hours=15))
    assert Job.objects.count() == 2


@pytest.mark.django_db(transaction=True)
def test_a_reader_who_polls_while_others_write_misses_nothing(now: datetime) -> None:
    writers, each = 3, 15

    def write(number: int) -> list[int]:
        numbers = []
        for turn in range(each):
            with transaction.atomic():
                change = changes.append(NewChange("changed", "part", f"{number}-{turn}"), now)
                # Give the others time to overtake between drawing a number and committing it.
                for _ in range((number + turn) % 4):
                    changes.newest(None)
            numbers.append(change.seq)
        return numbers

    def read() -> list[int]:
        seen: list[int] = []
        while len(seen) < writers * each and (not seen or Change.objects.count() < writers * each or _more(seen)):
            seen += [change.seq for change in changes.read_after(seen[-1] if seen else 0, dealer=None).changes]
        return seen

    *written, seen = at_once(writers + 1, lambda number: write(number) if number < writers else read())
    assert seen == sorted(number for numbers in written for number in numbers)


def _more(seen: list[int]) -> bool:
    return Change.objects.filter(seq__gt=seen[-1]).exists()
