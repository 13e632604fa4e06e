"""A recorded specification as a draft of itself, to lay changes over."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace

from catalog.domain.answers import Basis
from catalog.domain.import_nesting import flattened
from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.supply.stages import StageKind
from catalog.models import EngineSpecification, Position, PositionDemand, PositionMedium, SupplyStage
from catalog.models.typed_values import TypedValue
from catalog.usecases.drafts import MediumDraft, PortDraft, PositionDraft, SpecificationDraft, StageDraft, ValueDraft

# What has to be loaded with a specification to make its draft.
RELATED = (
    "positions__ports", "positions__demands", "positions__media", "positions__inside_of",
    "supply_stages__values", "supply_stages__position",
)  # fmt: skip


def draft_of(row: EngineSpecification, positions: tuple[PositionDraft, ...]) -> SpecificationDraft:
    """All of a recorded specification but its positions, which are given."""
    return SpecificationDraft(
        maker=row.maker.code,
        maker_name=row.maker.name,
        model=row.model,
        spec=row.spec,
        name=row.name,
        cylinders=row.cylinders,
        heads=row.heads,
        fuels=tuple(row.fuels),
        serial_prefixes=tuple(row.serial_prefixes),
        positions=positions,
        stages=tuple(
            _stage_of(stage) for stage in sorted(row.supply_stages.all(), key=lambda one: (one.fuel, one.order))
        ),
        status=row.status,
    )


def positions_of(row: EngineSpecification) -> tuple[PositionDraft, ...]:
    """The recorded positions, each with those inside of it."""
    rows = in_order(row)
    return nested(
        {code: position_of(position) for code, position in rows.items()},
        {code: position.inside_of.code if position.inside_of else None for code, position in rows.items()},
    )


def with_computed(stated: Iterable[PositionDraft], row: EngineSpecification) -> tuple[PositionDraft, ...]:
    """Positions as stated anew, with what supply lines were last computed to ask of them: nobody else states that."""
    known = {position.code: position for position in row.positions.all()}
    return tuple(_with_computed(position, known) for position in stated)


def _with_computed(position: PositionDraft, known: Mapping[str, Position]) -> PositionDraft:
    row = known.get(position.code)
    recorded = _values_of(row.demands.all()) if row is not None and row.category == position.category else ()
    demands = [demand for demand in position.demands if demand.basis is not Basis.COMPUTED]
    computed = [demand for demand in recorded if demand.basis is Basis.COMPUTED]
    inside = tuple(_with_computed(inner, known) for inner in position.inside)
    return replace(position, demands=(*demands, *computed), inside=inside)


def in_order(row: EngineSpecification) -> dict[str, Position]:
    """The recorded positions by their codes, in the order they were stated: rows have none of their own."""
    rows = {position.code: position for position in row.positions.all()}
    stated = flattened(json.loads(row.facts)["positions"])
    return {position["code"]: rows[position["code"]] for position in stated if position["code"] in rows} | rows


def nested(
    flat: Mapping[str, PositionDraft], outer: Mapping[str, str | None], code: str | None = None
) -> tuple[PositionDraft, ...]:
    """The positions inside of `code`, each with those inside of it; `outer` names what each is inside of."""
    own = (inner for inner, around in outer.items() if around == code)
    return tuple(replace(flat[inner], inside=nested(flat, outer, inner)) for inner in own)


def position_of(row: Position) -> PositionDraft:
    """A recorded position without those inside of it."""
    return PositionDraft(
        code=row.code,
        name=row.name,
        category=row.category,
        quantity=row.quantity,
        branch=row.branch,
        carries_fuel=row.carries_fuel,
        ports=tuple(PortDraft(port.port, port.fuel, tuple(port.classes)) for port in row.ports.all()),
        demands=_values_of(row.demands.all()),
        media=tuple(_medium_of(medium) for medium in row.media.all()),
        adapter_forbidden=row.adapter_forbidden,
        inside=(),
    )


def _stage_of(row: SupplyStage) -> StageDraft:
    return StageDraft(
        fuel=row.fuel,
        kind=StageKind(row.kind),
        name=row.name,
        position=row.position.code if row.position else "",
        values=_values_of(row.values.all()),
    )


def _values_of(rows: Iterable[TypedValue]) -> tuple[ValueDraft, ...]:
    return tuple(
        ValueDraft(row.attribute, row.slot, row.value, row.as_entered, row.source,
                   Basis(row.basis) if isinstance(row, PositionDemand) else Basis.STATED)
        for row in rows
    )  # fmt: skip


def _medium_of(row: PositionMedium) -> MediumDraft:
    low, high = (
        None if end is None else Quantity(end, Dimension.TEMPERATURE, row.unit) for end in (row.lo, row.hi)
    )  # fmt: skip
    return MediumDraft(row.name, Interval(low, high) if low or high else None, row.dynamic, row.slot)
