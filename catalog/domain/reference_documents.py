"""The section `reference_tables` of a rulebook document, each table read by its kind.

A table is `{"name", "kind", "rows", "source"}`, keyed by code; a row may name a source of its own. Numbers are decimal
text with the unit in the key. Steps of size say `over_mm` and `up_to_mm` (the first may say `from_mm`): each begins
where the one before it ends.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import TypeVar

from catalog.domain.answers import Source
from catalog.domain.document_fields import Fields, refusal, source_of
from catalog.domain.oil_grades import ColdLimit, HotGrade, ViscosityGrades, WinterGrade
from catalog.domain.reference_tables import ReferenceTables
from catalog.domain.ring_documents import (
    GLANDS_KEYS,
    SIZES_KEYS,
    exact,
    length,
    read_ring_glands,
    read_ring_sizes,
    row_source,
)
from catalog.domain.size_tolerances import Deviation, GeneralTolerance, GeneralTolerances, Step, ToleranceGrades

T = TypeVar("T")


class TableKind(StrEnum):
    RING_SIZES = "ring_sizes"
    RING_GLANDS = "ring_glands"
    TOLERANCE_GRADES = "tolerance_grades"
    GENERAL_TOLERANCES = "general_tolerances"
    VISCOSITY_GRADES = "viscosity_grades"


_PLAIN_KEYS = ("name", "kind", "rows", "source")
_KEYS: Mapping[TableKind, tuple[str, ...]] = {
    TableKind.RING_SIZES: SIZES_KEYS,
    TableKind.RING_GLANDS: GLANDS_KEYS,
    TableKind.VISCOSITY_GRADES: ("name", "kind", "winter", "rows", "source"),
}
_WINTER_KEYS = ("grade", "cranking_most_mpa_s", "cranking_at_degc", "pumping_most_mpa_s", "pumping_at_degc",
                "viscosity_least_mm2_s", "source")  # fmt: skip
_HOT_KEYS = ("grade", "beside", "viscosity_least_mm2_s", "viscosity_below_mm2_s", "high_shear_least_mpa_s",
             "source")  # fmt: skip


def read_reference_tables(top: Fields) -> ReferenceTables:
    """Every table of the section, compiled. Raises Invalid, with the path, for the first that does not hold up."""
    section = Fields.of(top.raw.get("reference_tables", {}), top.path("reference_tables"))
    held: dict[TableKind, dict[str, Fields]] = {kind: {} for kind in TableKind}
    for code in sorted(section.raw):
        table = Fields.of(section.raw[code], section.path(code))
        kind = table.one_of("kind", TableKind)
        table = Fields.of(table.raw, table.pointer, _KEYS.get(kind, _PLAIN_KEYS))
        table.text("name")
        if not table.items("rows"):
            raise refusal(table.path("rows"), "a table holds at least one row", "missing")
        held[kind][code] = table
    return ReferenceTables(
        ring_sizes=_each(held[TableKind.RING_SIZES], read_ring_sizes),
        ring_glands=_each(held[TableKind.RING_GLANDS], read_ring_glands),
        tolerance_grades=_each(held[TableKind.TOLERANCE_GRADES], _tolerance_grades),
        general_tolerances=_each(held[TableKind.GENERAL_TOLERANCES], _general_tolerances),
        viscosity_grades=_each(held[TableKind.VISCOSITY_GRADES], _viscosity_grades),
    )


def _each(tables: Mapping[str, Fields], read: Callable[[str, Fields], T]) -> dict[str, T]:
    return {code: read(code, table) for code, table in tables.items()}


def _step(row: Fields, before: Step | None) -> Step:
    """The step of a row, which begins exactly where the one before it ends."""
    lower = "from_mm" if before is None and row.has("from_mm") else "over_mm"
    step = Step(length(row, lower), length(row, "up_to_mm"), includes_lower=lower == "from_mm")
    if step.over >= step.up_to:
        raise refusal(
            row.path("up_to_mm"), f"a step ends above {row.text(lower)} mm, where it begins", "range_reversed"
        )
    if before is not None and step.over < before.up_to:
        raise refusal(row.path("over_mm"), "this step begins before the one above it ends; the two overlap", "overlap")
    if before is not None and step.over > before.up_to:
        raise refusal(row.path("over_mm"), "this step begins after the one above it ends; sizes between have none",
                      "hole")  # fmt: skip
    return step


def _tolerance_grades(code: str, table: Fields) -> ToleranceGrades:
    steps: list[tuple[Step, Mapping[str, Deviation]]] = []
    for row in table.rows("rows", ("over_mm", "from_mm", "up_to_mm", "deviations_um", "source")):
        step = _step(row, steps[-1][0] if steps else None)
        grades = {grade: _deviation(entry) for grade, entry in row.named("deviations_um", ("upper", "lower"))}
        _complete(row, grades, steps[-1][1] if steps else grades)
        steps.append((step, grades))
    return ToleranceGrades(code, tuple(steps))


def _deviation(entry: Fields) -> Deviation:
    found = Deviation(length(entry, "lower", "um"), length(entry, "upper", "um"))
    if found.lower >= found.upper:
        raise refusal(entry.path("upper"), "the upper limit lies above the lower one", "range_reversed")
    return found


def _complete(row: Fields, grades: Mapping[str, Deviation], before: Mapping[str, Deviation]) -> None:
    if grades.keys() != before.keys() or not grades:
        absent = ", ".join(sorted(grades.keys() ^ before.keys())) or "every grade"
        raise refusal(row.path("deviations_um"), f"{absent}: each step has the grades of the others", "hole")
    for grade, found in grades.items():
        if found.upper - found.lower < before[grade].upper - before[grade].lower:
            words = f"{grade} is held closer than a smaller size is; tolerances never shrink as sizes grow"
            raise refusal(f"{row.path('deviations_um')}/{grade}", words, "not_rising")


def _general_tolerances(code: str, table: Fields) -> GeneralTolerances:
    source, held = source_of(table), dict[str, GeneralTolerance]()
    rows: list[GeneralTolerance] = []
    for row in table.rows("rows", ("class", "over_mm", "from_mm", "up_to_mm", "tolerance_mm", "source")):
        name = row.text("class")
        before = held.get(name)
        found = GeneralTolerance(
            name, _step(row, before.step if before else None), length(row, "tolerance_mm"), row_source(row, source)
        )
        if found.plus_minus <= 0:
            raise refusal(row.path("tolerance_mm"), "this must be more than nothing", "not_positive")
        if before is not None and found.plus_minus < before.plus_minus:
            words = "a larger size is held closer than a smaller one; tolerances never shrink as sizes grow"
            raise refusal(row.path("tolerance_mm"), words, "not_rising")
        held[name] = found
        rows.append(found)
    return GeneralTolerances(code, tuple(rows))


def _viscosity_grades(code: str, table: Fields) -> ViscosityGrades:
    source = source_of(table)
    winter = tuple(_winter(row, source) for row in table.rows("winter", _WINTER_KEYS))
    hot: list[HotGrade] = []
    for row in table.rows("rows", _HOT_KEYS):
        grade = _hot(row, source, frozenset(w.grade for w in winter))
        if hot:
            _thicker(row, hot[-1], grade)
        hot.append(grade)
    return ViscosityGrades(code, winter, tuple(hot))


def _winter(row: Fields, table: Source) -> WinterGrade:
    return WinterGrade(
        grade=row.text("grade"),
        cranking=ColdLimit(_whole(row, "cranking_most_mpa_s"), _whole(row, "cranking_at_degc")),
        pumping=ColdLimit(_whole(row, "pumping_most_mpa_s"), _whole(row, "pumping_at_degc")),
        least=exact(row, "viscosity_least_mm2_s"),
        source=row_source(row, table),
    )


def _whole(row: Fields, key: str) -> int:
    found = exact(row, key)
    if found.denominator != 1:
        raise refusal(row.path(key), "a whole number is expected here")
    return int(found)


def _hot(row: Fields, table: Source, winter: frozenset[str]) -> HotGrade:
    found = HotGrade(
        grade=row.text("grade"),
        least=exact(row, "viscosity_least_mm2_s"),
        below=exact(row, "viscosity_below_mm2_s"),
        high_shear=exact(row, "high_shear_least_mpa_s"),
        source=row_source(row, table),
        beside=tuple("" if name == "none" else name for name in row.texts("beside")),
    )
    if found.least >= found.below:
        raise refusal(row.path("viscosity_below_mm2_s"), "a grade ends above where it begins", "range_reversed")
    for name in found.beside:
        if name and name not in winter:
            raise refusal(row.path("beside"), f"there is no winter grade {name!r}", "unknown_name")
    return found


def _thicker(row: Fields, before: HotGrade, grade: HotGrade) -> None:
    """Grades overlap, by the standard; but each begins and ends above the one before it, and none leaves a gap."""
    if grade.grade == before.grade:
        if (grade.least, grade.below) != (before.least, before.below):
            raise refusal(row.path("grade"), f"two rows of {grade.grade} give it one viscosity", "overlap")
        if set(grade.beside) & set(before.beside) or not (grade.beside and before.beside):
            raise refusal(row.path("beside"), f"two rows of {grade.grade} hold beside one winter grade", "overlap")
        return
    if grade.least <= before.least or grade.below <= before.below:
        raise refusal(row.path("viscosity_least_mm2_s"), f"{grade.grade} is no thicker than {before.grade} before it",
                      "not_rising")  # fmt: skip
    if grade.least > before.below:
        raise refusal(row.path("viscosity_least_mm2_s"), f"oils between {before.grade} and {grade.grade} have no grade",
                      "hole")  # fmt: skip
