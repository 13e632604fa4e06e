"""What each position of a line must stand and give, for the checks of single parts: demands on the basis "computed".

A part check takes the most demanding of what is stated, computed and asked by published codes, so a computed rating
raises a floor and never lowers it; a set point is computed only where the next stage says what it needs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from catalog.domain.answers import COMMON_PRACTICE, Basis
from catalog.domain.quantities import Dimension, Interval
from catalog.domain.supply.flow_line import fuel_slot
from catalog.domain.supply.line_words import gauge, quantity_of
from catalog.domain.supply.rating_line import RATED_BY, most_seen
from catalog.domain.supply.stages import REGULATING, Stage, StageKind
from catalog.domain.supply.weighing_line import Weighing
from catalog.domain.values import Demand, Place, Value


@dataclass(frozen=True, slots=True)
class LineDemand:
    """One computed demand on the part that stands at a position of the line."""

    position: str
    place: Place
    demand: Demand


def line_demands(weighing: Weighing) -> tuple[LineDemand, ...]:
    """Every demand that the line makes on its positions; a stage that is no position makes none."""
    return (*_ratings(weighing), *_set_points(weighing), *_flows(weighing))


def _ratings(weighing: Weighing) -> Iterator[LineDemand]:
    for stage, seen in most_seen(weighing):
        attribute = RATED_BY.get(stage.kind)
        if stage.position and attribute and seen is not None:
            yield LineDemand(stage.position, (attribute, None), seen)


def _set_points(weighing: Weighing) -> Iterator[LineDemand]:
    """A regulator's outlet: what the rail behind it needs, where no other regulator stands between."""
    for stage in weighing.line.after_source:
        rail = _fed_by(weighing, stage)
        low, high = rail.span("rail_pressure") if rail else (None, None)
        if stage.position and low is not None and high is not None:
            window = Value(Interval(gauge(low), gauge(high)))
            yield LineDemand(stage.position, ("outlet_pressure", None), Demand(window, Basis.COMPUTED, COMMON_PRACTICE))


def _fed_by(weighing: Weighing, regulator: Stage) -> Stage | None:
    if regulator.kind not in REGULATING:
        return None
    behind = weighing.line.after_source[weighing.line.after_source.index(regulator) + 1 :]
    first = next((stage for stage in behind if stage.kind in REGULATING or stage.kind is StageKind.RAIL), None)
    return first if first is not None and first.kind is StageKind.RAIL else None


def _flows(weighing: Weighing) -> Iterator[LineDemand]:
    flow, slot = weighing.conditions.flow, fuel_slot(weighing.line.fuel)
    if flow is None or slot is None:
        return
    for stage in weighing.line.after_source:
        if stage.position and stage.kind in REGULATING:
            drawn = Value(quantity_of(flow, Dimension.MASS_FLOW, "kg/h"))
            yield LineDemand(stage.position, ("rated_fuel_flow", slot), Demand(drawn, Basis.COMPUTED, COMMON_PRACTICE))
