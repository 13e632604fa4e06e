"""Categories and their rules, read from a rulebook document."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from catalog.domain.answers import Aspect, Effect, Fact, TakenOver, distinct
from catalog.domain.document_fields import Fields, refusal, source_of
from catalog.domain.quantities import Dimension, quantity, same_dimension
from catalog.domain.rules import (
    Approver,
    AttributeDefinition,
    Category,
    Comparison,
    ComparisonKind,
    FuelRole,
    Rule,
    Tolerance,
    When,
    WhenFact,
)
from service.errors import Invalid

_CATEGORY = ("name", "noun", "fuel_role", "attributes", "rules", "ports", "never_covered", "not_made_for_fuel",
             "loose_seal", "kit", "emission_listed", "replace_together", "assembly_only_classes", "cautions",
             "each_piece")  # fmt: skip
_RULE = ("name", "attributes", "slots", "comparison", "when_not_met", "when_unknown", "source", "taken_over", "aspect",
         "when", "condition", "rank", "only_where_stated", "inside_assembly", "asks", "approvable_by",
         "unrecorded")  # fmt: skip
_COMPARISON = ("kind", "inner", "outer", "condition", "table", "liquids", "same", "not_below",
               "where_stated")  # fmt: skip
_TOLERANCE = ("both", "minus", "plus", "percent", "minus_percent", "plus_percent", "starts_at")
_DIFFERENCE_OF = {
    Dimension.PRESSURE_GAUGE: Dimension.PRESSURE_DIFFERENCE,
    Dimension.PRESSURE_ABSOLUTE: Dimension.PRESSURE_DIFFERENCE,
    Dimension.TEMPERATURE: Dimension.TEMPERATURE_DIFFERENCE,
}
_NOT_MET = (Effect.REJECT, Effect.CONDITION, Effect.NOTE)
_UNKNOWN = (Effect.UNDETERMINED, Effect.CONDITION, Effect.NOTE)
_PPM_OF_PERCENT = 10_000
Attributes = Mapping[str, AttributeDefinition]


def read_categories(top: Fields, attributes: Attributes) -> dict[str, Category]:
    """Every category by its code. Raises Invalid with the path of what is malformed."""
    return {code: _category(code, row, attributes) for code, row in top.named("categories", _CATEGORY)}


def _category(code: str, row: Fields, attributes: Attributes) -> Category:
    rules = tuple(_rule(name, rule, attributes) for name, rule in row.named("rules", _RULE))
    weighed = (attribute for rule in rules for attribute in rule.attributes)
    return Category(
        code=code,
        name=row.text("name"),
        noun=row.text("noun"),
        fuel_role=row.one_of("fuel_role", FuelRole),
        attributes=distinct((*row.texts("attributes"), *weighed)),
        rules=tuple(sorted(rules, key=lambda rule: (rule.rank, rule.code))),
        ports=row.texts("ports"),
        never_covered=row.texts("never_covered"),
        not_made_for_fuel=row.flag("not_made_for_fuel"),
        loose_seal=row.flag("loose_seal"),
        kit=row.flag("kit"),
        emission_listed=row.flag("emission_listed"),
        replace_together=row.flag("replace_together"),
        assembly_only_classes=row.texts("assembly_only_classes"),
        cautions=row.texts("cautions"),
        each_piece=row.text("each_piece", ""),
    )


def _rule(code: str, row: Fields, attributes: Attributes) -> Rule:
    members = row.texts("attributes") or (code,)
    for member in members:
        if member not in attributes:
            raise refusal(row.path("attributes"), f"there is no attribute {member!r}", "unknown_name")
    leading = attributes[members[0]]
    return Rule(
        code=code,
        name=row.text("name", leading.name),
        attributes=members,
        comparison=_comparison(Fields.of(row.get("comparison"), row.path("comparison"), _COMPARISON), leading),
        when_not_met=_effect(row, "when_not_met", _NOT_MET),
        when_unknown=_effect(row, "when_unknown", _UNKNOWN),
        source=source_of(row),
        slots=row.texts("slots") or ((None,) if None in leading.slots else leading.slots),
        taken_over=row.one_of("taken_over", TakenOver, TakenOver.NONE),
        aspect=row.one_of("aspect", Aspect, Aspect.FIT),
        when=read_when(row),
        condition=row.text("condition", ""),
        rank=row.whole("rank", 100),
        only_where_stated=row.flag("only_where_stated"),
        inside_assembly=row.flag("inside_assembly"),
        asks=_asks(row),
        approvable_by=_approver(row),
        unrecorded=row.text("unrecorded", ""),
    )  # fmt: skip


def read_when(row: Fields) -> tuple[When, ...]:
    """The facts a row of the rulebook depends on, all of which must hold."""
    return tuple(
        When(when.one_of("fact", WhenFact), when.texts("one_of")) for when in row.rows("when", ("fact", "one_of"))
    )


def _effect(row: Fields, key: str, allowed: tuple[Effect, ...]) -> Effect:
    effect = row.one_of(key, Effect)
    if effect not in allowed:
        words = ", ".join(choice.value for choice in allowed)
        raise refusal(row.path(key), f"{effect.value!r} is none of {words}", "unknown_code")
    return effect


def _asks(row: Fields) -> Fact | None:
    """Whom to ask where what is not met is not for this rule to refuse: a fact and its question."""
    if not row.has("asks"):
        return None
    asked = Fields.of(row.get("asks"), row.path("asks"), ("fact", "question"))
    return Fact(asked.text("fact"), asked.text("question"))


def _approver(row: Fields) -> Approver | None:
    """The service manager unless the rule says otherwise; `nobody` where no role may approve the condition."""
    if row.text("approvable_by", Approver.SERVICE_MANAGER.value) == "nobody":
        return None
    return row.one_of("approvable_by", Approver, Approver.SERVICE_MANAGER)


def _comparison(row: Fields, leading: AttributeDefinition) -> Comparison:
    return Comparison(
        kind=row.one_of("kind", ComparisonKind),
        inner=tuple(_tolerance(band, leading) for band in row.rows("inner", _TOLERANCE)),
        outer=tuple(_tolerance(band, leading) for band in row.rows("outer", _TOLERANCE)),
        condition=row.text("condition", ""),
        table=row.text("table", ""),
        liquids=row.texts("liquids"),
        same=row.texts("same"),
        not_below=row.text("not_below", ""),
        where_stated=row.texts("where_stated"),
    )


def _tolerance(row: Fields, leading: AttributeDefinition) -> Tolerance:
    if leading.dimension is None:
        raise refusal(row.pointer, f"{leading.name} is no measure and has no tolerance")
    apart = _DIFFERENCE_OF.get(leading.dimension, leading.dimension)
    both, percent = _steps(row, "both", apart), _ppm(row, "percent")
    return Tolerance(
        minus=_steps(row, "minus", apart) or both,
        plus=_steps(row, "plus", apart) or both,
        minus_ppm=_ppm(row, "minus_percent") or percent,
        plus_ppm=_ppm(row, "plus_percent") or percent,
        starts_at=_steps(row, "starts_at", leading.dimension),
    )


def _steps(row: Fields, key: str, dimension: Dimension) -> int:
    if not row.has(key):
        return 0
    measure = Fields.of(row.get(key), row.path(key), ("value", "unit", "reference"))
    reference = measure.text("reference") if measure.has("reference") else None
    try:
        found = quantity(measure.text("value"), measure.text("unit"), reference)
        same_dimension(found, dimension)
    except Invalid as error:
        raise refusal(row.path(key), error.message, error.code) from None
    return found.amount


def _ppm(row: Fields, key: str) -> int:
    if not row.has(key):
        return 0
    try:
        exact = Fraction(row.text(key)) * _PPM_OF_PERCENT
    except (ValueError, ZeroDivisionError):
        raise refusal(row.path(key), "a percentage is written as text, like 3 or 0.5", "not_a_decimal") from None
    if exact.denominator != 1 or exact < 0:
        raise refusal(row.path(key), "a percentage is not negative and has at most four decimals", "not_a_decimal")
    return exact.numerator
