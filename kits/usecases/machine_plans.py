"""Which service plan holds for a machine."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from catalog.models import Machine, Status
from kits.domain.plan_choice import Chosen, plan_for
from kits.loading.plans import plans_offered
from kits.models import ServicePlan
from service.operations.models import Dealer

Engine = tuple[str, str]  # model and specification number


@dataclass(frozen=True, slots=True)
class Candidate:
    """A plan as the choice sees it; `spec` is the number of the specification it is for."""

    row: ServicePlan
    spec: str | None

    @property
    def own(self) -> bool:
        return self.row.dealer_id is not None

    @property
    def shown(self) -> str:
        return self.row.code

    @property
    def model(self) -> str:
        return self.row.model


class PlanShelf:
    """The plans that could hold for these engines or were chosen, in one statement."""

    def __init__(self, dealer: Dealer, engines: Iterable[Engine | None], chosen: Iterable[UUID | None] = ()) -> None:
        models = {engine[0] for engine in engines if engine is not None}
        named = {number for number in chosen if number is not None}
        self._plans = {row.pk: Candidate(row, spec) for row, spec in plans_offered(dealer, models, named)}

    def holding(self, engine: Engine | None, chosen: UUID | None = None) -> Chosen[Candidate]:
        """The one that the machine's file names, else the nearest one for its engine."""
        if chosen is not None and chosen in self._plans:
            return Chosen(self._plans[chosen])
        offered = (plan for plan in self._plans.values() if plan.row.status == Status.ACTIVE)
        return plan_for(engine, offered)


def engine_of(machine: Machine) -> Engine | None:
    spec = machine.specification
    return None if spec is None else (spec.model, spec.spec)


def plan_holding(machine: Machine, dealer: Dealer, chosen: UUID | None) -> Chosen[Candidate]:
    engine = engine_of(machine)
    return PlanShelf(dealer, (engine,), (chosen,)).holding(engine, chosen)
