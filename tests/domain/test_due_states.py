"""The state of a task on a day: by reading, by day, by forecast, and unknown with what is missing."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from catalog.domain.answers import Source, SourceKind
from catalog.domain.applicability import Applicability
from kits.domain.due import Asked, DecidedBy, due_list
from kits.domain.due_states import DueState
from kits.domain.forecasting import ForecastBasis
from kits.domain.histories import History
from kits.domain.tasks import Once, TaskKind, Tolerance
from kits.domain.use_profiles import UsePeriod, UseProfile
from tests.domain.service_cast import (
    NO_METER,
    STATISTICS,
    asked,
    done,
    every,
    hours,
    limits,
    metered,
    plan_of,
    read,
    sure,
    task,
    the_due,
)

pytestmark = pytest.mark.domain
JAN, FEB, MAR = date(2026, 1, 5), date(2026, 2, 5), date(2026, 3, 5)
TEN_PERCENT = Tolerance(10, Source(SourceKind.PUBLISHED, "PS Magazine 569"))
OIL = plan_of(task("oil", every(250)))
YEARLY = plan_of(task("oil", every(months=12)))


@pytest.mark.parametrize(
    ("shown", "state"), [(749.9, DueState.NOT_YET), (750, DueState.DUE), (750.1, DueState.OVERDUE)]
)
def test_without_a_granted_tolerance_a_tenth_of_an_hour_late_is_late(shown: float, state: DueState) -> None:
    life = metered(read(MAR, shown), as_of=MAR)
    assert the_due(asked(OIL, life, MAR, done(JAN, 500, "oil")), "oil").state is state


@pytest.mark.parametrize(("shown", "state"), [(775, DueState.DUE), (775.1, DueState.OVERDUE)])
def test_a_granted_tolerance_counts_to_its_end(shown: float, state: DueState) -> None:
    plan = plan_of(task("oil", every(250), tolerance=TEN_PERCENT))
    life = metered(read(MAR, shown), as_of=MAR)
    assert the_due(asked(plan, life, MAR, done(JAN, 500, "oil")), "oil").state is state


@pytest.mark.parametrize(
    "strict",
    [{"emission": True}, {"warranty": True}, {"kind": TaskKind.EXAMINE}],
    ids=["emission", "warranty", "examination"],
)
def test_strict_work_has_no_tolerance_whatever_its_row_says(strict: dict[str, object]) -> None:
    plan = plan_of(task("oil", every(250), tolerance=TEN_PERCENT, **strict))  # type: ignore[arg-type]
    life = metered(read(MAR, 750.1), as_of=MAR)
    assert the_due(asked(plan, life, MAR, done(JAN, 500, "oil")), "oil").state is DueState.OVERDUE


def test_the_break_in_service_has_no_tolerance() -> None:
    plan = plan_of(task("oil", every(250), tolerance=TEN_PERCENT))
    new = History(in_service=JAN, complete=True)
    assert the_due(asked(plan, metered(read(MAR, 250.1), as_of=MAR), MAR, history=new), "oil").state is DueState.OVERDUE


@pytest.mark.parametrize(("days", "state"), [(-1, DueState.NOT_YET), (0, DueState.DUE), (1, DueState.OVERDUE)])
def test_the_calendar_is_due_on_its_day_and_overdue_on_the_next(days: int, state: DueState) -> None:
    as_of = date(2026, 1, 5) + timedelta(days=days)
    due = the_due(asked(YEARLY, NO_METER, as_of, done(date(2025, 1, 5), None, "oil")), "oil")
    assert due.state is state
    assert due.decided_by is DecidedBy.CALENDAR


def test_one_reading_gives_the_calendar_alone_and_says_that_hours_are_unknown() -> None:
    plan = plan_of(task("oil", every(250, months=12)))
    due = the_due(asked(plan, metered(read(JAN, 510), as_of=MAR), MAR, done(JAN, 500, "oil")), "oil")
    assert due.decided_by is DecidedBy.CALENDAR
    assert due.window is not None
    assert due.window.likely == date(2027, 1, 5)
    assert due.words.endswith("hours unknown")
    assert due.state is DueState.UNKNOWN  # 59 days may hold 240 h
    assert [fact.name for fact in due.missing] == ["meter reading"]


def test_what_the_clock_forbids_is_not_yet_due_even_from_one_reading() -> None:
    due = the_due(asked(OIL, metered(read(MAR, 510), as_of=MAR), MAR, done(JAN, 500, "oil")), "oil")
    assert due.state is DueState.NOT_YET
    assert due.window is None


def test_no_meter_leaves_the_calendar_to_decide() -> None:
    plan = plan_of(task("oil", every(250, months=12)), task("plugs", every(500)))
    question = asked(plan, NO_METER, MAR, done(JAN, None, "oil"), done(JAN, 500, "plugs"))
    assert the_due(question, "plugs").state is DueState.UNKNOWN
    assert [fact.name for fact in the_due(question, "plugs").missing] == ["hour meter"]


def test_without_a_record_of_the_last_time_nothing_is_promised() -> None:
    due = the_due(asked(OIL, metered(read(JAN, 2000), read(MAR, 2100), as_of=MAR), MAR), "oil")
    assert due.state is DueState.UNKNOWN
    assert [fact.name for fact in due.missing] == ["last oil"]
    assert due.window is None


def test_an_engine_too_young_for_the_work_needs_no_record() -> None:
    assert the_due(asked(OIL, metered(read(MAR, 40), as_of=MAR), MAR), "oil").state is DueState.NOT_YET


def test_a_calendar_that_has_run_out_is_due_though_the_hours_at_the_last_time_are_not_known() -> None:
    plan = plan_of(task("oil", every(250, months=1)))
    due = the_due(asked(plan, metered(read(MAR, 900), as_of=MAR), MAR, done(JAN, None, "oil")), "oil")
    assert due.state is DueState.OVERDUE


def forecast_question(as_of: date) -> Asked:
    life = metered(*(read(JAN + timedelta(days=7 * n), 500 + 28 * n) for n in range(6)), as_of=as_of)
    return asked(OIL, life, as_of, done(JAN, 500, "oil"))  # 4 h a day: 750 h after 62.5 days, on 8 March


def test_a_forecast_makes_due_from_its_likely_day_on_and_never_overdue() -> None:
    states = {as_of: the_due(forecast_question(as_of), "oil") for as_of in (date(2026, 2, 12), date(2026, 3, 8))}
    early, likely = states.values()
    assert early.state is DueState.NOT_YET
    assert likely.window is not None
    assert likely.window.likely == date(2026, 3, 8)
    assert (likely.state, [fact.name for fact in likely.missing]) == (DueState.DUE, ["meter reading"])
    assert the_due(forecast_question(date(2026, 4, 1)), "oil").state is DueState.DUE
    assert likely.window.earliest is not None
    between = the_due(forecast_question(likely.window.earliest), "oil")
    assert (between.state, [fact.name for fact in between.missing]) == (DueState.UNKNOWN, ["meter reading"])


def test_an_old_reading_widens_the_forecast_and_asks_for_a_new_one() -> None:
    fresh, stale = (the_due(forecast_question(JAN + timedelta(days=35 + age)), "oil") for age in (0, 100))
    narrow, wide = sure(fresh.window), sure(stale.window)
    assert narrow.likely == wide.likely
    assert sure(wide.latest) - sure(wide.earliest) > sure(narrow.latest) - sure(narrow.earliest)
    assert "meter reading" in [fact.name for fact in stale.missing]


def test_severe_duty_that_nobody_told_of_is_asked_for_where_it_would_change_the_answer() -> None:
    plan = plan_of(task("oil", every(250), severe_percent=50))
    due = the_due(asked(plan, metered(read(MAR, 700), as_of=MAR), MAR, done(JAN, 500, "oil")), "oil")
    assert due.state is DueState.UNKNOWN
    assert "severe duty" in [fact.name for fact in due.missing]
    assert due.if_severe is not None
    assert due.if_severe.hours == hours(625)
    told = UseProfile(severe=False)
    known = the_due(asked(plan, metered(read(MAR, 700), as_of=MAR), MAR, done(JAN, 500, "oil"), profile=told), "oil")
    assert known.state is DueState.NOT_YET


def test_a_task_of_another_engine_is_left_out_and_one_that_may_apply_is_unknown() -> None:
    other = task("oil", every(250), where=Applicability(places=("indoor",)))
    question = asked(plan_of(other), metered(read(MAR, 900), as_of=MAR), MAR, done(JAN, 500, "oil"))
    due = the_due(question, "oil")
    assert due.state is DueState.UNKNOWN
    assert "place of use" in [fact.name for fact in due.missing]


def test_one_time_work_is_not_asked_for_again() -> None:
    plan = plan_of(task("valves", Once(limits(250)), kind=TaskKind.ADJUST))
    due = the_due(asked(plan, metered(read(MAR, 5000), as_of=MAR), MAR, done(JAN, 260, "valves")), "valves")
    assert (due.state, due.window) == (DueState.NOT_YET, None)


def test_a_wrong_reading_among_many_hardly_moves_the_forecast() -> None:
    weeks = [read(JAN + timedelta(days=7 * n), 500 + 28 * n) for n in range(12)]
    spoilt = [*weeks[:5], read(weeks[5].on, weeks[5].shows / 10 + 25), *weeks[6:]]
    plan = plan_of(task("oil", every(500)))
    as_of = weeks[-1].on
    days = [
        the_due(asked(plan, metered(*readings, as_of=as_of), as_of, done(JAN, 500, "oil")), "oil").window
        for readings in (weeks, spoilt)
    ]
    assert abs(sure(sure(days[0]).likely) - sure(sure(days[1]).likely)) <= timedelta(days=1)


def test_a_machine_that_stands_still_has_no_forecast_but_a_profile_gives_one() -> None:
    life = metered(read(JAN, 500), read(FEB, 500), read(MAR, 500), as_of=MAR)
    still = the_due(asked(OIL, life, MAR, done(JAN, 400, "oil")), "oil")
    assert still.forecast is None
    coming = UseProfile((UsePeriod(hours(5), hours(10), first=date(2026, 4, 1)),))
    due = the_due(asked(OIL, life, MAR, done(JAN, 400, "oil"), profile=coming), "oil")
    assert due.forecast is not None
    assert due.forecast.basis is ForecastBasis.PROFILE
    assert due.window is not None
    assert (due.window.earliest, due.window.latest) == (date(2026, 4, 16), date(2026, 5, 1))


def test_the_most_pressing_task_comes_first() -> None:
    plan = plan_of(
        task("far", every(1000)), task("open", every(250)), task("late", every(250)), task("now", every(300))
    )
    question = asked(
        plan, metered(read(MAR, 900), as_of=MAR), MAR, done(JAN, 890, "far"), done(JAN, 500, "late"),
        done(JAN, 600, "now"),
    )  # fmt: skip
    assert [due.task.code for due in due_list(question, STATISTICS)] == ["late", "now", "open", "far"]


def test_hours_that_a_held_reading_contradicts_are_due_with_the_question_which_is_right() -> None:
    life = metered(read(JAN, 500), read(FEB, 760), read(MAR, 620), as_of=MAR)
    due = the_due(asked(OIL, life, MAR, done(JAN, 500, "oil")), "oil")
    assert (due.state, [fact.name for fact in due.missing]) == (DueState.OVERDUE, ["held reading"])
    assert "620 h is lower than 760 h on 2026-02-05" in due.missing[0].question


@pytest.mark.parametrize(
    ("at", "said"),
    [
        (7600, "more than the 760 h that were read on 2026-03-05"),  # a digit too many: due at 7850, and never again
        (761, "more than the 760 h that were read on 2026-03-05"),
        (500 + 24 * 31 + 1, "more than 24 h a day since the 500 h that were read on 2026-01-05"),
    ],
)
def test_hours_of_a_service_that_the_readings_contradict_are_asked_for_and_not_reckoned_with(
    at: float, said: str
) -> None:
    """A reading that cannot be believed moves nothing, and no more does a service's (common practice, no source)."""
    readings = [read(JAN, 500)] if "a day" in said else [read(JAN, 500), read(MAR, 760)]
    life = metered(*readings, as_of=MAR)
    due = the_due(asked(OIL, life, MAR, done(FEB, at, "oil")), "oil")
    assert (due.state, [fact.name for fact in due.missing]) == (DueState.UNKNOWN, ["hours at last oil"])
    assert said in due.missing[0].question
    both = plan_of(task("oil", every(250, months=1)))
    assert the_due(asked(both, life, MAR, done(FEB, at, "oil")), "oil").state is DueState.DUE  # the calendar holds


@pytest.mark.parametrize(
    ("on", "at"),
    [
        (FEB, 500), (FEB, 760.9),  # written down in whole hours
        (MAR, 784),  # later on the day of the reading
        (FEB, 400),  # too few, which brings the work forward for all to see
    ],
)  # fmt: skip
def test_hours_of_a_service_that_put_nothing_off_are_reckoned_with(on: date, at: float) -> None:
    life = metered(read(JAN, 500), read(MAR, 760), as_of=MAR)
    due = the_due(asked(OIL, life, MAR, done(on, at, "oil")), "oil")
    assert due.point.hours == hours(at + 250)
