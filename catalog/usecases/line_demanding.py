"""What the supply lines of the catalogue ask of their positions, worked out again whenever the catalogue has changed.

The parts that stand on a line are those its engine's maker specifies, with the line's own fuel burned and no other.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from catalog import loading
from catalog.domain.answers import Basis, Source, SourceKind, distinct
from catalog.domain.rules import Rulebook
from catalog.domain.supply.fluids import OutOfRange
from catalog.domain.supply.line_demands import LineDemand, line_demands
from catalog.domain.supply.line_questions import weighed
from catalog.domain.value_documents import write_value
from catalog.loading import LoadedSpecification, Standing
from catalog.models import EngineSpecification, SupplyStage
from catalog.usecases.applications import read_application
from catalog.usecases.catalogue_writes import catalogue_write
from catalog.usecases.drafts import PositionDraft, ValueDraft
from catalog.usecases.recorded_drafts import RELATED, draft_of, positions_of
from catalog.usecases.specification_writing import write_specifications
from catalog.usecases.supply_asked import SupplyAsked
from catalog.usecases.supply_checking import FLUIDS, facts_of_line
from catalog.usecases.supply_facts import supply_question_of
from service.operations import jobs

KIND = "line_demands"
# The air that engines of this trade work in, thousandths of a kelvin: -30 to 50 degC (common practice, no source).
_AIR = ["r", [243_150, "temperature", "degC"], [323_150, "temperature", "degC"]]
_FULL_LOAD = {"air": _AIR, "fill": None, "altitude": None, "air_pressure": None, "load": None, "composition": None}


def plan(now: datetime, *, since: int | None = None) -> int:
    """Queue the job where the catalogue has any line and has changed `since` a version; answers the version now.

    The job's own writing makes a version too; worked out again, it changes nothing and makes no further one.
    """
    version = loading.standing().version
    if version != since and SupplyStage.objects.exists():
        jobs.enqueue(KIND, now=now, idempotency=f"{KIND}:{version}")
    return version


def demand_of_lines(lease: jobs.Lease) -> Mapping[str, Any]:
    """Write the computed demands of every specification that has a supply line; done again, it changes nothing."""
    standing = loading.standing()
    if not standing.rulebook:
        return {"specifications": 0, "changed": 0}
    rulebook = loading.load_rulebook(standing.rulebook, standing.digest)
    numbers = EngineSpecification.objects.filter(supply_stages__isnull=False).distinct().order_by("pk")
    changed, pairs = 0, list(numbers.values_list("pk", "model", "spec"))
    for done, (number, model, spec) in enumerate(pairs, start=1):
        now = lease.clock()
        found = loading.specifications(standing.stamp, [(model, spec)])[model, spec]
        asks = tuple(_asked_by(found, (model, spec), rulebook, standing, now))
        changed += _kept(number, asks, now)
        lease.save({"specifications": done}, jobs.Progress(done, len(pairs)), now)
    return {"specifications": len(pairs), "changed": changed}


def _asked_by(
    specification: LoadedSpecification, pair: tuple[str, str], rulebook: Rulebook, standing: Standing, now: datetime
) -> Iterator[tuple[str, LineDemand]]:
    """Each demand with the fuel of its line; a line whose fuel is beyond the equations asks nothing."""
    rows: list[dict[str, Any]] = [json.loads(text) for text in specification.stages]
    for fuel in distinct(row["fuel"] for row in rows):
        body = {
            "spec": {"model": pair[0], "spec": pair[1]},
            "plate_fuels": [fuel],
            "fuel_records": [{"fuels": [fuel], "mode": "only_fuel", "found_on": now.date(), "conversion_paper": None}],
        }
        application = read_application(body, specification, rulebook, today=now.date())
        line = {
            "fuel": fuel, "stages": [row for row in rows if row["fuel"] == fuel], "told": [],
            "circumstances": _FULL_LOAD,
        }  # fmt: skip
        asked = SupplyAsked(body, body, None, ())
        question = supply_question_of(facts_of_line(asked, specification, application, line, standing.stamp), rulebook)
        try:
            weighing = weighed(question, FLUIDS)
            found = line_demands(weighing) if weighing else ()
        except OutOfRange:
            continue
        yield from ((fuel, demand) for demand in found)


def _kept(number: int, asks: tuple[tuple[str, LineDemand], ...], now: datetime) -> int:
    """Lay the demands over the specification as recorded; answers 1 where that changed it."""
    with catalogue_write(now) as write:
        row = EngineSpecification.objects.select_related("maker").prefetch_related(*RELATED).get(pk=number)
        positions = tuple(_with(position, asks) for position in positions_of(row))
        return write_specifications([draft_of(row, positions)], write).changed


def _with(position: PositionDraft, asks: tuple[tuple[str, LineDemand], ...]) -> PositionDraft:
    stated = tuple(demand for demand in position.demands if demand.basis is not Basis.COMPUTED)
    computed = tuple(_draft(fuel, ask) for fuel, ask in asks if ask.position == position.code)
    return replace(position, demands=(*stated, *computed))


def _draft(fuel: str, ask: LineDemand) -> ValueDraft:
    attribute, slot = ask.place
    value = ask.demand.value
    source = Source(SourceKind.COMMON_PRACTICE, f"computed for the supply line on {fuel.replace('_', ' ')}")
    return ValueDraft(attribute, slot, value, write_value(value, units="as_given"), source, Basis.COMPUTED)
