"""Work that falls due by counting, age, looking, season or event; and what is wrong with a plan.

Where no source stands beside a check it is common practice, no source.
"""

from __future__ import annotations

from datetime import date

import pytest

from catalog.domain.answers import COMMON_PRACTICE
from kits.domain.calendar_spans import DayOfYear, Span
from kits.domain.due import DecidedBy, Due
from kits.domain.due_states import DueState
from kits.domain.histories import ConditionSeen, EventSeen, FittedPart, History, ServiceDone
from kits.domain.lifetimes import Lifetime
from kits.domain.plan_problems import plan_problems
from kits.domain.plans import Level, levels_for
from kits.domain.tasks import (
    AfterEvent,
    AgeClock,
    AgeLimit,
    Anchor,
    BeforeSeason,
    BeforeStorage,
    Every,
    EveryNth,
    Limits,
    OnCondition,
    Task,
    TaskKind,
    Tolerance,
)
from kits.domain.use_profiles import ProfileImpossible, Season, UsePeriod, UseProfile
from tests.domain.service_cast import NO_METER, asked, done, every, hours, metered, plan_of, read, task, the_due

pytestmark = pytest.mark.domain
MAR = date(2026, 3, 9)
OUTER = task("outer_air", every(200))
INNER = task("inner_air", EveryNth("outer_air", 3))
IRRIGATION = UseProfile((UsePeriod(140, 200, season=Season(DayOfYear(4, 20), DayOfYear(9, 20))),))
ICE = UseProfile((UsePeriod(40, 60, season=Season(DayOfYear(9, 1), DayOfYear(4, 15))),))


def due_in(
    one: Task, history: History, *others: Task, life: Lifetime = NO_METER, profile: UseProfile | None = None,
    as_of: date = MAR,
) -> Due:  # fmt: skip
    return the_due(asked(plan_of(one, *others), life, as_of, history=history, profile=profile), one.code)


def changes(*at: int) -> tuple[ServiceDone, ...]:
    return tuple(done(date(2025, 1 + n, 1), h, "outer_air") for n, h in enumerate(at))


@pytest.mark.parametrize(
    ("outer", "expected"),
    [((), 600), ((200,), 600), ((190, 380), 580), ((200, 400, 600), 600), ((200, 400, 600, 800), 600)],
)
def test_the_inner_element_comes_with_every_third_outer_one(outer: tuple[int, ...], expected: int) -> None:
    # TM 9-6115-604-12: the inner element with every third change of the outer one.
    history = History(in_service=date(2025, 1, 1), complete=True, done=changes(*outer))
    assert due_in(INNER, history, OUTER).point.hours == hours(expected)


def test_counting_starts_anew_when_the_inner_element_was_changed() -> None:
    both = done(date(2025, 3, 1), 600, "outer_air", "inner_air")
    history = History(complete=True, in_service=date(2025, 1, 1), done=(*changes(200, 400), both))
    assert due_in(INNER, history, OUTER).point.hours == hours(1200)


def test_a_count_that_may_have_gaps_is_unknown() -> None:
    due = due_in(INNER, History(done=changes(200, 400, 600)), OUTER)
    assert due.state is DueState.UNKNOWN
    assert [fact.name for fact in due.missing] == ["last inner air"]


HOSE = task("fuel_hose", AgeLimit(Span(48), AgeClock.MANUFACTURE), subject="hose")


def test_rubber_ages_from_the_date_its_row_names() -> None:
    part = FittedPart("hose", manufactured=date(2022, 2, 28), fitted=date(2022, 9, 1))
    by_code = due_in(HOSE, History(parts=(part,)))
    assert (by_code.state, by_code.point.on, by_code.decided_by) == (
        DueState.OVERDUE, date(2026, 2, 28), DecidedBy.AGE,
    )  # fmt: skip
    assert by_code.point.since == "counted from manufacture, 2022-02-28"
    fitting = task("fuel_hose", AgeLimit(Span(48), AgeClock.FITTING), subject="hose")
    by_fitting = due_in(fitting, History(parts=(part,)))
    assert (by_fitting.state, by_fitting.point.on) == (DueState.NOT_YET, date(2026, 9, 1))


