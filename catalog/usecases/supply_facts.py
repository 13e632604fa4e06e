"""All that the decision about one supply line reads, as one text, and the question read back from it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from catalog import loading
from catalog.domain.answers import Basis
from catalog.domain.applicability import located
from catalog.domain.fuels import Fuel
from catalog.domain.quantities import Interval, Quantity
from catalog.domain.rules import Rulebook
from catalog.domain.supply.air import pressure_at
from catalog.domain.supply.drawn import FULL, Load
from catalog.domain.supply.line_building import Build, StageRow
from catalog.domain.supply.line_questions import Circumstances, SupplyQuestion
from catalog.domain.supply.mixtures import Composition, Share, stated_composition
from catalog.domain.supply.stages import STANDARD_ATMOSPHERE, Known, si
from catalog.domain.value_documents import unpack_value
from catalog.usecases.facts_used import FactsUsed, counter_source, holds_of, question_of

Document = Mapping[str, Any]


def supply_question_of(facts: FactsUsed, rulebook: Rulebook) -> SupplyQuestion:
    """The question in the domain's values. `rest` holds that of a part's check, and `supply`: what is asked of it."""
    asked, supply = question_of(facts, rulebook), facts.rest["supply"]
    if asked.engine is None or asked.application is None:
        raise TypeError("A supply line is that of an engine; a question without one is refused when it is read.")
    parts = [loading.part_from(text) for text in facts.parts]
    build = Build(
        rulebook=rulebook,
        engine=asked.engine,
        where=located(asked.application, rulebook.fuels),
        fuel=Fuel.parse(supply["fuel"]),
        replaced={position: parts[index] for position, index in supply["replaced"]},
    )
    rows = tuple(_row(stage, index, supply["told"]) for index, stage in enumerate(supply["stages"]))
    held = {position: holds_of(rows_of) for position, rows_of in supply.get("held", ())}
    return SupplyQuestion(build, rows, _circumstances(supply["circumstances"]), held)


def _row(stage: Document, index: int, told: Iterable[Any]) -> StageRow:
    row = loading.stage_from(stage)
    own = {
        (attribute, slot): Known(unpack_value(packed), Basis.COUNTER, counter_source(how))
        for about, attribute, slot, packed, how in told
        if about == index
    }
    return replace(row, values={**row.values, **own})


def _circumstances(document: Document) -> Circumstances:
    air = unpack_value(document["air"]).payload
    if not isinstance(air, Interval) or air.low is None or air.high is None:
        raise TypeError("The air of a supply line is a closed range; anything else is refused when it is read.")
    return Circumstances(
        coldest_kelvin=si(air.low),
        hottest_kelvin=si(air.high),
        atmosphere=_atmosphere(document),
        fill=_si(document["fill"]),
        load=_load(document["load"]),
        composition=_composition(document["composition"]),
    )


def _atmosphere(document: Document) -> float:
    stated, altitude = _si(document["air_pressure"]), _si(document["altitude"])
    if stated is not None:
        return stated
    return STANDARD_ATMOSPHERE if altitude is None else pressure_at(altitude)


def _load(document: Document | None) -> Load:
    if document is None:
        return FULL
    return Load(**{f"{name}_watts" if name != "share" else name: _si(packed) for name, packed in document.items()})


def _composition(document: Document | None) -> Composition | None:
    if document is None:
        return None
    return stated_composition(document["parts"], Share(document["counted"]))


def _si(packed: object) -> float | None:
    payload = None if packed is None else unpack_value(packed).payload
    return si(payload) if isinstance(payload, Quantity) else None
