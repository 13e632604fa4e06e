"""Whether everything a rulebook names is in it, and whether every rule can be weighed at all."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from catalog.domain.parts import FUELS, SERVICE
from catalog.domain.rules import Category, Comparison, ComparisonKind, FuelRole, Rule, Rulebook, When, WhenFact
from catalog.domain.values import Kind
from service.errors import FieldProblem

_MEASURED = frozenset({Kind.QUANTITY, Kind.RANGE})
_CODES = frozenset({Kind.CHOICE, Kind.CHOICES, Kind.ORDERED_CLASS, Kind.DESIGNATION, Kind.CODE_LIST})
_KINDS: Mapping[ComparisonKind, frozenset[Kind]] = {
    ComparisonKind.EQUALS: frozenset(Kind),
    ComparisonKind.ONE_OF: _CODES,
    ComparisonKind.INCLUDES: _CODES,
    ComparisonKind.DESIGNATION_MATCHES: _CODES,
    ComparisonKind.CLASS_AT_LEAST: _CODES,
    ComparisonKind.RATED_FOR: _CODES,
    ComparisonKind.MATES_WITH: _CODES,
    ComparisonKind.AT_LEAST: _MEASURED | {Kind.FLAG},
    ComparisonKind.AT_MOST: _MEASURED,
    ComparisonKind.WITHIN: _MEASURED,
    ComparisonKind.COVERS: _MEASURED,
    ComparisonKind.INSIDE: _MEASURED,
    ComparisonKind.SIZE_SEALS: _MEASURED,
}
_READ_TOGETHER = frozenset({ComparisonKind.MATES_WITH, ComparisonKind.SIZE_SEALS})
_WITHIN_MEMBERS = (1, 2, 3)  # a measure; with the flag that it may be set; a flow with its pressure and fluid


def unknown_names(rulebook: Rulebook) -> tuple[FieldProblem, ...]:
    """A problem for each name that stands for nothing and each rule that could not be weighed, with its path."""
    return tuple(
        problem
        for found in (
            _fuels(rulebook),
            *(_category(rulebook, category) for category in rulebook.categories.values()),
            _gate_tables(rulebook),
            _order_tables(rulebook),
        )
        for problem in found
    )


def _missing(
    pointer: str, what: str, names: Iterable[str | None], known: Iterable[str | None]
) -> Iterator[FieldProblem]:
    held = frozenset(known)
    for name in names:
        if name not in held:
            yield FieldProblem(pointer, "unknown_name", f"there is no {what} {name!r}")


def _fuels(rulebook: Rulebook) -> Iterator[FieldProblem]:
    for code, fuel in rulebook.fuels.items():
        usual = (fuel.usual,) if fuel.usual else ()
        yield from _missing(f"/fuels/{code}/usual", "grade", usual, fuel.grades)
        yield from _missing(f"/fuels/{code}/covered_by_bare_name", "grade", fuel.covered_by_bare_name, fuel.grades)
    graded = [f"{code}:{grade}" for code, fuel in rulebook.fuels.items() for grade in fuel.grades]
    for code, service in rulebook.classes.items():
        yield from _missing(f"/service_classes/{code}/grades", "fuel with grade", service.grades, graded)


def _category(rulebook: Rulebook, category: Category) -> Iterator[FieldProblem]:
    at = f"/categories/{category.code}"
    yield from _missing(f"{at}/attributes", "attribute", category.attributes, rulebook.attributes)
    yield from _missing(f"{at}/cautions", "caution", category.cautions, rulebook.cautions)
    yield from _missing(f"{at}/never_covered", "port", category.never_covered, category.ports)
    yield from _missing(
        f"{at}/assembly_only_classes", "service class", category.assembly_only_classes, rulebook.classes
    )
    yield from _gated(rulebook, category, at)
    for rule in category.rules:
        yield from _rule(rulebook, rule, f"{at}/rules/{rule.code}")


def _gated(rulebook: Rulebook, category: Category, at: str) -> Iterator[FieldProblem]:
    """The gate needs ports and classes, or a list of fuels, to read."""
    if category.fuel_role in (FuelRole.METERING, FuelRole.WETTED):
        if not category.ports:
            yield FieldProblem(f"{at}/ports", "missing", f"a {category.fuel_role.value} part has at least one port")
        yield from _missing(f"{at}/attributes", "attribute of the gate", (SERVICE,), category.attributes)
        slots = rulebook.attributes[SERVICE].slots if SERVICE in rulebook.attributes else ()
        yield from _missing(f"{at}/ports", f"slot of {SERVICE}", category.ports, slots)
    elif category.fuel_role is not FuelRole.NONE:
        yield from _missing(f"{at}/attributes", "attribute of the gate", (FUELS,), category.attributes)


def _rule(rulebook: Rulebook, rule: Rule, at: str) -> Iterator[FieldProblem]:
    yield from _missing(f"{at}/attributes", "attribute", rule.attributes, rulebook.attributes)
    for member in rule.attributes:
        if member in rulebook.attributes:
            slots = rulebook.attributes[member].slots
            yield from _missing(f"{at}/slots", f"slot of {member}", rule.slots, slots)
    yield from _comparison(rulebook, rule, f"{at}/comparison")
    for when in rule.when:
        yield from _missing(f"{at}/when", f"{when.fact.value} like", when.one_of, _facts(rulebook, when))


def _facts(rulebook: Rulebook, when: When) -> Iterable[str]:
    if when.fact is WhenFact.FUEL_BURNED:
        return rulebook.fuels
    if when.fact is WhenFact.SERVICE_CLASS:
        return rulebook.classes
    if when.fact is WhenFact.PLACE_OF_USE:
        places = rulebook.attributes.get("place_of_use")
        return places.vocabulary if places else ()
    return ("yes", "no")


def _comparison(rulebook: Rulebook, rule: Rule, at: str) -> Iterator[FieldProblem]:
    comparison = rule.comparison
    for member in rule.attributes[:1]:
        kind = rulebook.attributes[member].kind if member in rulebook.attributes else None
        if kind is not None and kind not in _KINDS[comparison.kind]:
            detail = f"{comparison.kind.value} does not compare {member}, which is a {kind.value}"
            yield FieldProblem(f"{at}/kind", "wrong_comparison", detail)
    yield from _missing(f"{at}/same", "member of the rule", comparison.same, rule.attributes[1:])
    yield from _missing(f"{at}/where_stated", "member of the rule", comparison.where_stated, rule.attributes[1:])
    beside = (comparison.not_below,) if comparison.not_below else ()
    yield from _missing(f"{at}/not_below", "member of the rule", beside, rule.attributes[1:])
    together = (
        comparison.kind in _READ_TOGETHER
        or {*comparison.same, *comparison.where_stated} == set(rule.attributes[1:])
        or (comparison.kind is ComparisonKind.WITHIN and len(rule.attributes) in _WITHIN_MEMBERS)
    )
    if len(rule.attributes) > 1 and not together:
        detail = f"{comparison.kind.value} does not read {len(rule.attributes)} attributes together"
        yield FieldProblem(f"{at}/kind", "wrong_comparison", detail)
    if comparison.outer and not comparison.condition:
        yield FieldProblem(f"{at}/condition", "missing", "an outer band needs the condition it is met on")
    yield from _table(rulebook, rule, comparison, at)


def _table(rulebook: Rulebook, rule: Rule, comparison: Comparison, at: str) -> Iterator[FieldProblem]:
    tables = rulebook.tables
    held: Mapping[ComparisonKind, Mapping[str, object]] = {
        ComparisonKind.MATES_WITH: tables.mates,
        ComparisonKind.CLASS_AT_LEAST: tables.orders,
        ComparisonKind.RATED_FOR: tables.ratings,
    }
    if comparison.kind in held:
        yield from _missing(f"{at}/table", "table", (comparison.table,), held[comparison.kind])
        yield from _ranked(rulebook, rule, f"{at}/table")
    if comparison.table and (comparison.kind is ComparisonKind.ONE_OF or comparison.same):
        yield from _missing(f"{at}/table", "table", (comparison.table,), tables.orders)
    mates = tables.mates.get(comparison.table)
    if comparison.kind is ComparisonKind.MATES_WITH and mates is not None:
        members = (*mates.equal, *((mates.paired,) if mates.paired else ()))
        yield from _missing(f"{at}/table", f"member of the rule for {mates.code}'s", members, rule.attributes)
        if members and members[0] != rule.attributes[0]:
            detail = f"{mates.code} reads {members[0]} first, and the rule names {rule.attributes[0]} first"
            yield FieldProblem(f"{at}/table", "wrong_comparison", detail)


def _ranked(rulebook: Rulebook, rule: Rule, at: str) -> Iterator[FieldProblem]:
    """An ordered class and the table that ranks it hold the same classes: one left out could never be answered."""
    table = rulebook.tables.orders.get(rule.comparison.table)
    leading = rulebook.attributes.get(rule.attributes[0])
    if rule.comparison.kind is not ComparisonKind.CLASS_AT_LEAST or table is None or leading is None:
        return
    if leading.kind is not Kind.ORDERED_CLASS or not leading.vocabulary:
        return
    for code in sorted(set(table.families) ^ set(leading.vocabulary)):
        where = "ranked and no class of it" if code in table.families else "not ranked"
        detail = f"{code} of {leading.code} is {where} in the table {table.code}; the two must hold the same classes"
        yield FieldProblem(at, "unranked_class", detail)


def _gate_tables(rulebook: Rulebook) -> Iterator[FieldProblem]:
    for pair in rulebook.covers:
        yield from _missing("/covers", "service class", pair, rulebook.classes)
    for row in rulebook.never_serves:
        yield from _missing("/never_serves", "service class", (*row.made_for, *row.must_not_serve), rulebook.classes)
    for may in rulebook.may_serve:
        yield from _missing("/may_serve", "category", (may.offered, may.position), rulebook.categories)
        for when in may.when:
            yield from _missing("/may_serve/when", f"{when.fact.value} like", when.one_of, _facts(rulebook, when))
    for floor in rulebook.code_floors:
        yield from _missing("/code_floors", "service class", floor.classes, rulebook.classes)
        yield from _missing("/code_floors", "category", (floor.category,), rulebook.categories)


def _order_tables(rulebook: Rulebook) -> Iterator[FieldProblem]:
    for code, table in rulebook.tables.orders.items():
        named = (name for pair in table.pairs for name in pair)
        yield from _missing(
            f"/order_tables/{code}/pairs", "class in its families", dict.fromkeys(named), table.families
        )
