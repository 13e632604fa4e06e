"""The demand side of one thing weighed: all of a question that its answer depends on, as one value to look up by.

Two questions with one side have one answer for every part that nobody says anything of. What a side leaves out is read
only for words, or only where a maker's statement names the candidate.
"""

from __future__ import annotations

from collections.abc import Hashable

from catalog.domain import when_facts
from catalog.domain.case import Case
from catalog.domain.demands import Asked, asked_of
from catalog.domain.reaching import gas_passes, touched
from catalog.domain.rules import AMONG_MEDIA, ComparisonKind, Rule
from catalog.domain.values import Slot
from catalog.domain.weighings import GATE, Weighing


def side_of(weighing: Weighing, case: Case) -> Hashable:
    """The side of a case whose candidate nobody makes a statement about."""
    if weighing.rule is not None:
        return _of_rule(case, weighing.rule, weighing.slot)
    return case.where.burned if weighing.name == GATE else case.where.application, _reaching(case)


def asks_of_parts(weighing: Weighing, case: Case) -> bool:
    """Whether it can matter what a part offers: not where a rule is not asked here, or nobody asks anything by it."""
    rule = weighing.rule
    if rule is None:
        return True
    applies = when_facts.holds(case, rule.when).holds if rule.when else True
    return applies is not False and bool(asked_of(case, rule, weighing.slot))


def _reaching(case: Case) -> Hashable:
    position = case.position
    return position.branch, position.ports, position.carries_fuel, position.media


def _of_rule(case: Case, rule: Rule, slot: Slot) -> Hashable:
    applies = when_facts.holds(case, rule.when).holds if rule.when else True
    if applies is False:
        return False
    asked = tuple(_asked(demand) for demand in asked_of(case, rule, slot))
    kind = rule.comparison.kind
    if kind in AMONG_MEDIA:
        return (
            applies,
            asked,
            case.position.media,
            touched(case, slot, case.rulebook.tables.ratings.get(rule.comparison.table)),
        )
    if kind is ComparisonKind.MATES_WITH:
        return applies, asked, gas_passes(case, slot)
    return applies, asked


def _asked(demand: Asked) -> Hashable:
    return tuple(demand.reading.items()), demand.taken_over, demand.lends.holds, demand.slot