def test_no_other_date_stands_in_for_a_missing_date_code() -> None:
    for parts in ((), (FittedPart("hose", fitted=date(2025, 1, 1)),)):
        due = due_in(HOSE, History(parts=parts))
        assert (due.state, [fact.name for fact in due.missing]) == (DueState.UNKNOWN, ["manufacture of hose"])


def test_the_date_code_of_the_hose_taken_off_says_nothing_of_the_new_one() -> None:
    part = FittedPart("hose", manufactured=date(2020, 1, 1), fitted=date(2020, 6, 1))
    history = History(parts=(part,), done=(done(date(2025, 6, 1), None, "fuel_hose"),))
    assert due_in(HOSE, history).state is DueState.UNKNOWN


INDICATED = task("air", OnCondition("What does the restriction indicator show: green, amber or red?"))


def test_work_on_condition_goes_by_the_last_look_since_it_was_done() -> None:
    look = [ConditionSeen("air", date(2026, 3, day), met) for day, met in ((1, False), (9, True))]
    assert due_in(INDICATED, History()).missing[0].question.startswith("What does the restriction indicator show")
    assert due_in(INDICATED, History()).state is DueState.UNKNOWN
    assert due_in(INDICATED, History(conditions=tuple(look[:1]))).state is DueState.NOT_YET
    assert due_in(INDICATED, History(conditions=tuple(look))).state is DueState.DUE
    changed = History(conditions=tuple(look), done=(done(date(2026, 3, 9), None, "air"),))
    assert due_in(INDICATED, changed).state is DueState.UNKNOWN


def test_work_after_an_event_waits_for_one() -> None:
    flood = task("oil", AfterEvent("flood"))
    assert due_in(flood, History()).state is DueState.NOT_YET
    seen = History(events=(EventSeen("flood", date(2026, 3, 9)),))
    assert due_in(flood, seen).state is DueState.DUE


@pytest.mark.parametrize(
    ("last", "expected"),
    [
        (date(2025, 3, 1), date(2026, 4, 20)),  # between seasons: for the one that opened next
        (date(2025, 6, 1), date(2026, 4, 20)),  # late, in the season
        (date(2026, 3, 1), date(2027, 4, 20)),
    ],
)
def test_pre_season_work_is_due_when_the_next_season_opens(last: date, expected: date) -> None:
    check = task("pre_season", BeforeSeason())
    due = due_in(check, History(done=(done(last, None, "pre_season"),)), profile=IRRIGATION)
    assert (due.point.on, due.decided_by) == (expected, DecidedBy.SEASON)


@pytest.mark.parametrize(
    ("last", "expected"),
    [(date(2025, 9, 18), date(2026, 9, 20)), (date(2025, 10, 1), date(2026, 9, 20))],
)
def test_storage_work_is_due_when_the_season_closes(last: date, expected: date) -> None:
    store = task("storage", BeforeStorage())
    due = due_in(store, History(done=(done(last, None, "storage"),)), profile=IRRIGATION)
    assert due.point.on == expected


def test_a_season_may_run_over_the_new_year() -> None:
    assert [ICE.runs_on(day) for day in (date(2026, 1, 10), date(2026, 4, 15), date(2026, 4, 16), MAR)] == [
        True, True, False, True,
    ]  # fmt: skip


def test_seasonal_work_without_a_season_asks_for_it() -> None:
    due = due_in(task("pre_season", BeforeSeason()), History(done=(done(MAR, None, "pre_season"),)))
    assert (due.state, [fact.name for fact in due.missing]) == (DueState.UNKNOWN, ["season"])


