"""What disagrees: an engine found on another fuel than its plate names, and demands that ask for different things."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from catalog.domain.answers import Basis, distinct
from catalog.domain.applicability import Where
from catalog.domain.case import Case
from catalog.domain.demands import asked_of
from catalog.domain.fuels import RecordMode, differs_from_plate, listed
from catalog.domain.rules import ComparisonKind, Rule
from catalog.domain.values import Demand
from catalog.domain.weighing import weaker
from catalog.domain.when_facts import holds

_MEASURED = frozenset(
    {ComparisonKind.AT_LEAST, ComparisonKind.AT_MOST, ComparisonKind.COVERS, ComparisonKind.INSIDE}
)  # fmt: skip
_SAYS = {
    Basis.STATED: "the position states",
    Basis.COMPUTED: "its supply line comes to",
    Basis.COUNTER: "the counter gave",
    Basis.CODE_FLOOR: "published codes ask for",
}


def with_the_plate(where: Where) -> tuple[str, ...]:
    application, names = where.application, where.names
    record = differs_from_plate(application.plate_fuels, application.fuel_records)
    if record is None:
        return ()
    plate, found = listed(application.plate_fuels, names), listed(record.fuels, names)
    only = "" if record.mode is RecordMode.BURNS_TODAY else ", the only fuel it can burn now"
    return (f"Plate says {plate}, found on {found} {record.found_on.isoformat()}{only}.",)


def between_demands(case: Case) -> tuple[str, ...]:
    """Needs of one rating that differ, and a need below what published codes ask: the more demanding counts."""
    rules = case.category.rules if case.category else ()
    measured = [
        rule
        for rule in rules
        if rule.comparison.kind in _MEASURED and (not rule.when or holds(case, rule.when).holds is not False)
    ]
    return distinct(text for rule in measured for slot in rule.slots for text in _of_rule(case, rule, slot))


def _of_rule(case: Case, rule: Rule, slot: str | None) -> Iterator[str]:
    leading = rule.attributes[0]
    stated = case.position.demands.get((leading, slot), ())
    beside = not rule.by_itself or (case.position.category, leading) in case.rulebook.floors
    if not stated or (len(stated) == 1 and not beside):  # a demand alone is at odds with nothing
        return
    asked = [one.shown for one in asked_of(case, rule, slot) if one.taken_over is None]
    name = rule.name + (f" ({slot.replace('_', ' ')})" if slot else "")
    for one, other in combinations(asked, 2):
        if one.value != other.value and _at_odds(rule, one, other):
            text = f"{name}: {_said(one)} and {_said(other)}; the more demanding counts."
            yield f"{text[:1].upper()}{text[1:]}"


def _at_odds(rule: Rule, one: Demand, other: Demand) -> bool:
    """A floor is a least, so a need above it agrees with it."""
    floors = [demand for demand in (one, other) if demand.basis is Basis.CODE_FLOOR]
    if len(floors) == 1:
        need = other if floors[0] is one else one
        return weaker(rule.comparison.kind, need.value, floors[0].value)
    return not floors


def _said(demand: Demand) -> str:
    return f"{_SAYS.get(demand.basis, demand.basis.value.replace('_', ' '))} {demand.value.shown()}"
