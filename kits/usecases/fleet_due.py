"""What is due on all machines of a dealer: looked through in their order until a page is full."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import Any

from django.db.models import QuerySet

from catalog.models import Machine
from kits.domain.due import UNTOLD, Due, pressing
from kits.domain.due_states import DueState
from kits.usecases.due_answers import due_head, task_document
from kits.usecases.due_asking import MachineDue, due_on
from service.operations.models import Dealer

# Loaded at once, in a number of statements that does not depend on it: few enough for the memory of a small server.
MACHINES_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Wanted:
    """As of which day; only tasks in that state, only those that may fall due within so many days."""

    as_of: date
    state: DueState | None = None
    within: int | None = None

    @property
    def narrowed(self) -> bool:
        return self.state is not None or self.within is not None

    def tasks(self, found: MachineDue) -> tuple[Due, ...]:
        return tuple(due for due in found.within(self.within) if self.state in (None, due.state))

    def holds(self, found: MachineDue) -> bool:
        """A machine whose plan nobody can tell is unknown as a whole, and never left out where that is asked for."""
        if not self.narrowed or self.tasks(found):
            return True
        return found.asked.plan is None and self.state in (None, DueState.UNKNOWN)

    def pressing(self, found: MachineDue) -> tuple[int, date]:
        """By the most pressing of its tasks that were asked for."""
        return min(map(pressing, self.tasks(found)), default=UNTOLD)


def first_due(dealer: Dealer, rows: QuerySet[Machine], wanted: Wanted, count: int) -> list[tuple[Machine, MachineDue]]:
    """The first so many of these machines on which something wanted is due, in their order."""
    return list(islice(_kept(dealer, rows, wanted), count))


def _kept(dealer: Dealer, rows: QuerySet[Machine], wanted: Wanted) -> Iterator[tuple[Machine, MachineDue]]:
    start = 0
    while some := list(rows[start : start + MACHINES_AT_ONCE]):
        found = {one.asked.machine.id: one for one in due_on(dealer, [row.pk for row in some], wanted.as_of)}
        yield from ((row, found[row.pk]) for row in some if row.pk in found and wanted.holds(found[row.pk]))
        if len(some) < MACHINES_AT_ONCE:
            return
        start += MACHINES_AT_ONCE


def fleet_document(row: Machine, found: MachineDue, wanted: Wanted) -> dict[str, Any]:
    customer = row.customer
    return {
        **due_head(found),
        "customer": None if customer is None else {"id": str(customer.pk), "name": customer.name},
        "tasks": [task_document(due) for due in wanted.tasks(found)],
    }
