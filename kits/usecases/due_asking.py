"""What is due on machines as of a day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from uuid import UUID

from kits.domain.due import Asked, Due, due_list
from kits.domain.due_states import DueState
from kits.domain.forecasting import Pace, pace_of
from kits.domain.hours_ahead import HoursReached, hours_ahead
from kits.domain.lifetimes import Lifetime, lifetime
from kits.domain.meters import Counts
from kits.domain.within import may_fall_due_by
from kits.statistics import RobustStatistics
from kits.usecases.machines_asked import AskedMachine, machines_asked
from service.operations.models import Dealer

STATISTICS = RobustStatistics()


@dataclass(frozen=True)
class MachineDue:
    """One machine's due list on a day, worked out when it is looked at."""

    asked: AskedMachine
    as_of: date

    @cached_property
    def life(self) -> Lifetime:
        plan, records = self.asked.plan, self.asked.records
        counts = Counts.ENGINE if plan is None else plan.when.counts
        return lifetime(records.meters, records.readings, as_of=self.as_of, counts=counts)

    @cached_property
    def pace(self) -> Pace:
        return pace_of(self.life.readings, self.asked.records.profile(self.as_of), STATISTICS)

    @cached_property
    def dues(self) -> tuple[Due, ...]:
        """None where nobody can tell which plan holds."""
        if self.asked.plan is None:
            return ()
        records = self.asked.records
        question = Asked(
            self.asked.plan.when, records.history(self.as_of), self.life, self.asked.where, self.as_of,
            records.profile(self.as_of),
        )  # fmt: skip
        return due_list(question, STATISTICS, self.pace)

    def within(self, days: int | None) -> tuple[Due, ...]:
        """Those that may fall due within so many days; all without a number."""
        if days is None:
            return self.dues
        until = self.as_of + timedelta(days=min(days, (date.max - self.as_of).days))
        return tuple(due for due in self.dues if may_fall_due_by(due, until, self.life))

    def ahead(self) -> tuple[HoursReached, ...]:
        return hours_ahead(self.pace, self.dues, as_of=self.as_of, statistics=STATISTICS)

    @property
    def pressing(self) -> tuple[str, ...]:
        """The codes of the tasks that are due or overdue."""
        return tuple(due.task.code for due in self.dues if due.state in (DueState.DUE, DueState.OVERDUE))


def due_on(dealer: Dealer, machines: Sequence[UUID], as_of: date) -> tuple[MachineDue, ...]:
    """The due lists of these machines of the dealer's; what each is, is worked out when it is looked at."""
    return tuple(MachineDue(asked, as_of) for asked in machines_asked(dealer, machines, as_of))
