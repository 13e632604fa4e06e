"""Adding and changing one engine specification, and showing it with what the makers say of its positions."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from catalog.domain.rules import Rulebook
from catalog.domain.value_documents import Units, unpack_value, write_value
from catalog.models import EngineSpecification, Maker, Position, Statement, Status
from catalog.usecases.catalogue_writes import catalogue_write
from catalog.usecases.drafts import SpecificationDraft
from catalog.usecases.reading import published
from catalog.usecases.reading_drafts import read_specifications, refuse_strange_positions
from catalog.usecases.recorded_drafts import draft_of, positions_of, with_computed
from catalog.usecases.refusals import Gathered, PositionInUse, Taken, UnknownMaker, as_one
from catalog.usecases.specification_writing import write_specifications
from catalog.usecases.statement_editing import statement_document
from service.errors import NotFound, Stale

Row = Mapping[str, Any]
# The fields of a change, and what they are called in a draft.
_FIELDS = {
    **{name: name for name in ("name", "cylinders", "heads", "fuels", "serial_prefixes", "status", "positions")},
    "supply_stages": "stages",
}


def add_specification(row: Row, now: datetime) -> EngineSpecification:
    """Write a new specification. Raises what `Gathered.tell` raises; Taken where there is one of that name."""
    problems = Gathered()
    with problems.each():
        if not Maker.objects.filter(code=row["maker"]).exists() and not row.get("maker_name"):
            words = f"No maker is known as {row['maker']!r}; check the code, or give maker_name to add the maker."
            raise UnknownMaker(words, pointer="/maker")
    with problems.each(), as_one():
        drafts = read_specifications([_stated(row)], published().rulebook)
        refuse_strange_positions(drafts[0])
    problems.tell()
    with catalogue_write(now) as write:
        if EngineSpecification.objects.filter(model=row["model"], spec=row["spec"]).exists():
            words = f"{row['model']} {row['spec']} is in the catalogue already; change that one."
            raise Taken(words, pointer="/spec")
        with as_one():
            write_specifications(drafts, write)
        made = EngineSpecification.objects.get(model=row["model"], spec=row["spec"])
    return specification_numbered(made.pk)


def change_specification(specification: EngineSpecification, patch: Row, now: datetime) -> EngineSpecification:
    """Change what the patch states; positions and stages given take the place of all of them.

    Raises Stale where it has changed since it was read; PositionInUse where a position that statements are about
    would go.
    """
    with as_one():
        (stated,) = read_specifications([_stated({**_named(specification), **patch})], published().rulebook)
        draft = _laid_over(specification, stated, patch)
        if "supply_stages" in patch:
            refuse_strange_positions(draft)
    with catalogue_write(now) as write:
        if not EngineSpecification.objects.filter(pk=specification.pk, changed_in=specification.changed_in).exists():
            raise Stale("It has changed since it was read; read it again and send the new ETag in If-Match.")
        _refuse_to_lose(specification, draft)
        with as_one():
            write_specifications([draft], write)
    return specification_numbered(specification.pk)


def _named(specification: EngineSpecification) -> Row:
    return {"maker": specification.maker.code, "model": specification.model, "spec": specification.spec}


def _laid_over(specification: EngineSpecification, stated: SpecificationDraft, patch: Row) -> SpecificationDraft:
    recorded = draft_of(specification, positions_of(specification))
    changes: dict[str, Any] = {field: getattr(stated, field) for name, field in _FIELDS.items() if name in patch}
    if "positions" in patch:
        changes["positions"] = with_computed(stated.positions, specification)
    return replace(recorded, **changes)


def _stated(row: Row) -> dict[str, Any]:
    return {name: value for name, value in row.items() if value is not None}


def _refuse_to_lose(specification: EngineSpecification, draft: SpecificationDraft) -> None:
    kept = draft.position_codes()
    rows = Position.objects.filter(specification=specification, statements__isnull=False).exclude(code__in=kept)
    lost = sorted(set(rows.values_list("code", flat=True)))
    if lost:
        words = f"Makers' statements are about {', '.join(lost)}; keep the position, or withdraw the specification."
        raise PositionInUse(words, pointer="/positions")
    staged = sorted({stage.position for stage in draft.stages if stage.position} - set(kept))
    if staged:
        words = f"The supply line goes through {', '.join(staged)}; keep the position, or state supply_stages anew."
        raise PositionInUse(words, pointer="/positions")


def specification_numbered(number: int) -> EngineSpecification:
    found = EngineSpecification.objects.select_related("maker").filter(pk=number).first()
    if found is None:
        raise NotFound(f"There is no engine specification with the id {number}.")
    return found


def specification_head(row: EngineSpecification) -> dict[str, Any]:
    """What a list shows; the maker has to be loaded with it."""
    return {
        "id": row.pk,
        "maker": row.maker.code,
        "model": row.model,
        "spec": row.spec,
        "name": row.name,
        "cylinders": row.cylinders,
        "heads": row.heads,
        "fuels": row.fuels,
        "serial_prefixes": row.serial_prefixes,
        "status": row.status,
    }


def specification_page(row: EngineSpecification, rulebook: Rulebook, units: Units) -> dict[str, Any]:
    """A specification with its positions, what each demands, and what the makers say of parts there."""
    said: dict[str, list[dict[str, Any]]] = {}
    rows = Statement.objects.select_related("part__maker", "specification", "position")
    for statement in rows.filter(specification=row, status=Status.ACTIVE).order_by("id"):
        said.setdefault(statement.position.code, []).append(statement_document(statement))
    facts = json.loads(row.facts)
    return {
        **specification_head(row),
        "positions": [_position(position, said, rulebook, units) for position in facts["positions"]],
        "supply_stages": [_stage(stage, rulebook, units) for stage in facts["supply_stages"]],
    }


def _position(
    document: Row, said: Mapping[str, list[dict[str, Any]]], rulebook: Rulebook, units: Units
) -> dict[str, Any]:
    return {
        **{name: document[name] for name in ("code", "name", "category", "quantity", "branch", "carries_fuel")},
        "adapter_forbidden": document["adapter_forbidden"],
        "ports": [{"port": port, "fuel": fuel, "classes": classes} for port, fuel, classes in document["ports"]],
        "media": [_medium(medium, units) for medium in document["media"]],
        "demands": [_demand(demand, rulebook, units) for demand in document["demands"]],
        "parts": said.get(document["code"], []),
        "inside": [_position(inner, said, rulebook, units) for inner in document["inside"]],
    }


def _medium(medium: Sequence[Any], units: Units) -> dict[str, Any]:
    name, window, dynamic, *slot = medium
    stated = None if window is None else write_value(unpack_value(window), units=units)
    return {"name": name, "slot": slot[0] if slot else None, "temperature": stated, "dynamic": dynamic}


def _demand(demand: Sequence[Any], rulebook: Rulebook, units: Units) -> dict[str, Any]:
    *stated, basis = demand
    return {**_value(stated, rulebook, units), "basis": basis}


def _stage(stage: Row, rulebook: Rulebook, units: Units) -> dict[str, Any]:
    return {**stage, "values": [_value(stated, rulebook, units) for stated in stage["values"]]}


def _value(stated: Sequence[Any], rulebook: Rulebook, units: Units) -> dict[str, Any]:
    attribute, slot, packed, kind, citation = stated
    definition = rulebook.attributes.get(attribute)
    value = write_value(unpack_value(packed), units=units, kind=definition.kind if definition else None)
    return {"attribute": attribute, "slot": slot, "value": value, "source": {"kind": kind, "citation": citation}}
