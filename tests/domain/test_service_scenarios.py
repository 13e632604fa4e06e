"""Acceptance scenarios 23, 26, 28, 30 and 32 on the domain, number for number."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from kits.domain.calendar_spans import Span, months_later
from kits.domain.due import DecidedBy
from kits.domain.due_states import DueState
from kits.domain.histories import History
from kits.domain.meters import Meter
from kits.domain.plans import Level, work_of_level
from kits.domain.tasks import Anchor, Every, TaskKind
from kits.domain.use_profiles import UsePeriod, UseProfile
from tests.domain.service_cast import asked, done, every, hours, limits, metered, plan_of, read, task, the_due

pytestmark = pytest.mark.domain
A_DAY = timedelta(days=1)


def test_scenario_23_the_large_level_holds_the_lines_of_the_small_one_once() -> None:
    oil, washer = task("oil_filter", every(250)), task("drain_washer", every(250))
    look = task("look_at_plugs", every(250), kind=TaskKind.INSPECT, subject="spark_plug")
    plugs, air = task("new_plugs", every(500), subject="spark_plug"), task("air_element", every(500))
    levels = (
        Level("250", "250 h", ("oil_filter", "drain_washer", "look_at_plugs")),
        Level("500", "500 h", ("new_plugs", "air_element", "oil_filter"), contains=("250",)),
    )
    work = work_of_level(plan_of(oil, washer, look, plugs, air, levels=levels), "500")
    assert work.codes == ("oil_filter", "drain_washer", "new_plugs", "air_element")
    assert [(one.task.code, one.by.code) for one in work.beaten] == [("look_at_plugs", "new_plugs")]


def test_scenario_26_truck_7_comes_due_by_hours_within_three_days_of_march() -> None:
    seen = ((1, 12, 4310), (1, 26, 4368), (2, 9, 4422), (2, 23, 4481), (3, 9, 4529))
    today = date(2026, 3, 9)
    life = metered(*(read(date(2026, month, day), h) for month, day, h in seen), as_of=today)
    plan = plan_of(task("oil", every(250, months=6)))
    due = the_due(asked(plan, life, today, done(date(2026, 1, 12), 4310, "oil")), "oil")
    assert (due.point.hours, due.point.on) == (hours(4560), date(2026, 7, 12))
    assert due.window is not None
    assert due.window.earliest is not None
    assert due.window.latest is not None
    assert abs(due.window.earliest - date(2026, 3, 16)) <= A_DAY
    assert abs(due.window.latest - date(2026, 3, 18)) <= A_DAY
    assert due.window.earliest < due.window.latest
    assert due.decided_by is DecidedBy.HOURS
    assert due.state is DueState.NOT_YET
    assert due.words.endswith("from 5 readings, last one 0 days old; hours decide")


def test_scenario_28_a_replaced_meter_adds_up_and_the_500_h_service_is_due_now() -> None:
    meters = (
        Meter("old", removed_on=date(2026, 2, 3), removed_at=hours(7842)),
        Meter("new", fitted_on=date(2026, 2, 3), start=hours(3)),
    )
    today = date(2026, 3, 17)
    life = metered(read(today, 161, "new"), as_of=today, meters=meters)
    assert life.last is not None
    assert life.last.hours == hours(8000)
    due = the_due(asked(plan_of(task("big", every(500))), life, today, done(date(2025, 11, 3), 7500, "big")), "big")
    assert due.point.hours == hours(8000)
    assert due.state is DueState.DUE


def pump_3(*, severe: bool) -> UseProfile:
    return UseProfile((UsePeriod(hours(14), hours(20), first=date(2026, 4, 20)),), severe=severe)


def test_scenario_30_pump_3_is_forecast_from_its_season_alone() -> None:
    today = date(2026, 4, 10)
    life = metered(read(date(2025, 9, 20), 3120), read(today, 3120), as_of=today)
    plan = plan_of(task("oil", every(250), severe_percent=50))
    record = done(date(2025, 9, 20), 3120, "oil")
    due = the_due(asked(plan, life, today, record, profile=pump_3(severe=False)), "oil")
    assert due.window is not None
    assert (due.window.earliest, due.window.latest) == (date(2026, 5, 2), date(2026, 5, 7))
    assert due.decided_by is DecidedBy.HOURS
    severe = the_due(asked(plan, life, today, record, profile=pump_3(severe=True)), "oil")
    assert severe.point.hours == hours(3245)


@pytest.mark.parametrize(("anchor", "expected"), [(Anchor.LAST_DONE, 225), (Anchor.FIXED_MULTIPLES, 200)])
def test_scenario_32_the_break_in_oil_anchors_the_next_as_the_row_says(anchor: Anchor, expected: int) -> None:
    today = date(2026, 3, 9)
    plan = plan_of(task("oil", Every(limits(200), anchor, first=limits(25))))
    new = History(in_service=date(2026, 1, 1), complete=True)
    life = metered(read(today, 25), as_of=today)
    assert the_due(asked(plan, life, today, history=new), "oil").point.hours == hours(25)
    broken_in = History(in_service=date(2026, 1, 1), complete=True, done=(done(today, 25, "oil"),))
    assert the_due(asked(plan, life, today, history=broken_in), "oil").point.hours == hours(expected)


def test_scenario_32_twelve_months_after_a_leap_day_are_the_28th_and_forty_eight_the_29th() -> None:
    assert months_later(date(2024, 2, 29), 12) == date(2025, 2, 28)
    assert [Span(12).after(date(2024, 2, 29), times) for times in (1, 4)] == [date(2025, 2, 28), date(2028, 2, 29)]
