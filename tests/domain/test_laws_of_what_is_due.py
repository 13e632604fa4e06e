"""Laws of the due list over plans, records, meters and profiles of every kind."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from random import Random
from typing import TypeVar

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.applicability import Applicability
from kits.domain.calendar_spans import DayOfYear, Span
from kits.domain.due import Asked, Due, due_list
from kits.domain.due_states import DueState
from kits.domain.histories import ConditionSeen, EventSeen, FittedPart, History, ServiceDone
from kits.domain.lifetimes import lifetime
from kits.domain.meters import Meter, Reading
from kits.domain.plan_problems import plan_problems
from kits.domain.plans import ServicePlan
from kits.domain.tasks import (
    EVERYWHERE,
    AfterEvent,
    AgeClock,
    AgeLimit,
    Anchor,
    BeforeSeason,
    BeforeStorage,
    Every,
    EveryNth,
    Limits,
    Once,
    OnCondition,
    TaskKind,
    Trigger,
)
from kits.domain.use_profiles import Season, UsePeriod, UseProfile
from tests.domain.service_cast import ANYWHERE, STATISTICS, task

T = TypeVar("T")
pytestmark = pytest.mark.domain
START, AS_OF = date(2025, 1, 1), date(2026, 6, 1)
days = st.dates(START, AS_OF)
spans = st.builds(Span, st.integers(0, 24), st.integers(1, 60))
limits = st.one_of(
    st.builds(Limits, st.integers(10, 9000)),
    st.builds(Limits, st.none(), spans),
    st.builds(Limits, st.integers(10, 9000), spans),
)
repeating = st.builds(Every, limits, st.sampled_from(Anchor), st.one_of(st.none(), limits))
triggers: st.SearchStrategy[Trigger] = st.one_of(
    repeating,
    st.builds(Once, limits),
    st.just(EveryNth("T0", 3)),
    st.builds(AgeLimit, spans, st.sampled_from(AgeClock)),
    st.sampled_from(
        (OnCondition("What does the indicator show?"), BeforeSeason(), BeforeStorage(), AfterEvent("flood"))
    ),
)
codes = st.sampled_from([f"T{n}" for n in range(5)])
INDOORS = Applicability(places=("indoor",))


@st.composite
def plans(draw: st.DrawFn) -> ServicePlan:
    tasks = [task("T0", draw(repeating), subject="a")]
    for n in range(1, 5):
        severe = draw(st.sampled_from((None, 50)))
        kind, subject = draw(st.sampled_from(TaskKind)), draw(st.sampled_from("abc"))
        where = draw(st.sampled_from((EVERYWHERE, INDOORS)))
        tasks.append(task(f"T{n}", draw(triggers), kind=kind, subject=subject, severe_percent=severe, where=where))
    return ServicePlan("plan", tuple(tasks))


histories = st.builds(
    History,
    st.one_of(st.none(), days),
    st.booleans(),
    st.lists(
        st.builds(ServiceDone, days, st.one_of(st.none(), st.integers(0, 20_000)), st.tuples(codes, codes)), max_size=5
    ).map(tuple),
    st.lists(
        st.builds(FittedPart, st.sampled_from("abc"), st.one_of(st.none(), days), st.one_of(st.none(), days)),
        max_size=3,
    ).map(tuple),
    st.lists(st.builds(ConditionSeen, codes, days, st.booleans()), max_size=3).map(tuple),
    st.lists(st.builds(EventSeen, st.just("flood"), days), max_size=2).map(tuple),
)
meters = st.sampled_from(
    ((), (Meter("M"),), (Meter("L", removed_on=date(2025, 6, 1)), Meter("M", fitted_on=date(2025, 6, 1))))
)
readings = st.lists(st.builds(Reading, st.just("M"), days, st.integers(0, 20_000)), max_size=6).map(tuple)
profiles = st.sampled_from(
    (
        None, UseProfile(), UseProfile(severe=True), UseProfile((UsePeriod(20, 90),), severe=False),
        UseProfile((UsePeriod(140, 200, season=Season(DayOfYear(4, 20), DayOfYear(9, 20)), may_shift=10),)),
    )
)  # fmt: skip


@dataclass(frozen=True)
class Machine:
    plan: ServicePlan
    history: History
    meters: tuple[Meter, ...]
    readings: tuple[Reading, ...]
    profile: UseProfile | None

    def asked(self, as_of: date = AS_OF) -> Asked:
        life = lifetime(self.meters, self.readings, as_of=as_of)
        return Asked(self.plan, self.history, life, ANYWHERE, as_of, self.profile)

    def due(self, as_of: date = AS_OF) -> tuple[Due, ...]:
        return due_list(self.asked(as_of), STATISTICS)


machines = st.builds(Machine, plans(), histories, meters, readings, profiles)


@given(machines)
def test_what_is_unknown_names_what_is_missing(machine: Machine) -> None:
    for due in machine.due():
        assert due.state is not DueState.UNKNOWN or due.missing
        assert due.words or due.state is DueState.NOT_YET


@given(machines)
def test_every_task_that_may_apply_is_listed_once(machine: Machine) -> None:
    assert plan_problems(machine.plan) == ()
    assert sorted(due.task.code for due in machine.due()) == [one.code for one in machine.plan.tasks]


@given(machines)
def test_windows_have_their_days_in_order(machine: Machine) -> None:
    for due in machine.due():
        if due.window is not None:
            ends = [end or date.max for end in (due.window.earliest, due.window.likely, due.window.latest)]
            assert ends == sorted(ends)
            assert due.decided_by is not None


@given(machines, st.integers(1, 400))
def test_time_alone_never_makes_overdue_work_anything_else(machine: Machine, later: int) -> None:
    now = {due.task.code: due.state for due in machine.due()}
    then = {due.task.code: due.state for due in machine.due(AS_OF + timedelta(days=later))}
    assert all(then[code] is DueState.OVERDUE for code, state in now.items() if state is DueState.OVERDUE)
    assert not any(
        state in (DueState.DUE, DueState.UNKNOWN) and then[code] is DueState.NOT_YET for code, state in now.items()
    )


@given(machines, st.randoms())
def test_the_order_of_what_is_on_record_changes_nothing(machine: Machine, chance: Random) -> None:
    readings, history = shuffled(machine.readings, chance), machine.history
    mixed = replace(history, done=shuffled(history.done, chance), conditions=shuffled(history.conditions, chance))
    assert replace(machine, readings=readings, history=mixed).due() == machine.due()


def shuffled(items: tuple[T, ...], chance: Random) -> tuple[T, ...]:
    return tuple(chance.sample(items, len(items)))


@given(machines)
def test_nothing_unrecorded_is_taken_for_never_done(machine: Machine) -> None:
    bare = replace(machine, history=replace(machine.history, complete=False, done=()))
    for due in bare.due():
        if isinstance(due.task.trigger, Every | Once | EveryNth | BeforeSeason | BeforeStorage):
            assert due.state in (DueState.UNKNOWN, DueState.NOT_YET)
