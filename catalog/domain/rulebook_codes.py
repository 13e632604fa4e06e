"""Published ratings and code floors that a draft may make stricter and never weaker, and the rules that ask them."""

from __future__ import annotations

from collections.abc import Iterator

from catalog.domain.folding import level
from catalog.domain.parts import MATERIAL
from catalog.domain.quantities import Interval
from catalog.domain.rules import Category, CodeFloor, ComparisonKind, RatingTable, Rule, Rulebook
from catalog.domain.values import State, Value
from catalog.domain.weighing import weaker

Found = Iterator[tuple[str, str]]
# What a grade comes to: met, met on a condition, not known, not met. Nothing published (X) is no better than 2 and
# no worse than 3.
_GRADES = {"1": 0, "2": 1, "X": 2, "3": 3, "4": 3}
_NOT_KNOWN = 2
_RANKED = (ComparisonKind.AT_LEAST, ComparisonKind.AT_MOST)


def ratings_kept(draft: Rulebook, shipped: Rulebook) -> Found:
    """Materials pass by published grades and windows, in the table that was shipped, under the name it was shipped."""
    for code, theirs in shipped.tables.ratings.items():
        ours = draft.tables.ratings.get(code)
        if ours is None:
            yield f"/rating_tables/{code}", "This table was shipped and is missing; what it grades could not be judged."
            continue
        yield from _grades(ours, theirs)
        yield from _windows(ours, theirs)
    if MATERIAL in draft.tables.ratings and MATERIAL not in shipped.tables.ratings:
        yield f"/rating_tables/{MATERIAL}", "Loose seals are judged by this table, and none was shipped."
    yield from _tables_named(draft, shipped)


def _grades(ours: RatingTable, theirs: RatingTable) -> Found:
    for pair in dict.fromkeys((*ours.grades, *theirs.grades)):
        was, is_now = theirs.grades.get(pair, "X"), ours.grades.get(pair, "X")
        if _GRADES.get(is_now, _NOT_KNOWN) < _GRADES.get(was, _NOT_KNOWN):
            yield (
                f"/rating_tables/{ours.code}/grades",
                f"{pair[0]} in {pair[1]} is published as {was}, found {is_now}; a grade may get worse, never better.",
            )


def _windows(ours: RatingTable, theirs: RatingTable) -> Found:
    at = f"/rating_tables/{ours.code}/windows"
    for material in dict.fromkeys((*ours.windows, *theirs.windows)):
        was, is_now = theirs.windows.get(material), ours.windows.get(material)
        if was is None or is_now is None:
            words = "is not published" if was is None else "was shipped and is missing"
            yield at, f"The temperature window of {material} {words}; windows stay or get narrower."
        elif not _within(is_now, was) or not _within(
            ours.special.get(material, is_now), theirs.special.get(material, was)
        ):
            yield at, f"{material} is published for {was.shown()}, found {is_now.shown()}; a window may get narrower."


def _within(inner: Interval, outer: Interval) -> bool:
    low = outer.low is None or (inner.low is not None and inner.low.amount >= outer.low.amount)
    high = outer.high is None or (inner.high is not None and inner.high.amount <= outer.high.amount)
    return low and high


def _tables_named(draft: Rulebook, shipped: Rulebook) -> Found:
    """A material that was shipped to be rated by one table is not rated by another one."""
    by: dict[str, set[str]] = {}
    for _, rule in _rating_rules(shipped):
        by.setdefault(rule.attributes[0], set()).add(rule.comparison.table)
    by.setdefault(MATERIAL, set(shipped.tables.ratings) & {MATERIAL})
    for category, rule in _rating_rules(draft):
        allowed = by.get(rule.attributes[0])
        if allowed and rule.comparison.table not in allowed:
            yield (
                f"/categories/{category.code}/rules/{rule.code}/comparison/table",
                (
                    f"{draft.attribute_name(rule.attributes[0])} is rated by {' or '.join(sorted(allowed))}, which is "
                    f"published; {rule.comparison.table} is not."
                ),
            )


