"""Laws of plans, meters and forecasts that hold whatever the numbers are."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.domain.calendar_spans import Span, months_later
from kits.domain.due_points import DuePoint, Recorded, repeated
from kits.domain.due_states import DueState
from kits.domain.histories import History, TimeDone, times_done
from kits.domain.lifetimes import lifetime
from kits.domain.meters import LifetimeReading, Meter, Reading
from kits.domain.plans import Level, ServicePlan, combined, inside, work_of_level
from kits.domain.tasks import Anchor, Every, Limits, Task, TaskKind
from kits.domain.use_profiles import UsePeriod, UseProfile
from kits.domain.windows import Window
from tests.domain.service_cast import asked, done, every, forecast, metered, plan_of, read, sure, task, the_due

pytestmark = pytest.mark.domain
START = date(2025, 1, 6)
days = st.dates(date(2000, 1, 1), date(2060, 12, 31))
intervals = st.integers(10, 20_000)
spans = st.builds(Span, st.integers(0, 60), st.integers(1, 400))
kinds = st.sampled_from(list(TaskKind))


def point(limits: Limits, anchor: Anchor, last: TimeDone) -> DuePoint:
    one = task("oil", Every(limits, anchor))
    history = History(in_service=date(2000, 1, 1), complete=True)
    assert isinstance(one.trigger, Every)
    return repeated(one, one.trigger, Recorded((last,), history), severe=False)


@given(
    intervals, spans, st.builds(Limits, st.integers(0, 9000), spans), st.builds(TimeDone, days, st.integers(0, 90_000))
)
def test_a_wider_interval_never_falls_due_earlier(interval: int, span: Span, more: Limits, last: TimeDone) -> None:
    longer = sure(more.span)
    wide = Limits(interval + sure(more.hours), Span(span.months + longer.months, span.days + longer.days))
    first, second = (point(limits, Anchor.LAST_DONE, last) for limits in (Limits(interval, span), wide))
    assert sure(first.hours) <= sure(second.hours)
    assert sure(first.on) <= sure(second.on)


@given(st.integers(100, 2000), st.integers(0, 500), st.integers(20, 200), st.integers(0, 120))
def test_a_wider_interval_is_never_more_pressing(interval: int, wider: int, rate: int, age: int) -> None:
    order = [DueState.NOT_YET, DueState.UNKNOWN, DueState.DUE, DueState.OVERDUE]
    as_of = START + timedelta(days=28 + age)
    readings = (read(START + timedelta(days=7 * n), 0.7 * rate * n) for n in range(5))
    life = metered(*readings, as_of=as_of)
    dues = [
        the_due(asked(plan_of(task("oil", every(h))), life, as_of, done(START, 0, "oil")), "oil")
        for h in (interval, interval + wider)
    ]
    assert order.index(dues[0].state) >= order.index(dues[1].state)
    for end in ("earliest", "likely", "latest"):
        first, second = (getattr(due.window, end) or date.max if due.window else date.max for due in dues)
        assert first <= second


@given(intervals, st.integers(0, 90_000), spans, days)
def test_fixed_multiples_come_next_after_the_last_time_and_within_one_interval(
    interval: int, at: int, span: Span, on: date
) -> None:
    found = point(Limits(interval, span), Anchor.FIXED_MULTIPLES, TimeDone(on, at))
    assert found.hours is not None
    assert found.on is not None
    assert found.hours % interval == 0
    assert at < found.hours <= at + interval
    assert on < found.on <= on + timedelta(days=span.months * 31 + span.days)


@given(days, st.integers(0, 600), st.integers(0, 600))
def test_months_keep_the_day_or_take_the_last_of_the_month_and_more_of_them_are_later(
    day: date, fewer: int, more: int
) -> None:
    found = months_later(day, fewer)
    assert found.day == day.day or (found + timedelta(days=1)).day == 1
    assert found <= months_later(day, fewer + more)
    assert (found.year - day.year) * 12 + found.month - day.month == fewer


@st.composite
def nested_plans(draw: st.DrawFn) -> ServicePlan:
    """Plans of a few subjects whose levels hold only levels before them."""
    count = draw(st.integers(1, 8))
    tasks = tuple(
        task(f"T{n}", every(100), kind=draw(kinds), subject=draw(st.sampled_from("abc"))) for n in range(count)
    )
    codes = [one.code for one in tasks]
    levels = tuple(
        Level(
            f"L{n}",
            f"L{n}",
            tuple(draw(st.lists(st.sampled_from(codes), max_size=6))),
            tuple(f"L{m}" for m in draw(st.sets(st.integers(0, n - 1)) if n else st.just(set()))),
        )
        for n in range(4)
    )
    return ServicePlan("plan", tasks, levels)


@given(nested_plans())
def test_a_level_does_everything_that_the_levels_inside_it_do_and_nothing_twice(plan: ServicePlan) -> None:
    work = work_of_level(plan, "L3")
    wanted = {name for code in inside(plan, "L3") for name in plan.level(code).tasks}
    assert len(set(work.codes)) == len(work.codes)
    assert set(work.codes) | {one.task.code for one in work.beaten} == wanted
    assert set(work.codes).isdisjoint(one.task.code for one in work.beaten)
    for one in work.beaten:
        assert one.by.code in work.codes
        assert one.by.subject == one.task.subject


@given(nested_plans(), st.randoms())
def test_the_order_of_tasks_changes_nothing_of_what_is_done(plan: ServicePlan, chance: Random) -> None:
    tasks: list[Task] = list(plan.tasks)
    chance.shuffle(tasks)
    assert set(combined(tasks).codes) == set(combined(plan.tasks).codes)


@given(nested_plans())
def test_a_large_service_restarts_every_small_count_and_a_small_one_no_large_one(plan: ServicePlan) -> None:
    times = times_done(plan, History(done=(done(START, 100, levels=("L3",)),)), START)
    for code in inside(plan, "L3"):
        assert all(times[name] for name in plan.level(code).tasks)
    small = work_of_level(plan, "L0")
    alone = times_done(plan, History(done=(done(START, 100, levels=("L0",)),)), START)
    for one in plan.tasks:
        if alone[one.code] and one.code not in small.codes:
            assert any(did.stands_in_for(one) for did in small.tasks)


steady = st.integers(1, 200)
places = st.lists(st.integers(1, 60), min_size=2, max_size=30, unique=True)


@given(steady, places, st.integers(0, 20), st.integers(1, 5000))
def test_more_readings_of_the_same_rate_never_move_the_due_date(
    rate: int, more: list[int], extra: int, left: int
) -> None:
    offsets = sorted({0, 61, 122, *more})
    few, many = (0, 61, 122), tuple(offsets)
    last = START + timedelta(days=122)
    found = [
        forecast(
            tuple(LifetimeReading(START + timedelta(days=n), rate * n) for n in seen),
            rate * 122 + left, as_of=last + timedelta(days=extra),
        )
        for seen in (few, many)
    ]  # fmt: skip
    first, second = found
    assert first is not None
    assert second is not None
    assert first.window.likely == second.window.likely


@given(steady, st.integers(1, 60), st.integers(1, 3000))
def test_a_later_reading_of_the_same_rate_never_moves_the_due_date(rate: int, later: int, left: int) -> None:
    # Within the ten years that are worth forecasting, which count from the last reading.
    seen = [LifetimeReading(START + timedelta(days=n), rate * n) for n in (0, 30, 60, 60 + later)]
    due_at = seen[-1].hours + left
    found = [forecast(tuple(readings), due_at, as_of=seen[-1].on) for readings in (seen[:3], seen)]
    assert found[0] is not None
    assert found[1] is not None
    assert found[0].window.likely == found[1].window.likely


@given(st.lists(st.integers(0, 240), min_size=3, max_size=12), st.integers(1, 5000))
def test_a_forecast_has_its_days_in_order_and_is_never_one_day(gains: list[int], left: int) -> None:
    readings = [LifetimeReading(START, 0)]
    for gain in gains:
        readings.append(LifetimeReading(readings[-1].on + timedelta(days=7), readings[-1].hours + gain * 7))
    found = forecast(tuple(readings), readings[-1].hours + left, as_of=readings[-1].on)
    if found is None:
        assert not any(gains)
        return
    ends = [end or date.max for end in (found.window.earliest, found.window.likely, found.window.latest)]
    assert ends == sorted(ends)
    assert ends[0] < ends[2] or found.window.earliest is None
    assert ends[0] >= readings[-1].on


@given(
    st.lists(st.integers(1, 240), min_size=2, max_size=8),
    st.lists(st.tuples(st.integers(1, 7), st.integers(0, 99_999)), max_size=4),
)
def test_replaced_meters_equal_one_long_meter(gains: list[int], changes: list[tuple[int, int]]) -> None:
    """`changes`: after which reading a meter was replaced, and what the new one began at."""
    seen = [(START, 100)]
    for gain in gains:
        seen.append((seen[-1][0] + timedelta(days=1), seen[-1][1] + gain))
    one_long = lifetime((Meter("M"),), tuple(Reading("M", on, at) for on, at in seen), as_of=seen[-1][0])
    meters, readings = [Meter("M0")], []
    began_at, base = 0, 0
    starts = {min(after, len(seen) - 1): start for after, start in changes}
    for n, (on, at) in enumerate(seen):
        readings.append(Reading(meters[-1].code, on, began_at + at - base))
        if n in starts and n < len(seen) - 1:
            meters[-1] = replace(meters[-1], removed_on=on, removed_at=began_at + at - base)
            began_at, base = starts[n], at
            meters.append(Meter(f"M{len(meters)}", fitted_on=on, start=began_at))
    many = lifetime(tuple(meters), tuple(readings), as_of=seen[-1][0])
    assert many.held == one_long.held == ()
    assert many.readings == one_long.readings


@given(st.lists(st.integers(0, 3000), min_size=1, max_size=12), st.randoms())
def test_lifetime_never_falls_and_every_reading_is_kept_or_held(shown: list[int], chance: Random) -> None:
    readings = [Reading("M1", START + timedelta(days=n), at) for n, at in enumerate(shown)]
    chance.shuffle(readings)
    life = lifetime((Meter("M1"),), tuple(readings), as_of=START + timedelta(days=20))
    hours = [reading.hours for reading in life.readings]
    assert hours == sorted(hours)
    assert len(life.readings) + len(life.held) == len(readings)


@given(st.integers(0, 200), st.integers(0, 40), st.integers(1, 3000))
def test_more_hours_a_day_never_come_due_later(least: int, more: int, left: int) -> None:
    def window(low: int) -> Window:
        profile = UseProfile((UsePeriod(low, low + 40, first=START),))
        here = (LifetimeReading(START, 0),)
        return sure(forecast(here, left, as_of=START, profile=profile)).window

    slow, fast = window(least), window(least + min(more, 200 - least))
    assert (fast.earliest or date.max) <= (slow.earliest or date.max)
    assert (fast.latest or date.max) <= (slow.latest or date.max)
