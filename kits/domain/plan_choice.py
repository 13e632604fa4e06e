"""Which service plan holds for a machine: the one its file names, else the nearest one there is for its engine."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from catalog.domain.answers import Fact


class PlanFor(Protocol):
    """What a plan is for. `own` is the dealer's own, not shared; an empty `model` is no engine at all."""

    @property
    def own(self) -> bool: ...
    @property
    def shown(self) -> str: ...
    @property
    def model(self) -> str: ...
    @property
    def spec(self) -> str | None: ...


P = TypeVar("P", bound=PlanFor)


@dataclass(frozen=True, slots=True)
class Chosen(Generic[P]):
    """The plan that holds, or what must be known to tell."""

    plan: P | None
    missing: tuple[Fact, ...] = ()


SPECIFICATION = Fact("engine specification", "Which model and specification number is on the engine plate?")
NO_PLAN = Fact("service plan", "There is no service plan for this engine: which one is it serviced by?")


def plan_for(engine: tuple[str, str] | None, plans: Iterable[P]) -> Chosen[P]:
    """The plan for a model and specification number: the dealer's own before shared ones, the nearer before the wider.

    Several of one rank are not chosen between, and an engine that nobody has named has no plan.
    """
    if engine is None:
        return Chosen(None, (SPECIFICATION,))
    ranked: dict[tuple[bool, bool], list[P]] = {}
    for plan in plans:
        if plan.model == engine[0] and plan.spec in (None, engine[1]):
            ranked.setdefault((not plan.own, plan.spec is None), []).append(plan)
    if not ranked:
        return Chosen(None, (NO_PLAN,))
    nearest = ranked[min(ranked)]
    if len(nearest) > 1:
        named = ", ".join(sorted(plan.shown for plan in nearest))
        return Chosen(None, (Fact("service plan", f"Which of the service plans {named} holds for this machine?"),))
    return Chosen(nearest[0])
