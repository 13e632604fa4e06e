"""Writing engine specifications with their positions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

from catalog.models import (
    EngineSpecification,
    Maker,
    Position,
    PositionDemand,
    PositionMedium,
    PositionPort,
    StageValue,
    SupplyStage,
)
from catalog.models.facts import position_document, specification_text, stage_document
from catalog.models.typed_values import columns_of
from catalog.usecases.catalogue_writes import MOST_AGGREGATES, CatalogueWrite, catalogue_write
from catalog.usecases.drafts import PositionDraft, SpecificationDraft, StageDraft, ValueDraft
from catalog.usecases.part_writing import Written, makers_for

SPECIFICATION = "engine_specification"


def save_specifications(drafts: Sequence[SpecificationDraft], now: datetime) -> Written:
    """Write the specifications, at most `MOST_AGGREGATES` a version; a position keeps its row while its code stays."""
    written = Written()
    for start in range(0, len(drafts), MOST_AGGREGATES):
        with catalogue_write(now) as write:
            written += write_specifications(drafts[start : start + MOST_AGGREGATES], write)
    return written


def write_specifications(drafts: Sequence[SpecificationDraft], write: CatalogueWrite) -> Written:
    """Write drafts inside an open write."""
    written = Written()
    makers = makers_for(((draft.maker, draft.maker_name) for draft in drafts), write)
    for draft in drafts:
        written += _save(draft, makers[draft.maker], write)
    return written


def _save(draft: SpecificationDraft, maker: Maker, write: CatalogueWrite) -> Written:
    row = EngineSpecification.objects.filter(model=draft.model, spec=draft.spec).first()
    new = row is None
    row = row or EngineSpecification(model=draft.model, spec=draft.spec)
    before = row.maker_id, row.name, row.cylinders, row.heads, row.status, row.facts
    row.maker, row.name, row.cylinders, row.status = maker, draft.name, draft.cylinders, draft.status
    row.heads = draft.heads
    row.fuels, row.serial_prefixes = list(draft.fuels), list(draft.serial_prefixes)
    row.facts = specification_text(row, [_document(position) for position in draft.positions], _stages(draft))
    if not new and before == (row.maker_id, row.name, row.cylinders, row.heads, row.status, row.facts):
        return Written(unchanged=1)
    row.changed_in = write.begin()
    row.save()
    kept = _write_positions(row, draft.positions, None)
    row.positions.exclude(pk__in=kept).delete()
    _write_stages(row, draft)
    write.touched(f"{SPECIFICATION}.{'created' if new else 'changed'}", SPECIFICATION, row.pk)
    return Written(added=1) if new else Written(changed=1)


def _write_positions(
    specification: EngineSpecification, drafts: Iterable[PositionDraft], inside_of: Position | None
) -> list[int]:
    """Write positions and those inside them; answers the rows that are to stay."""
    kept = []
    for draft in drafts:
        row, _ = Position.objects.update_or_create(
            specification=specification, code=draft.code, defaults={**_head(draft), "inside_of": inside_of}
        )
        for related in (row.ports, row.demands, row.media):
            related.all().delete()
        PositionPort.objects.bulk_create(_ports(draft, row))
        PositionDemand.objects.bulk_create(_demands(draft, row))
        PositionMedium.objects.bulk_create(_media(draft, row))
        kept += [row.pk, *_write_positions(specification, draft.inside, row)]
    return kept


def _write_stages(specification: EngineSpecification, draft: SpecificationDraft) -> None:
    """Stages in the order given, each fuel counted by itself."""
    positions = {row.code: row for row in specification.positions.all()}
    specification.supply_stages.all().delete()
    counts, values = Counter[str](), []
    for stage in _by_fuel(draft):
        counts[stage.fuel] += 1
        row = _stage(stage, counts[stage.fuel])
        row.specification, row.position = specification, positions.get(stage.position)
        row.save()
        values += _stage_values(stage, row)
    StageValue.objects.bulk_create(values)


def _stages(draft: SpecificationDraft) -> list[dict[str, Any]]:
    rows = ((stage, _stage(stage, 0)) for stage in _by_fuel(draft))
    return [stage_document(row, stage.position, _stage_values(stage, row)) for stage, row in rows]


def _by_fuel(draft: SpecificationDraft) -> list[StageDraft]:
    return sorted(draft.stages, key=lambda stage: stage.fuel)


def _stage(draft: StageDraft, order: int) -> SupplyStage:
    return SupplyStage(fuel=draft.fuel, order=order, kind=draft.kind.value, name=draft.name)


def _stage_values(draft: StageDraft, row: SupplyStage) -> list[StageValue]:
    return [StageValue(stage=row, **_columns(stated)) for stated in draft.values]


def _columns(stated: ValueDraft) -> dict[str, Any]:
    return {
        "attribute": stated.attribute,
        "slot": stated.slot,
        "as_entered": stated.as_entered,
        "source_kind": stated.source.kind.value,
        "source_citation": stated.source.citation,
        **columns_of(stated.value),
    }


def _head(draft: PositionDraft) -> dict[str, Any]:
    return {
        "name": draft.name,
        "category": draft.category,
        "quantity": draft.quantity,
        "branch": draft.branch,
        "carries_fuel": draft.carries_fuel,
        "adapter_forbidden": draft.adapter_forbidden,
    }


def _document(draft: PositionDraft) -> dict[str, Any]:
    position = Position(code=draft.code, **_head(draft))
    return position_document(
        position,
        ports=_ports(draft, position),
        demands=_demands(draft, position),
        media=_media(draft, position),
        inside=[_document(inner) for inner in draft.inside],
    )


def _ports(draft: PositionDraft, row: Position) -> list[PositionPort]:
    return [
        PositionPort(position=row, port=port.port, fuel=port.fuel, classes=list(port.classes)) for port in draft.ports
    ]


def _demands(draft: PositionDraft, row: Position) -> list[PositionDemand]:
    return [PositionDemand(position=row, basis=demand.basis.value, **_columns(demand)) for demand in draft.demands]


def _media(draft: PositionDraft, row: Position) -> list[PositionMedium]:
    rows = []
    for medium in draft.media:
        ends = (medium.window.low, medium.window.high) if medium.window else (None, None)
        low, high = (None if end is None else end.amount for end in ends)
        unit = next((end.unit for end in ends if end is not None), "")
        rows.append(
            PositionMedium(
                position=row, name=medium.name, lo=low, hi=high, unit=unit, dynamic=medium.dynamic, slot=medium.slot
            )
        )
    return rows
