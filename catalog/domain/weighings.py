"""What there is to weigh of a part at a position of one category, and which places of the part each of it reads."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain

from catalog.domain.answers import distinct
from catalog.domain.case import Case
from catalog.domain.circumstances import circumstances
from catalog.domain.findings import Finding
from catalog.domain.gate import gate
from catalog.domain.parts import FUELS, MATERIAL, SEAL_TEMPERATURE, SERVICE
from catalog.domain.rules import Category, ComparisonKind, Rule
from catalog.domain.values import Place, Slot
from catalog.domain.weighing_rules import Demanded, weigh_rule

GATE, CIRCUMSTANCES = "gate", "circumstances"
_OF_NUMBERS = frozenset(
    {
        ComparisonKind.EQUALS,
        ComparisonKind.AT_LEAST,
        ComparisonKind.AT_MOST,
        ComparisonKind.WITHIN,
        ComparisonKind.COVERS,
        ComparisonKind.INSIDE,
    }
)


@dataclass(frozen=True, slots=True)
class Weighing:
    """The gate, the circumstances, or (with `rule`) one rule in one slot.

    `places` are all that it may read of a part's offers. The part's category, what it is supplied as, its condition,
    whether it is only described and whether it belongs to a matched set may be read by each.
    """

    name: str
    slot: Slot
    places: tuple[Place, ...]
    rule: Rule | None = None

    def weigh(self, case: Case, known: Demanded | None = None) -> tuple[Finding, ...]:
        """What the reference engine finds; `known` is what a rule demands of such a case, where it is at hand."""
        if self.rule is not None:
            finding = weigh_rule(case, self.rule, self.slot, known)
            return () if finding is None else (finding,)
        return gate(case) if self.name == GATE else circumstances(case)

    @property
    def of_one_number(self) -> bool:
        """Whether it is a comparison of single amounts, whose answer changes only at turning points."""
        rule = self.rule
        if rule is None or len(self.places) != 1 or rule.comparison.kind not in _OF_NUMBERS:
            return False
        return not (rule.comparison.same or rule.comparison.not_below or rule.comparison.where_stated)


def weighings(category: Category | None) -> tuple[Weighing, ...]:
    """All that is weighed of a candidate at a position that asks for this category, the gate first."""
    if category is None:
        return ()
    rules = (Weighing(rule.code, slot, _of_rule(rule, slot), rule) for rule in category.rules for slot in rule.slots)
    found: Iterable[Weighing] = (Weighing(GATE, None, _of_gate(category)), Weighing(CIRCUMSTANCES, None, ()))
    return tuple(chain(found, rules))


def _of_gate(category: Category) -> tuple[Place, ...]:
    ports: list[Place] = [(SERVICE, port) for port in category.ports]
    seal: list[Place] = [(MATERIAL, None), (SEAL_TEMPERATURE, None)] if category.loose_seal else []
    return (*ports, *seal, (FUELS, None), ("media", None))


def _of_rule(rule: Rule, slot: Slot) -> tuple[Place, ...]:
    places: list[Place] = [(member, slot) for member in rule.attributes]
    if rule.comparison.kind is ComparisonKind.RATED_FOR and rule.attributes[0] == MATERIAL:
        places.append((SEAL_TEMPERATURE, None))
    return distinct(places)