def test_out_of_season_the_meter_stands_and_the_forecast_waits() -> None:
    plan = plan_of(task("oil", every(250)))
    seen = (read(date(2025, 9, 1), 1000), read(date(2025, 9, 8), 1119), read(date(2025, 9, 15), 1238))
    autumn = date(2025, 10, 1)
    life = metered(*seen, as_of=autumn)
    due = the_due(asked(plan, life, autumn, done(date(2025, 9, 7), 1100, "oil"), profile=IRRIGATION), "oil")
    assert due.window is not None
    # 17 h a day; 102 h until the season closes leave ten, run on the first day of the next one.
    assert due.window.likely == date(2026, 4, 20)


def test_a_small_service_done_early_leaves_the_large_one_where_it_was() -> None:
    plan = plan_of(
        task("oil", every(250)), task("plugs", every(500)),
        levels=(Level("250", "250 h", ("oil",)), Level("500", "500 h", ("plugs", "oil"), ("250",))),
    )  # fmt: skip
    history = History(done=(done(date(2025, 6, 1), 500, levels=("500",)), done(date(2025, 9, 1), 650, levels=("250",))))
    question = asked(plan, metered(read(MAR, 700), as_of=MAR), MAR, history=history)
    assert [the_due(question, code).point.hours for code in ("oil", "plugs")] == [hours(900), hours(1000)]
    assert levels_for(plan, ("oil", "plugs")) == ("500",)
    assert levels_for(plan, ("oil",)) == ("250",)


def test_new_plugs_restart_the_look_at_plugs_and_not_the_other_way_round() -> None:
    look = task("look", every(100), kind=TaskKind.INSPECT, subject="plug")
    new = task("new", every(500), subject="plug")
    replaced = asked(plan_of(look, new), NO_METER, MAR, done(MAR, 500, "new"))
    assert the_due(replaced, "look").point.hours == hours(600)
    looked = asked(plan_of(look, new), NO_METER, MAR, done(MAR, 400, "new"), done(MAR, 500, "look"))
    assert the_due(looked, "new").point.hours == hours(900)


def test_every_problem_of_a_plan_is_told_at_once() -> None:
    plan = plan_of(
        task("oil", Every(Limits())), task("oil", every(0)),
        task("hose", AgeLimit(Span(48), AgeClock.FITTING), tolerance=Tolerance(10, COMMON_PRACTICE)),
        task("inner", EveryNth("nothing", 1)), task("air", every(100), severe_percent=0),
        levels=(Level("A", "A", ("none",), ("B",)), Level("B", "B", (), ("A",))),
    )  # fmt: skip
    assert {(problem.pointer, problem.code) for problem in plan_problems(plan)} == {
        ("/tasks", "twice"), ("/tasks/0/trigger", "no_limit"), ("/tasks/1/trigger/hours", "out_of_range"),
        ("/tasks/2/tolerance", "tolerance_not_granted"), ("/tasks/3/trigger/times", "out_of_range"),
        ("/tasks/3/trigger/of", "no_such_task"), ("/tasks/4/severe_percent", "out_of_range"),
        ("/levels/0/tasks", "no_such_task"), ("/levels/0/contains", "circle"), ("/levels/1/contains", "circle"),
    }  # fmt: skip
    assert plan_problems(plan_of(OUTER, INNER, levels=(Level("200", "200 h", ("outer_air",)),))) == ()


@pytest.mark.parametrize(("least", "most"), [(10, 5), (-1, 5), (0, 241)])
def test_impossible_hours_a_day_are_refused(least: int, most: int) -> None:
    with pytest.raises(ProfileImpossible):
        UsePeriod(least, most)


@pytest.mark.parametrize("anchor", list(Anchor))
def test_severe_duty_never_shortens_an_interval_to_nothing(anchor: Anchor) -> None:
    daily = task("look", Every(Limits(1, Span(0, 1)), anchor), severe_percent=50)
    history = History(in_service=date(2026, 1, 1), done=(done(MAR, 1, "look"),))
    due = due_in(daily, history, profile=UseProfile(severe=True))
    assert (due.point.hours, due.point.on) == (hours(1.1), date(2026, 3, 10))
