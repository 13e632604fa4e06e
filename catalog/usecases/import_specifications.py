"""Engine specifications of an import: what the rows state, laid over the positions that are recorded already."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from catalog.domain.import_rows import Gathering, ImportProblem
from catalog.models import EngineSpecification, Maker, Position
from catalog.usecases.drafts import PositionDraft, SpecificationDraft, StageDraft, ValueDraft
from catalog.usecases.import_outcomes import Batch, write_sound
from catalog.usecases.reading_drafts import read_specifications, refuse_strange_positions
from catalog.usecases.recorded_drafts import RELATED, draft_of, in_order, nested, position_of
from catalog.usecases.specification_writing import write_specifications
from service.errors import DomainError, Invalid

Key = tuple[str, ...]  # model and specification number
_STATED_WHOLE = ("name", "cylinders", "heads", "fuels", "serial_prefixes", "status")
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
    rows = EngineSpecification.objects.select_related("maker").prefetch_related(*RELATED)
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
    before = {} if found is None else in_order(found)
    filled = [_with_category(row, before.get(row["code"])) for row in stated_rows]
    head = {} if found is None else {"maker": found.maker.code, "maker_name": found.maker.name}
    (stated,) = read_specifications([{**head, **entry.document, "positions": filled}], batch.rulebook)
    flat = {code: position_of(row) for code, row in before.items()}
    outer = {code: row.inside_of.code if row.inside_of else None for code, row in before.items()}
    for row, position in zip(stated_rows, stated.positions, strict=True):
        flat[position.code] = _laid_over(flat.get(position.code), position, row)
        outer[position.code] = row.get("inside_of", outer.get(position.code))
    positions = _placed(flat, outer, entry)
    if found is None:
        draft = replace(stated, positions=positions)
    else:
        heads: dict[str, Any] = {name: getattr(stated, name) for name in _STATED_WHOLE if name in entry.document}
        before_it = draft_of(found, positions)
        draft = replace(before_it, stages=_restaged(before_it.stages, stated.stages), **heads)
    refuse_strange_positions(draft)
    return draft


def _restaged(recorded: Sequence[StageDraft], stated: Sequence[StageDraft]) -> tuple[StageDraft, ...]:
    """A fuel's line is stated whole: its rows take the place of all that was recorded for it."""
    fuels = {stage.fuel for stage in stated}
    return (*(stage for stage in recorded if stage.fuel not in fuels), *stated)


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


def _placed(
    flat: Mapping[str, PositionDraft], outer: Mapping[str, str | None], entry: Gathering
) -> tuple[PositionDraft, ...]:  # fmt: skip
    positions = nested(flat, outer)
    placed = {code for position in positions for code in position.codes()}
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
