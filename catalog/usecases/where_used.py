"""Where a part is used: what makers say of it at positions, and what holds it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import QuerySet

from catalog.domain.applicability import Applicability
from catalog.domain.applicability_words import applicability_words
from catalog.domain.fuels import Fuel, FuelDefinition
from catalog.domain.parts import StatementKind
from catalog.domain.rules import Rulebook
from catalog.domain.serials import SerialRange
from catalog.models import Part, PartContent, Statement, Status
from catalog.usecases.reading import part_name
from catalog.usecases.statement_editing import applicability_document

MOST_HOLDERS = 100
# Who says it and what it is worth, as answers have it.
SAID: Mapping[str, str] = {
    StatementKind.SPECIFIED: "specified here by the engine's maker",
    StatementKind.REPLACEMENT: "live replacement here, by the engine's maker",
    StatementKind.EXCLUDED: "excluded here",
    StatementKind.LISTED: "listed for this engine by the part's own maker",
    StatementKind.THIRD_PARTY: "listed by a third party: a hint for searching, never evidence",
}


def statements_about(part: Part) -> QuerySet[Statement]:
    """What is said now of this part, about specifications that are in use, loaded with all that is shown of it."""
    rows = Statement.objects.filter(part=part, status=Status.ACTIVE, specification__status=Status.ACTIVE)
    return rows.select_related("position__specification__maker").defer("position__specification__facts")


def use_document(row: Statement, names: Mapping[str, FuelDefinition]) -> dict[str, Any]:
    """One place of use; the position has to be loaded with it."""
    position, spec = row.position, row.position.specification
    return {
        "statement": row.pk,
        "kind": row.kind,
        "said": SAID[row.kind],
        "by": row.by,
        "spec": {"id": spec.pk, "maker": spec.maker.code, "model": spec.model, "spec": spec.spec, "name": spec.name},
        "position": {
            "code": position.code, "name": position.name, "category": position.category,
            "branch": position.branch or None,
        },
        "quantity": position.quantity,
        "applies": applies_words(row, names),
        "applicability": applicability_document(row),
        "source": {"kind": row.source_kind, "citation": row.source_citation},
    }  # fmt: skip


def applies_words(row: Any, names: Mapping[str, FuelDefinition]) -> str:
    """When a row with the columns of an applicability holds, in words."""
    serials = tuple(
        SerialRange(entry.get("first"), entry.get("last"), entry.get("prefix") or "") for entry in row.serials
    )
    holds = Applicability(
        specification=None if row.specification_id is None else str(row.specification_id),
        serials=serials,
        any_fuel=tuple(Fuel.parse(text) for text in row.any_fuel),
        all_fuels=tuple(Fuel.parse(text) for text in row.all_fuels),
        places=tuple(row.places),
    )
    return applicability_words(holds, names)


def held_in(part: Part, rulebook: Rulebook) -> dict[str, Any]:
    """The kits, sets and assemblies this part is found in, in the order of their numbers; `more` where some are left.

    Those withdrawn are left out. One statement.
    """
    rows = holding([part.pk]).filter(container__status=Status.ACTIVE)[: MOST_HOLDERS + 1]
    found = [holder_document(row, rulebook) for row in rows]
    return {"contained_in": found[:MOST_HOLDERS], "more_contained_in": len(found) > MOST_HOLDERS}


def holding(parts: Iterable[int]) -> QuerySet[PartContent]:
    """The rows by which anything holds one of these parts, with the part and its holder."""
    rows = PartContent.objects.filter(part__in=parts).select_related("container__maker", "part__maker")
    order = "container__maker__code", "container__number", "id"
    return rows.defer("container__facts", "part__facts").order_by(*order)


def holder_document(row: PartContent, rulebook: Rulebook) -> dict[str, Any]:
    return {"part": part_name(row.container), "kind": _kind(row, rulebook), "quantity": row.quantity}


def _kind(row: PartContent, rulebook: Rulebook) -> str:
    if row.only_together:
        return "matched_set"
    category = rulebook.categories.get(row.container.category)
    return "kit" if category is not None and category.kit else "assembly"
