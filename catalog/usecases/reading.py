"""What the catalogue says of itself: categories, fuels, service classes and single parts, in plain values."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from catalog import loading
from catalog.domain.answers import Source
from catalog.domain.quantities import reference_of
from catalog.domain.rules import AttributeDefinition, Category, Rule, Rulebook
from catalog.domain.value_documents import Units, write_value
from catalog.loading import Standing
from catalog.models import Part
from catalog.usecases.answers import source_document
from catalog.usecases.refusals import NoRulebook


@dataclass(frozen=True, slots=True)
class Published:
    """What holds now, with its rulebook."""

    standing: Standing
    rulebook: Rulebook

    @property
    def provenance(self) -> dict[str, int]:
        return {"catalogue_version": self.standing.version, "rulebook": self.standing.rulebook}


def published() -> Published:
    """Raises NoRulebook while none is published."""
    standing = loading.standing()
    if not standing.rulebook:
        raise NoRulebook("No rulebook is published yet, so there is nothing to read; load the reference data.")
    return Published(standing, loading.load_rulebook(standing.rulebook, standing.digest))


def category_head(category: Category) -> dict[str, Any]:
    return {
        "code": category.code,
        "name": category.name,
        "fuel_role": category.fuel_role.value,
        "ports": list(category.ports),
    }


def category_document(category: Category, rulebook: Rulebook) -> dict[str, Any]:
    """A category with its attributes, and with each attribute the rules that weigh it, the first of them up front."""
    known = [rulebook.cautions[code] for code in category.cautions if code in rulebook.cautions]
    return {
        **category_head(category),
        "replace_together": category.replace_together,
        "cautions": [{"code": caution.code, "text": caution.text} for caution in known],
        "attributes": [
            _attribute(rulebook.attributes[code], category.rules)
            for code in category.attributes
            if code in rulebook.attributes
        ],
    }


def _attribute(definition: AttributeDefinition, rules: Iterable[Rule]) -> dict[str, Any]:
    weighing = [_rule(rule) for rule in rules if definition.code in rule.attributes]
    leading: Mapping[str, Any] = weighing[0] if weighing else {}
    return {
        "attribute": definition.code,
        "name": definition.name,
        "kind": definition.kind.value,
        "unit": definition.unit or None,
        "reference": reference_of(definition.dimension) if definition.dimension else None,
        "slots": list(definition.slots),
        "vocabulary": list(definition.vocabulary),
        **{name: leading.get(name) for name in ("comparison", "when_not_met", "when_unknown", "taken_over")},
        "source": _source(definition.source),
        "rules": weighing,
    }


def _rule(rule: Rule) -> dict[str, Any]:
    return {
        "rule": rule.code,
        "comparison": rule.comparison.kind.value,
        "when_not_met": rule.when_not_met.value,
        "when_unknown": rule.when_unknown.value,
        "taken_over": rule.taken_over.value,
        "condition": rule.condition or rule.comparison.condition,
        "source": source_document(rule.source),
    }


def _source(source: Source | None) -> dict[str, str] | None:
    return None if source is None else source_document(source)


def fuel_documents(rulebook: Rulebook) -> list[dict[str, Any]]:
    return [
        {
            "code": fuel.code,
            "name": fuel.name,
            "family": fuel.family,
            "grades": list(fuel.grades),
            "usual": fuel.usual or None,
            "source": source_document(fuel.source),
        }
        for fuel in rulebook.fuels.values()
    ]


def service_class_documents(rulebook: Rulebook) -> list[dict[str, Any]]:
    return [
        {
            "code": service.code,
            "name": service.name,
            "fuel_family": service.fuel_family,
            "gas": service.gas,
            "phase": service.phase.value,
            "container_pressure": service.container_pressure,
            "source": source_document(service.source),
        }
        for service in rulebook.classes.values()
    ]


def part_head(part: Part) -> dict[str, Any]:
    """What a list shows of a part; its maker has to be loaded with it."""
    return {
        "id": part.pk,
        "maker": part.maker.code,
        "number": part.number,
        "name": part.name,
        "category": part.category,
        "status": part.status,
        "supplied_as": part.supplied_as,
        "condition": part.condition,
    }


def part_page(part: Part, rulebook: Rulebook, units: Units) -> dict[str, Any]:
    """A part with every value recorded of it, each with its source."""
    return {
        **part_head(part),
        "barcodes": [
            {"code": row.code, "pack_quantity": row.pack_quantity} for row in part.barcodes.order_by("code")
        ],
        **_inside_and_beside(part),
        "attributes": [
            {
                "attribute": row.attribute,
                "slot": row.slot,
                "state": row.state,
                "value": write_value(
                    row.value,
                    units=units,
                    kind=rulebook.attributes[row.attribute].kind if row.attribute in rulebook.attributes else None,
                ),
                "source": source_document(row.source),
            }
            for row in part.attributes.order_by("attribute", "slot", "id")
        ],
    }  # fmt: skip


def _inside_and_beside(part: Part) -> dict[str, Any]:
    """What the part holds, and what is needed as well when it is fitted."""
    contents = list(part.contents.select_related("part__maker").order_by("part__maker__code", "part__number"))
    needs = part.needs.select_related("needed__maker").order_by("needed__maker__code", "needed__number")
    return {
        "matched_set": any(row.only_together for row in contents),
        "contains": [{"part": part_name(row.part), "quantity": row.quantity} for row in contents],
        "needs": [
            {"part": part_name(row.needed), "quantity": row.quantity, "reason": row.reason or None} for row in needs
        ],
    }


def part_name(part: Part) -> dict[str, Any]:
    """A part as answers name one; its maker has to be loaded with it."""
    return {"id": part.pk, "maker": part.maker.code, "number": part.number, "name": part.name}
