"""P4: substitutes with their verdicts and headlines over HTTP, against a trivial GET with the same key.

The catalogue is the demo's, filled with generated parts; the position is the one with the most parts that are good.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime
from typing import Any

from catalog.loading.category_columns import forget_columns
from catalog.models import Part
from catalog.usecases.synthesizing import synthesize
from tests.api.world import NOW, demo_catalogue
from tests.benchmarks.measuring import Row, interleaved
from tests.benchmarks.served import Get, served_with_get

SIZES = (10_000, 40_000)
SHOWN = 50
P4 = 6.0
ENGINE = (
    "model=OLM-K55&spec=D-30A&serial=204871&plate_fuels=diesel&found_fuels=diesel&found_mode=only_fuel"
    "&found_on=2026-01-12&place_of_use=outdoor&certified=false"
)
POSITIONS = ("oil_filter", "drain_washer", "hose_clamp", "coolant", "fuel_filter", "water_pump", "glow_plug", "belt")


def measure() -> list[Row]:
    """A category each, warm: what the reference engine was asked once is kept while the catalogue stands still."""
    rows = list[Row]()
    with served_with_get() as get:
        for size in SIZES:
            for _ in synthesize(demo_catalogue(), size, _now):
                pass
            forget_columns()
            rows.append(_measured(get, size))
    return rows


def _now() -> datetime:
    return NOW


def _measured(get: Get, size: int) -> Row:
    address, answer = fullest(get, SHOWN)
    substitutes, trivial = get(address), get("/trivial/")
    taken = interleaved({"trivial": trivial, "substitutes": substitutes}, repeat=10)
    forget_columns()
    cold = interleaved({"cold": _cold(substitutes)}, repeat=1, rounds=3)["cold"]
    ratio = taken["substitutes"] / taken["trivial"]
    beside = {
        "substitutes us": taken["substitutes"], "trivial us": taken["trivial"], "from nothing us": cold,
        "parts": size, "of the category": Part.objects.filter(category=answer["category"]).count(),
        "shown": len(answer["results"]), "good": answer["counts"]["accepted"] + answer["counts"]["conditional"],
    }  # fmt: skip
    return Row("P4 substitutes", ratio, "of a trivial GET", f"<= {P4:.0f}", ratio <= P4, beside)


def _cold(substitutes: Callable[[], object]) -> Callable[[], object]:
    def call() -> object:
        forget_columns()
        return substitutes()

    return call


def fullest(get: Get, shown: int) -> tuple[str, dict[str, Any]]:
    """The position with the most parts that are good, of those that the engine has: its address and its answer."""
    part = Part.objects.get(maker__code="OLM", number="5520-A").pk
    found: list[tuple[int, str, dict[str, Any]]] = []
    for position in POSITIONS:
        address = f"/api/v1/parts/{part}/substitutes/?{ENGINE}&position={position}&limit={shown}"
        try:
            answer = json.loads(get(address)())  # type: ignore[arg-type]
        except RuntimeError:
            continue  # the engine has no such position
        found.append((answer["counts"]["accepted"] + answer["counts"]["conditional"], address, answer))
    _, address, answer = max(found, key=lambda one: one[0])
    return address, answer
