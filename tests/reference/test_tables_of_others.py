"""The published tables against the same tables as open libraries have them: O-ring sizes and limits of fits.

Sources: the O-ring size table of bd-warehouse (ISO 3601-1, millimetres) and the ISO 286 limits of isofits. Both are
read as data of others and are not what the tables here were typed from.
"""

from __future__ import annotations

import csv
import importlib.util
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

import isofits
import pytest

from tests.demo_world import document

pytestmark = pytest.mark.domain
LAST_DIGIT = Fraction(1, 100)  # mm: inch sizes are rounded to it, not always the same way


def reference(table: str) -> list[Mapping[str, Any]]:
    tables: Any = document()["reference_tables"]
    rows: list[Mapping[str, Any]] = tables[table]["rows"]
    return rows


def rings_of_others() -> dict[str, Mapping[str, str]]:
    """By size code. The package is not imported, only its table read: what draws its parts is not installed."""
    found = importlib.util.find_spec("bd_warehouse")
    assert found is not None
    assert found.submodule_search_locations
    table = Path(found.submodule_search_locations[0], "data", "o-ring_parameters.csv")
    with table.open(encoding="utf-8", newline="") as lines:
        return {row["Size"]: row for row in csv.DictReader(lines)}


def test_every_ring_size_is_the_one_that_others_have() -> None:
    theirs, ours = rings_of_others(), reference("ring_sizes")
    names = {"inner_mm": "id", "section_mm": "w", "inner_tolerance_mm": "id_tol", "section_tolerance_mm": "w_tol"}
    compared = [row for row in ours if row["code"] in theirs]
    apart = [
        (row["code"], name)
        for row in compared
        for name, column in names.items()
        if abs(Fraction(row[name]) - Fraction(theirs[row["code"]][f"iso3601:{column}"])) > LAST_DIGIT
    ]
    assert apart == []
    assert len(compared) > len(ours) / 2


def test_every_limit_of_a_fit_is_the_one_that_others_have() -> None:
    """Micrometres, at the upper end of each step of sizes, which belongs to it."""
    apart = [
        (step["up_to_mm"], grade)
        for step in reference("iso_286")
        for grade, limits in step["deviations_um"].items()
        if tuple(isofits.isotol("hole" if grade[0].isupper() else "shaft", float(step["up_to_mm"]), grade, "both"))
        != (int(limits["upper"]), int(limits["lower"]))
    ]
    assert apart == []
