"""Rules of published maintenance schedules, kept number for number by the plans that write them down.

Sources beside each check. Texts of the US Army are cited by manual and paragraph.
"""

from __future__ import annotations

from datetime import date

import pytest

from catalog.domain.answers import Source, SourceKind
from kits.domain.calendar_spans import Span
from kits.domain.due import DecidedBy, Due
from kits.domain.due_states import DueState
from kits.domain.histories import History
from kits.domain.meters import Meter
from kits.domain.tasks import Every, Limits, TaskKind, Tolerance
from tests.domain.service_cast import NO_METER, asked, done, every, hours, limits, metered, plan_of, read, task, the_due

pytestmark = pytest.mark.domain
VARIANCE = Tolerance(10, Source(SourceKind.PUBLISHED, "DA PAM 738-750 para 3-3, as worked in PS Magazine 569"))


def yearly_due(as_of: date, *, months: int, last: date) -> Due:
    plan = plan_of(task("service", every(months=months), tolerance=VARIANCE))
    return the_due(asked(plan, NO_METER, as_of, done(last, None, "service")), "service")


@pytest.mark.parametrize(
    ("months", "last", "last_day"),
    [
        (12, date(1999, 5, 15), date(2000, 6, 20)),  # PS Magazine 569: annual, 15 May 00, 36 days late is 20 Jun
        (6, date(2005, 10, 17), date(2006, 5, 5)),  # PS Magazine 636: semiannual, 17 Apr 06, 18 days late is 5 May
    ],
)
def test_ten_percent_of_variance_ends_on_the_printed_day(months: int, last: date, last_day: date) -> None:
    assert yearly_due(last_day, months=months, last=last).state is DueState.DUE
    after = date.fromordinal(last_day.toordinal() + 1)
    assert yearly_due(after, months=months, last=last).state is DueState.OVERDUE


@pytest.mark.parametrize(("months", "days"), [(3, 9), (6, 18), (12, 36)])
def test_the_variance_table_of_days(months: int, days: int) -> None:
    # PS Magazine 580: quarterly 90 days give 9, semiannual 180 give 18, annual 360 give 36.
    assert Span(months).shortest_days * 10 // 100 == days
    assert yearly_due(date(2020, 1, 1), months=months, last=date(2019, 12, 1)).point.late_days == days


def test_the_variance_is_the_same_for_hours() -> None:
    # PS Magazine 569: "works for hours or miles"; some work is too critical for any.
    plan = plan_of(task("service", every(250), tolerance=VARIANCE), task("strict", every(250), emission=True))
    question = asked(plan, NO_METER, date(2020, 1, 1), done(date(2019, 1, 1), 100, "service", "strict"))
    assert the_due(question, "service").point.late_hours == hours(25)
    assert the_due(question, "strict").point.late_hours == 0


@pytest.mark.parametrize(
    ("shown", "as_of", "decided", "state"),
    [
        (1070, date(2025, 3, 1), DecidedBy.CALENDAR, DueState.NOT_YET),
        (1300, date(2025, 3, 1), DecidedBy.HOURS, DueState.NOT_YET),
        (1500, date(2025, 3, 1), DecidedBy.HOURS, DueState.DUE),
        (1100, date(2026, 1, 1), DecidedBy.CALENDAR, DueState.DUE),
    ],
)
def test_existing_emergency_sets_change_oil_at_500_hours_or_yearly(
    shown: int, as_of: date, decided: DecidedBy, state: DueState
) -> None:
    # 40 CFR 63 subpart ZZZZ table 2c: the oil and its filter at 500 h, or at a year where that is sooner.
    plan = plan_of(task("oil", every(500, months=12)))
    life = metered(read(date(2025, 1, 1), 1000), read(date(2025, 2, 1), 1040), read(as_of, shown), as_of=as_of)
    due = the_due(asked(plan, life, as_of, done(date(2025, 1, 1), 1000, "oil")), "oil")
    assert due.point.hours == hours(1500)
    assert due.point.on == date(2026, 1, 1)
    assert due.state is state
    assert due.decided_by is decided


def test_a_set_on_standby_is_serviced_by_the_calendar_whatever_its_hours() -> None:
    # TM 9-6115-464-12 para 2-13: oil and filter at most 6 months, fuel filters at most 12, exercise every 30 days.
    plan = plan_of(
        task("oil", every(months=6)), task("fuel_filters", every(months=12)),
        task("exercise", every(days=30), kind=TaskKind.TEST),
    )  # fmt: skip
    question = asked(plan, NO_METER, date(2026, 3, 1), done(date(2025, 8, 31), None, "oil", "fuel_filters", "exercise"))
    days = {code: the_due(question, code).point.on for code in ("oil", "fuel_filters", "exercise")}
    assert days == {"oil": date(2026, 2, 28), "fuel_filters": date(2026, 8, 31), "exercise": date(2025, 9, 30)}


@pytest.mark.parametrize(("row", "h"), [("oil", 100), ("filter", 200), ("plugs", 300), ("breather", 500)])
def test_a_small_genset_by_its_maker_s_sheet(row: str, h: int) -> None:
    # A genset maker's published service schedule: oil yearly or 100 h, filter 200 h, plugs 300 h, breather 500 h.
    plan = plan_of(task(row, every(h, months=12)))
    due = the_due(asked(plan, NO_METER, date(2026, 1, 1), done(date(2025, 6, 1), 40, row)), row)
    assert (due.point.hours, due.point.on) == (hours(40 + h), date(2026, 6, 1))


@pytest.mark.parametrize("first", [limits(25), limits(20, months=1), limits(5)])
def test_break_in_oil_comes_first_and_then_the_normal_interval(first: Limits) -> None:
    # Genset and engine makers' published service schedules: first at 25 h, at 20 h or a month, at 5 h.
    plan = plan_of(task("oil", Every(limits(100, months=12), first=first)))
    day = date(2026, 1, 10)
    new = History(in_service=day, complete=True)
    point = the_due(asked(plan, metered(read(day, 0), as_of=day), day, history=new), "oil").point
    assert point.hours == first.hours
    assert point.on == (date(2026, 2, 10) if first.span else date(2027, 1, 10))
    later = History(in_service=day, complete=True, done=(done(date(2026, 1, 20), 4, "oil"),))
    assert the_due(asked(plan, NO_METER, day.replace(day=21), history=later), "oil").point.hours == hours(104)


def test_lifetime_hours_add_the_present_meter_to_the_ones_before() -> None:
    # US Army equipment-records pamphlet (DA PAM 738-750 / 750-8): the present meter is added to use on previous ones.
    day = date(2026, 3, 1)
    meters = (
        Meter("first", removed_on=date(2020, 5, 1), removed_at=hours(1200)),
        Meter("second", fitted_on=date(2020, 5, 1), removed_on=date(2024, 5, 1), removed_at=hours(800)),
        Meter("third", fitted_on=date(2024, 5, 1)),
    )
    life = metered(read(day, 150, "third"), as_of=day, meters=meters)
    assert life.last is not None
    assert life.last.hours == hours(1200 + 800 + 150)
