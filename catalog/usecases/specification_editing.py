"""Adding and changing one engine specification, and showing it with what the makers say of its positions."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from catalog.domain.rules import Rulebook
from catalog.domain.value_documents import Units, unpack_value, write_value
from catalog.models import EngineSpecification, Maker, Position, Statement, Status, SupplyStage
from catalog.models.facts import specification_text
from catalog.usecases.catalogue_writes import CatalogueWrite, catalogue_write
from catalog.usecases.reading import published
from catalog.usecases.reading_drafts import read_specifications
from catalog.usecases.refusals import Gathered, PositionInUse, Taken, UnknownMaker, UnknownPosition, as_one
from catalog.usecases.specification_writing import SPECIFICATION, write_specifications
from catalog.usecases.statement_editing import statement_document
from service.errors import NotFound, Stale

Row = Mapping[str, Any]
HEAD = ("name", "cylinders", "fuels", "serial_prefixes", "status")


def add_specification(row: Row, now: datetime) -> EngineSpecification:
    """Write a new specification. Raises what `Gathered.tell` raises; Taken where there is one of that name."""
    problems = Gathered()
    with problems.each():
        if not Maker.objects.filter(code=row["maker"]).exists() and not row.get("maker_name"):
            words = f"No maker is known as {row['maker']!r}; check the code, or give maker_name to add the maker."
            raise UnknownMaker(words, pointer="/maker")
    with problems.each(), as_one():
        drafts = read_specifications([_stated(row)], published().rulebook)
    problems.tell()
    with catalogue_write(now) as write:
        if EngineSpecification.objects.filter(model=row["model"], spec=row["spec"]).exists():
            words = f"{row['model']} {row['spec']} is in the catalogue already; change that one."
            raise Taken(words, pointer="/spec")
        with as_one():
            write_specifications(drafts, write)
        made = EngineSpecification.objects.get(model=row["model"], spec=row["spec"])
        _put_stages(made, row.get("supply_stages") or ())
    return specification_numbered(made.pk)


def change_specification(specification: EngineSpecification, patch: Row, now: datetime) -> EngineSpecification:
    """Change what the patch states; positions and stages given take the place of all of them.

    Raises Stale where it has changed since it was read; PositionInUse where a position that statements are about
    would go.
    """
    row = {name: getattr(specification, name) for name in HEAD} | {
        "maker": specification.maker.code, "model": specification.model, "spec": specification.spec,
    }  # fmt: skip
    with as_one():
        (draft,) = read_specifications([_stated({**row, **patch})], published().rulebook)
    with catalogue_write(now) as write:
        if not EngineSpecification.objects.filter(pk=specification.pk, changed_in=specification.changed_in).exists():
            raise Stale("It has changed since it was read; read it again and send the new ETag in If-Match.")
        if "positions" in patch:
            _refuse_to_lose(specification, patch["positions"])
            with as_one():
                write_specifications([draft], write)
        else:
            _write_head(specification, {**row, **patch}, write)
        if "supply_stages" in patch:
            _restage(specification, patch["supply_stages"] or (), write)
    return specification_numbered(specification.pk)


def _stated(row: Row) -> dict[str, Any]:
    return {name: value for name, value in row.items() if value is not None}


def _refuse_to_lose(specification: EngineSpecification, positions: Sequence[Row]) -> None:
    kept = {code for position in positions for code in _codes(position)}
    rows = Position.objects.filter(specification=specification, statements__isnull=False).exclude(code__in=kept)
    lost = sorted(set(rows.values_list("code", flat=True)))
    if lost:
        words = f"Makers' statements are about {', '.join(lost)}; keep the position, or withdraw the specification."
        raise PositionInUse(words, pointer="/positions")


def _codes(position: Row) -> list[str]:
    return [position["code"], *(code for inner in position.get("inside") or () for code in _codes(inner))]


def _write_head(specification: EngineSpecification, row: Row, write: CatalogueWrite) -> None:
    before = tuple(getattr(specification, name) for name in HEAD)
    specification.name = row["name"] or ""
    specification.cylinders = row["cylinders"]
    specification.fuels = list(row["fuels"] or ())
    specification.serial_prefixes = list(row["serial_prefixes"] or ("",))
    specification.status = row["status"]
    if before != tuple(getattr(specification, name) for name in HEAD):
        positions = json.loads(specification.facts)["positions"]
        specification.facts = specification_text(specification, positions)
        specification.changed_in = write.begin()
        specification.save()
        write.touched(f"{SPECIFICATION}.changed", SPECIFICATION, specification.pk)


def _restage(specification: EngineSpecification, stages: Sequence[Row], write: CatalogueWrite) -> None:
    moved = bool(write.version)
    version = write.begin()
    EngineSpecification.objects.filter(pk=specification.pk).update(changed_in=version)
    _put_stages(specification, stages)
    if not moved:
        write.touched(f"{SPECIFICATION}.changed", SPECIFICATION, specification.pk)


def _put_stages(specification: EngineSpecification, stages: Sequence[Row]) -> None:
    """Stages in the order given, each fuel counted by itself. Raises UnknownPosition."""
    positions = {row.code: row for row in Position.objects.filter(specification=specification)}
    SupplyStage.objects.filter(specification=specification).delete()
    problems, rows, counts = Gathered(), [], dict[str, int]()
    for index, stage in enumerate(stages):
        code = stage.get("position")
        if code is not None and code not in positions:
            words = f"There is no position {code[:60]!r} here; the positions: {', '.join(positions) or 'none'}."
            problems.errors.append(UnknownPosition(words, pointer=f"/supply_stages/{index}/position"))
        counts[stage["fuel"]] = counts.get(stage["fuel"], 0) + 1
        rows.append(
            SupplyStage(
                specification=specification, fuel=stage["fuel"], order=counts[stage["fuel"]], kind=stage["kind"],
                position=positions.get(code) if code is not None else None,
            )
        )  # fmt: skip
    problems.tell()
    SupplyStage.objects.bulk_create(rows)


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
    positions = json.loads(row.facts)["positions"]
    stages = SupplyStage.objects.select_related("position").filter(specification=row).order_by("fuel", "order")
    return {
        **specification_head(row),
        "positions": [_position(position, said, rulebook, units) for position in positions],
        "supply_stages": [
            {"fuel": stage.fuel, "kind": stage.kind, "position": stage.position.code if stage.position else None}
            for stage in stages
        ],
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
    attribute, slot, packed, kind, citation, basis = demand
    definition = rulebook.attributes.get(attribute)
    value = write_value(unpack_value(packed), units=units, kind=definition.kind if definition else None)
    source = {"kind": kind, "citation": citation}
    return {"attribute": attribute, "slot": slot, "value": value, "basis": basis, "source": source}
