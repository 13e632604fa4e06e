"""The stages of a supply line, what is known of each, and the conditions the line works under.

A stage's facts are attributes of the rulebook, by name and slot, so that a part's record, a maker's statement and
something measured at the counter are read alike. Inside the line they are SI floats: see `si`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import lru_cache

from catalog.domain.answers import COMMON_PRACTICE, Basis, Fact, Source
from catalog.domain.fuels import Phase
from catalog.domain.parts import SERVICE
from catalog.domain.quantities import RESOLUTION, Interval, Quantity, family_of
from catalog.domain.supply.fluids import Mixture
from catalog.domain.values import Place, Slot, Value

STANDARD_ATMOSPHERE = 101_325.0  # Pa


class StageKind(StrEnum):
    """What a stage does to the fuel."""

    CONTAINER = "container"
    METER = "meter"  # where pipeline gas is handed over
    PUMP = "pump"
    HOSE = "hose"  # a length of hose, tube or pipe
    FITTING = "fitting"
    FILTER = "filter"
    VALVE = "valve"  # a lock-off or a shut-off valve
    VAPORISER = "vaporiser"  # a heated regulator: liquid in, vapour out
    REGULATOR = "regulator"
    RAIL = "rail"
    INJECTOR = "injector"
    MIXER = "mixer"
    ENGINE = "engine"


REGULATING = frozenset({StageKind.REGULATOR, StageKind.VAPORISER})
ASKING = REGULATING | {StageKind.RAIL}  # what needs a pressure at its inlet


@dataclass(frozen=True, slots=True)
class Known:
    """One value of a stage, where it was taken from and who says so."""

    value: Value
    basis: Basis = Basis.STATED
    source: Source = COMMON_PRACTICE


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage, counted from the container. `part` names what stands there, where a part is meant."""

    kind: StageKind
    name: str
    facts: Mapping[Place, Known] = field(default_factory=dict)
    part: str = ""
    position: str | None = None
    category: str | None = None
    inlet: tuple[str, ...] = ()  # fuel service classes there, for this line's fuel

    @property
    def shown(self) -> str:
        return f"{self.name} ({self.part})" if self.part else self.name

    def known(self, attribute: str, slot: Slot = None) -> Known | None:
        """What is known of an attribute: in that slot, else where the stage states it without one."""
        return self.facts.get((attribute, slot)) or self.facts.get((attribute, None))

    def si(self, attribute: str, slot: Slot = None) -> float | None:
        """A quantity in its SI unit (Pa, K, m, kg/s, m3/s, W, 1); None where it is not known or is no quantity."""
        found = self.known(attribute, slot)
        return si(found.value.payload) if found and isinstance(found.value.payload, Quantity) else None

    def span(self, attribute: str) -> tuple[float | None, float | None]:
        """The two ends of a range in SI units, each None where it is open; a single quantity is both ends."""
        found = self.known(attribute)
        payload = found.value.payload if found else None
        if isinstance(payload, Quantity):
            return si(payload), si(payload)
        if isinstance(payload, Interval):
            return tuple(si(end) if end else None for end in (payload.low, payload.high))  # type: ignore[return-value]
        return None, None

    def codes(self, attribute: str) -> tuple[str, ...]:
        found = self.known(attribute)
        return found.value.codes if found else ()

    @property
    def made_for(self) -> tuple[str, ...]:
        """The service classes of the part at its inlet, else those of the place it stands at; none if neither says."""
        own = (self.facts.get((SERVICE, port)) for port in ("inlet", "inside"))
        return tuple(code for known in own if known for code in known.value.codes) or self.inlet

    def fact(self, attribute: str, question: str) -> Fact:
        """The missing fact of this stage, asked in words that name the stage."""
        return Fact(f"{self.position or self.kind.value}: {attribute}", question.format(stage=self.shown))


# One stage's few figures are read again at every temperature.
@lru_cache(maxsize=4096)
def si(quantity: Quantity) -> float:
    """The quantity in the SI unit of its dimension; a gauge pressure stays gauge, a difference a difference."""
    return quantity.amount / RESOLUTION[family_of(quantity.dimension)]


@dataclass(frozen=True, slots=True)
class Conditions:
    """What the line works under. Temperatures are kelvin; pressures pascal absolute; the flow is kg/s.

    `hottest` and `coldest` are the compositions weighed where the one or the other is worse. `flow` is None where the
    engine's demand is not known. `fill` is the share of the container's volume that is liquid.
    """

    coldest_kelvin: float
    hottest_kelvin: float
    coldest: Mixture
    hottest: Mixture
    flow: float | None = None
    atmosphere: float = STANDARD_ATMOSPHERE
    fill: float | None = None
    flow_missing: tuple[Fact, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """The stages of one fuel's supply line of one engine, in order, and the phase the container gives."""

    name: str
    fuel: str
    stages: tuple[Stage, ...]
    withdrawal: Phase | None = None  # None where the container's withdrawal is not known, or there is no container

    @property
    def source(self) -> Stage | None:
        """Where the fuel comes from: the container or the meter, if the line says."""
        return next((stage for stage in self.stages if stage.kind in (StageKind.CONTAINER, StageKind.METER)), None)

    @property
    def after_source(self) -> tuple[Stage, ...]:
        found = self.source
        return self.stages if found is None else self.stages[self.stages.index(found) + 1 :]
