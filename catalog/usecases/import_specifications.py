"""Engine specifications of an import: what the rows state, laid over the positions that are recorded already."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from catalog.domain.answers import Basis
from catalog.domain.import_nesting import flattened
from catalog.domain.import_rows import Gathering, ImportProblem
from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.models import EngineSpecification, Maker, Position, PositionDemand, PositionMedium
from catalog.usecases.drafts import MediumDraft, PortDraft, PositionDraft, SpecificationDraft, ValueDraft
from catalog.usecases.import_outcomes import Batch, write_sound
from catalog.usecases.reading_drafts import read_specifications
from catalog.usecases.specification_writing import write_specifications
from service.errors import DomainError, Invalid

Key = tuple[str, ...]  # model and specification number
_STATED_WHOLE = ("name", "cylinders", "fuels", "serial_prefixes", "status")
_POSITION_FIELDS = ("name", "category", "quantity", "branch", "carries_fuel", "ports", "media", "adapter_forbidden")
_LOST = "unknown_position"


def import_specifications(batch: Batch, entries: Sequence[Gathering]) -> None:
    """Write the specifications of a batch, each as recorded with what its rows state laid over it."""
    recorded = _look_up(entries)
    makers = {code.upper(): code for code in Maker.objects.known_as(_makers(entries))}
    pairs = []
    for entry in entries:
        found = recorded.get(entry.key)
        problem = _wrong_maker(entry, found, makers)
        if problem is not None:
            batch.leave_out(entry, problem)
            continue
        try:
            pairs.append((entry, _merged(entry, found, batch)))
        except DomainError as error:
            batch.refuse(entry, error)
    write_sound(batch, pairs, write_specifications)


def _makers(entries: Sequence[Gathering]) -> list[str]:
    return [maker for entry in entries if isinstance(maker := entry.document.get("maker"), str)]


def _look_up(entries: Sequence[Gathering]) -> dict[Key, EngineSpecification]:
    rows = EngineSpecification.objects.select_related("maker").prefetch_related(
        "positions__ports", "positions__demands", "positions__media", "positions__inside_of"
    )
    wanted = rows.filter(
        model__in={entry.key[0] for entry in entries}, spec__in={entry.key[1] for entry in entries}
    )  # fmt: skip
    return {(row.model, row.spec): row for row in wanted}


def _wrong_maker(
    entry: Gathering, found: EngineSpecification | None, makers: Mapping[str, str]
) -> ImportProblem | None:  # fmt: skip
    maker = entry.document.get("maker")
    if not isinstance(maker, str):
        words = f"There is no specification {' '.join(entry.key)}; add it in the table specifications, with its maker."
        return None if found else ImportProblem(entry.lines[0], "unknown_specification", words)
    spelled = makers.get(maker.upper(), maker)
    if spelled != maker:
        words = f"The maker {maker} is written {spelled} here; write it so."
        return ImportProblem(entry.cell_of("/maker"), "unknown_maker", words)
    if found is not None and found.maker.code != maker:
        words = f"{found.shown} is by {found.maker.code} and not by {maker}; a specification keeps its maker."
        return ImportProblem(entry.cell_of("/maker"), "contradiction", words)
    return None


def _merged(entry: Gathering, found: EngineSpecification | None, batch: Batch) -> SpecificationDraft:
    """The specification as it is to be. Raises what `read_specifications` raises, and Invalid for lost positions."""
    rows = entry.document.get("positions")
    stated_rows: list[Mapping[str, Any]] = rows if isinstance(rows, list) else []
    before = {} if found is None else _in_order(found)
    filled = [_with_category(row, before.get(row["code"])) for row in stated_rows]
    head = {} if found is None else {"maker": found.maker.code, "maker_name": found.maker.name}
    (stated,) = read_specifications([{**head, **entry.document, "positions": filled}], batch.rulebook)
    flat = {code: _position_of(row) for code, row in before.items()}
    outer = {code: row.inside_of.code if row.inside_of else None for code, row in before.items()}
    for row, position in zip(stated_rows, stated.positions, strict=True):
        flat[position.code] = _laid_over(flat.get(position.code), position, row)
        outer[position.code] = row.get("inside_of", outer.get(position.code))
    positions = _nested(flat, outer, entry)
    if found is None:
        return replace(stated, positions=positions)
    heads: dict[str, Any] = {name: getattr(stated, name) for name in _STATED_WHOLE if name in entry.document}
    return replace(_draft_of(found), positions=positions, **heads)


def _in_order(found: EngineSpecification) -> dict[str, Position]:
    """The recorded positions by their codes, in the order they were stated: rows have none of their own."""
    rows = {row.code: row for row in found.positions.all()}
    stated = flattened(json.loads(found.facts)["positions"])
    return {position["code"]: rows[position["code"]] for position in stated if position["code"] in rows} | rows


def _with_category(row: Mapping[str, Any], recorded: Position | None) -> dict[str, Any]:
    """The row as it can be read: a position that is new names its category."""
    own = {name: value for name, value in row.items() if name != "inside_of"}
    return own if recorded is None else {"category": recorded.category, **own}


def _laid_over(before: PositionDraft | None, stated: PositionDraft, row: Mapping[str, Any]) -> PositionDraft:
    if before is None:
        return stated
    fields: dict[str, Any] = {name: getattr(stated, name) for name in _POSITION_FIELDS if name in row}
    said = {_place_of(demand): demand for demand in stated.demands}
    kept = [said.pop(_place_of(demand), demand) for demand in before.demands]
    return replace(before, **fields, demands=(*kept, *said.values()))


def _place_of(demand: ValueDraft) -> tuple[object, ...]:
    return demand.attribute, demand.slot, demand.basis, demand.source.kind, demand.source.citation


def _nested(
    flat: Mapping[str, PositionDraft], outer: Mapping[str, str | None], entry: Gathering
) -> tuple[PositionDraft, ...]:  # fmt: skip
    placed: set[str] = set()

    def inside(code: str | None) -> tuple[PositionDraft, ...]:
        found = [own for own, around in outer.items() if around == code]
        placed.update(found)
        return tuple(replace(flat[own], inside=inside(own)) for own in found)

    positions = inside(None)
    lost = [code for code in flat if code not in placed]
    if lost:
        words = (
            f"{lost[0]} is to be inside of {str(outer[lost[0]])[:60]!r}, which is no position of this specification."
        )
        raise Invalid(words, pointer=_pointer_to(lost[0], entry), code=_LOST)
    return positions


def _pointer_to(code: str, entry: Gathering) -> str:
    rows = entry.document.get("positions")
    places = [place for place, row in enumerate(rows if isinstance(rows, list) else []) if row["code"] == code]
    return f"/0/positions/{places[0]}/inside_of" if places else "/0"


def _draft_of(row: EngineSpecification) -> SpecificationDraft:
    """A recorded specification as a draft of itself, without its positions."""
    return SpecificationDraft(
        maker=row.maker.code,
        maker_name=row.maker.name,
        model=row.model,
        spec=row.spec,
        name=row.name,
        cylinders=row.cylinders,
        fuels=tuple(row.fuels),
        serial_prefixes=tuple(row.serial_prefixes),
        positions=(),
        status=row.status,
    )


def _position_of(row: Position) -> PositionDraft:
    """A recorded position as a draft of itself, without those inside of it."""
    return PositionDraft(
        code=row.code,
        name=row.name,
        category=row.category,
        quantity=row.quantity,
        branch=row.branch,
        carries_fuel=row.carries_fuel,
        ports=tuple(PortDraft(port.port, port.fuel, tuple(port.classes)) for port in row.ports.all()),
        demands=tuple(_demand_of(demand) for demand in row.demands.all()),
        media=tuple(_medium_of(medium) for medium in row.media.all()),
        adapter_forbidden=row.adapter_forbidden,
        inside=(),
    )


def _demand_of(row: PositionDemand) -> ValueDraft:
    return ValueDraft(row.attribute, row.slot, row.value, row.as_entered, row.source, Basis(row.basis))


def _medium_of(row: PositionMedium) -> MediumDraft:
    low, high = (
        None if end is None else Quantity(end, Dimension.TEMPERATURE, row.unit) for end in (row.lo, row.hi)
    )  # fmt: skip
    return MediumDraft(row.name, Interval(low, high) if low or high else None, row.dynamic, row.slot)
