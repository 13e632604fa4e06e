"""Whether a container evaporates what the engine draws while it holds the pressure that the line needs."""

from __future__ import annotations

from collections.abc import Iterator

from catalog.domain.answers import Answer, Basis, Fact, Source, SourceKind
from catalog.domain.findings import Finding
from catalog.domain.fuels import Phase
from catalog.domain.quantities import Dimension
from catalog.domain.supply.container import (
    ACCURACY_WORDS,
    HEAT_TRANSFER,
    Container,
    Exposure,
    Standing,
    VapourCapacity,
    vapour_capacity,
)
from catalog.domain.supply.container_handbook import LINEAR_UP_TO, OPTIMISTIC, tank_capacity
from catalog.domain.supply.drift import left_after
from catalog.domain.supply.line_words import quantity_of
from catalog.domain.supply.passing import Bound, needed
from catalog.domain.supply.stages import Stage, StageKind
from catalog.domain.supply.weighing_line import Weighing, finding, first_asking
from catalog.domain.values import Demand, Offer, Value

RAYLEIGH = Source(SourceKind.PUBLISHED, "Rayleigh's open evaporation, with reference equations of state")


def evaporates(weighing: Weighing) -> Iterator[Finding]:
    """Vapour withdrawal only: liquid withdrawal takes its heat in the vaporiser."""
    source, asking = weighing.line.source, first_asking(weighing.line)
    if source is None or source.kind is not StageKind.CONTAINER or weighing.line.withdrawal is not Phase.VAPOUR:
        return
    need = needed(asking, weighing.conditions.atmosphere, Bound.BEST)[0] if asking else None
    lacks = _lacks(weighing, source)
    if asking is not None and need is None:
        return  # what the line needs is asked at the stage that needs it
    container = shape(source)
    flow, fill = weighing.conditions.flow, weighing.conditions.fill
    if lacks or container is None or flow is None or fill is None:
        text = f"The {source.shown}: cannot tell how much vapour it gives."
        yield finding("flow", source, Answer.UNKNOWN, text, HEAT_TRANSFER, missing=lacks)
        return
    hold = need if need is not None else weighing.conditions.atmosphere
    exposure = Exposure(weighing.conditions.coldest_kelvin)
    given = vapour_capacity(
        container, exposure, weighing.fluids, weighing.conditions.coldest, fill=fill, hold_pascal=hold
    )
    yield _weighed(weighing, source, given, flow)


_LITTLE_LEFT = 0.25


def keeps_holding(weighing: Weighing) -> Iterator[Finding]:
    """Vapour drawn from a mix takes the light part first: whether the pressure still holds with a quarter left."""
    line, conditions = weighing.line, weighing.conditions
    source, asking = line.source, first_asking(line)
    need = needed(asking, conditions.atmosphere, Bound.BEST)[0] if asking else None
    mixed = len(conditions.coldest.shares) > 1
    if source is None or source.kind is not StageKind.CONTAINER or need is None or not mixed:
        return
    cold = conditions.coldest_kelvin
    if line.withdrawal is not Phase.VAPOUR or weighing.fuel.bubble_pressure(cold) < need:
        return
    left = left_after(weighing.fluids, conditions.coldest, kelvin=cold, left=_LITTLE_LEFT)
    holds = weighing.fluids.bubble_pressure(left, cold)
    said = f"with a quarter left it holds {weighing.gauge(holds)} at {weighing.words.temperature(cold)}"
    if holds >= need:
        text = f"The light part of the fuel leaves the {source.shown} first, and {said}: enough."
        yield finding("pressure_left", source, Answer.MET, text, RAYLEIGH, critical=False)
        return
    text = f"The light part of the fuel leaves the {source.shown} first: {said}, less than is needed."
    condition = f"the {source.shown} is refilled before a quarter is left"
    yield finding("pressure_left", source, Answer.MET_IF, text, RAYLEIGH, condition=condition)


def shape(source: Stage) -> Container | None:
    """The container as its size and the way it lies are recorded; None where one of them is not."""
    diameter, length = source.si("envelope_diameter"), source.si("envelope_length")
    standing = {"horizontal": Standing.HORIZONTAL, "vertical": Standing.VERTICAL}
    lies = next((standing[code] for code in source.codes("container_orientation") if code in standing), None)
    return None if diameter is None or length is None or lies is None else Container(lies, diameter, length)


def _lacks(weighing: Weighing, source: Stage) -> tuple[Fact, ...]:
    asked = {
        "envelope_diameter": "What is the outside diameter of the {stage}?",
        "envelope_length": "What is the length over all of the {stage}?",
        "container_orientation": "Does the {stage} stand or lie?",
    }
    missing = [
        source.fact(name, words)
        for name, words in asked.items()
        if (source.si(name) is None if name != "container_orientation" else shape_unknown(source))
    ]
    if weighing.conditions.fill is None:
        missing.append(Fact("fill", f"How full is the {source.shown}?"))
    return (*weighing.conditions.flow_missing, *missing) if weighing.conditions.flow is None else tuple(missing)


def shape_unknown(source: Stage) -> bool:
    return not {"horizontal", "vertical"} & set(source.codes("container_orientation"))


def _weighed(weighing: Weighing, source: Stage, given: VapourCapacity, flow: float) -> Finding:
    """Met and refused only beyond the accuracy of the method; between, a test under load tells.

    In warm air the straight line from air to liquid gives more than the published tables do, and as much less counts.
    """
    words, air = weighing.words, weighing.conditions.coldest_kelvin
    least = min(given.least, given.flow / OPTIMISTIC) if air > LINEAR_UP_TO else given.least
    at = f"at {words.temperature(air)}, {_full(weighing)}"
    gives = (
        f"it gives about {words.flow(given.flow)} {at} ({ACCURACY_WORDS}{_by_the_handbook(weighing, source, given)})"
    )
    compares = f"the engine draws {words.flow(flow)}; {gives}"
    demand = Demand(Value(quantity_of(flow, Dimension.MASS_FLOW, "kg/h")), Basis.COMPUTED, HEAT_TRANSFER)
    offer = Offer(Value(quantity_of(given.flow, Dimension.MASS_FLOW, "kg/h")), HEAT_TRANSFER, Basis.COMPUTED)
    if least >= flow:
        answer, text, condition = Answer.MET, f"The {source.shown} evaporates enough: {compares}.", ""
    elif given.most < flow:
        answer, text, condition = Answer.NOT_MET, f"The {source.shown} does not evaporate enough: {compares}.", ""
    else:
        answer, text = Answer.MET_IF, f"The {source.shown} may evaporate just enough: {compares}."
        condition = f"a run under full load in the cold shows that the {source.shown} holds its pressure"
    return finding("flow", source, answer, text, HEAT_TRANSFER, demand=demand, offer=offer, condition=condition)


def _by_the_handbook(weighing: Weighing, source: Stage, given: VapourCapacity) -> str:
    """The trade's rule for lying tanks beside it, with the same liquid; an upright cylinder has none."""
    container, fill = shape(source), weighing.conditions.fill
    if container is None or fill is None or container.standing is not Standing.HORIZONTAL:
        return ""
    air = weighing.conditions.coldest_kelvin
    handbook = tank_capacity(container, fill=fill, air_kelvin=air, sag_kelvin=given.liquid_kelvin)
    limit = ", too much in air as warm as this" if handbook.disputed else ""
    return f"; by the rule D*L*K {weighing.words.flow(handbook.flow)}{limit}"


def _full(weighing: Weighing) -> str:
    return f"{(weighing.conditions.fill or 0) * 100:.3g} % full"
