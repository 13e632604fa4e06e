"""Supply lines read from their case files: stages in words, values in the grammar of a table's cell."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from catalog.domain.fuels import Fuel, Phase
from catalog.domain.supply.deciding_line import SupplyDecision, decide_line
from catalog.domain.supply.mixtures import Share, compositions_of, stated_composition
from catalog.domain.supply.stages import STANDARD_ATMOSPHERE, Conditions, Known, Line, Stage, StageKind
from catalog.domain.value_documents import read_value
from catalog.domain.value_text import value_document
from catalog.domain.values import Place
from catalog.fluid_properties import ReferenceFluids
from tests.demo_world import FIXTURES, rulebook

CASES = json.loads(Path(FIXTURES, "supply_lines", "lines.json").read_text(encoding="utf-8"))
CATEGORIES = {
    StageKind.CONTAINER: "container", StageKind.HOSE: "fuel_hose", StageKind.FITTING: "fitting",
    StageKind.FILTER: "fuel_filter", StageKind.VALVE: "lock_off", StageKind.VAPORISER: "regulator",
    StageKind.REGULATOR: "regulator", StageKind.INJECTOR: "injector", StageKind.MIXER: "mixer_carburettor",
}  # fmt: skip


@cache
def fluids() -> ReferenceFluids:
    return ReferenceFluids()


def stage(raw: Mapping[str, Any]) -> Stage:
    kind = StageKind(raw["kind"])
    facts: dict[Place, Known] = {}
    for name, text in raw.get("values", {}).items():
        attribute, _, slot = name.partition("@")
        definition = rulebook().attributes[attribute]
        facts[attribute, slot or None] = Known(read_value(value_document(text, definition), definition, pointer=""))
    classes = tuple(raw.get("inlet", ()))
    return Stage(kind, raw.get("name", kind.value), facts, category=CATEGORIES.get(kind), inlet=classes)


def line(raw: Mapping[str, Any]) -> Line:
    drawn = raw.get("withdrawal")
    return Line(raw["title"], raw["fuel"], tuple(map(stage, raw["stages"])), Phase(drawn) if drawn else None)


def conditions(raw: Mapping[str, Any]) -> Conditions:
    """Air in degC, the engine's draw in kg/h, altitude as the pressure of the air in kPa."""
    told = raw.get("composition")
    stated = stated_composition(told, Share.LIQUID_VOLUME) if told else None
    made = compositions_of(Fuel.parse(raw["fuel"]), stated)
    assert made is not None
    low, high = raw["air"]
    return Conditions(
        coldest_kelvin=low + 273.15,
        hottest_kelvin=high + 273.15,
        coldest=made.coldest.mixture(fluids()),
        hottest=made.hottest.mixture(fluids()),
        flow=None if raw.get("draws") is None else raw["draws"] / 3600,
        atmosphere=raw.get("atmosphere", STANDARD_ATMOSPHERE / 1000) * 1000,
        fill=raw.get("fill"),
    )


def decided(raw: Mapping[str, Any]) -> SupplyDecision:
    return decide_line(line(raw), conditions(raw), rulebook(), fluids())