def _rating_rules(rulebook: Rulebook) -> Iterator[tuple[Category, Rule]]:
    for category in rulebook.categories.values():
        for rule in category.rules:
            if rule.comparison.kind is ComparisonKind.RATED_FOR:
                yield category, rule


def code_floors_kept(draft: Rulebook, shipped: Rulebook) -> Found:
    """Every floor stands at least as high for every class, and every rule that asks it asks as much as it did."""
    for floor in shipped.code_floors:
        yield from _floor(draft, shipped, floor)
    for category, attribute in dict.fromkeys((floor.category, floor.attribute) for floor in shipped.code_floors):
        yield from _asking_rules(draft, shipped, category, attribute)


def _floor(draft: Rulebook, shipped: Rulebook, floor: CodeFloor) -> Found:
    kinds = {rule.comparison.kind for rule in _leading(shipped, floor.category, floor.attribute)}
    kind = kinds.pop() if len(kinds) == 1 else ComparisonKind.AT_LEAST
    for code in floor.classes:
        kept = any(
            ours.category == floor.category
            and ours.attribute == floor.attribute
            and code in ours.classes
            and ours.unless_stated <= floor.unless_stated
            and _no_weaker(kind, ours.demand.value, floor.demand.value)
            for ours in draft.code_floors
        )
        if not kept:
            asked = f"{draft.attribute_name(floor.attribute)} of at least {floor.demand.value.shown()} at {code}"
            yield "/code_floors", f"Published codes ask {asked}; a floor may be raised, never lowered or dropped."


def _no_weaker(kind: ComparisonKind, ours: Value, shipped: Value) -> bool:
    if ours == shipped:
        return True
    if kind not in _RANKED or ours.state is not State.VALUE:
        return False
    return not weaker(kind, ours, shipped) and _has_end(kind, ours)


def _has_end(kind: ComparisonKind, value: Value) -> bool:
    """Whether the end of a range that decides is given; an open one asks nothing."""
    if not isinstance(value.payload, Interval):
        return True
    return (value.payload.low if kind is ComparisonKind.AT_LEAST else value.payload.high) is not None


def _asking_rules(draft: Rulebook, shipped: Rulebook, category: str, attribute: str) -> Found:
    ours = {rule.code: rule for rule in _leading(draft, category, attribute)}
    for rule in _leading(shipped, category, attribute):
        at = f"/categories/{category}/rules/{rule.code}"
        if category not in draft.categories:
            continue  # nothing is judged by a category that is not there
        if rule.code not in ours:
            yield at, f"The rule {rule.name} asks what published codes ask, so it stays."
        elif not _asks_as_much(ours[rule.code], rule):
            text = f"The rule {rule.name} asks what published codes ask; it may not ask less, more rarely or otherwise."
            yield at, text
    was, is_now = shipped.attributes.get(attribute), draft.attributes.get(attribute)
    if was and is_now and is_now.of_piece and not was.of_piece:
        text = f"Published codes ask the {was.name} of goods sold by length too; it was not shipped as of a piece only."
        yield f"/attributes/{attribute}/of_piece", text


def _leading(rulebook: Rulebook, category: str, attribute: str) -> tuple[Rule, ...]:
    rules = rulebook.categories[category].rules if category in rulebook.categories else ()
    return tuple(rule for rule in rules if rule.attributes[0] == attribute)


def _asks_as_much(ours: Rule, shipped: Rule) -> bool:
    same = all(getattr(ours, name) == getattr(shipped, name) for name in ("attributes", "comparison", "aspect"))
    everywhere = set(ours.slots) >= set(shipped.slots) and set(ours.when) <= set(shipped.when)
    if (ours.inside_assembly and not shipped.inside_assembly) or ours.asks not in (None, shipped.asks):
        return False
    strict = level(ours.when_not_met) >= level(shipped.when_not_met)
    return same and everywhere and strict and level(ours.when_unknown) >= level(shipped.when_unknown)
