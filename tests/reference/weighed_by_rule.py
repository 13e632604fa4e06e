"""One rule, or one rating of a material, asked straight of the shipped rulebook."""

from __future__ import annotations

from catalog.domain.answers import Answer
from catalog.domain.comparing import compare
from catalog.domain.comparing_codes import Wetting, rated_for
from catalog.domain.quantities import Interval, quantity
from catalog.domain.rules import Rule
from catalog.domain.values import Value
from catalog.domain.weighing import Weighed
from tests.demo_world import rulebook


def grade(material: str, medium: str) -> str:
    return rulebook().tables.ratings["seal_material"].grades[material, medium]


def degrees(low: str, high: str) -> Interval:
    return Interval(quantity(low, "degC"), quantity(high, "degC"))


def rated(material: str, wetting: Wetting, stated: Interval | None = None) -> Answer:
    table = rulebook().tables.ratings["seal_material"]
    return rated_for(table, "seal_material", wetting, Value((material,)), stated).answer


def rule(category: str, code: str) -> Rule:
    return next(one for one in rulebook().categories[category].rules if one.code == code)


def weighed(category: str, code: str, demand: dict[str, Value], offer: dict[str, Value]) -> Weighed:
    return compare(rule(category, code), demand, offer, rulebook().tables)


def codes(*found: str) -> Value:
    return Value(found)


def kpa(value: str) -> Value:
    return Value(quantity(value, "kPa", "difference"))
