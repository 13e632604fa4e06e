"""Writing what makers say of parts at positions."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from catalog.domain.parts import StatementKind
from catalog.models import EngineSpecification, Part, Position, Statement
from catalog.models.facts import as_text
from catalog.usecases.catalogue_writes import CatalogueWrite, catalogue_write
from catalog.usecases.drafts import StatementDraft
from catalog.usecases.part_writing import Written
from catalog.usecases.refusals import Gathered, UnknownPart, UnknownPosition
from catalog.usecases.specification_writing import SPECIFICATION
from service.errors import Invalid


def save_statements(drafts: Sequence[StatementDraft], now: datetime) -> Written:
    """Add the statements that are not there yet. Raises, with every one of them, for unknown parts and positions."""
    with catalogue_write(now) as write:
        return write_statements(drafts, write)


def write_statements(drafts: Sequence[StatementDraft], write: CatalogueWrite) -> Written:
    """Add what is missing inside an open write. Raises as `save_statements` does; pointers start with the index."""
    parts, positions = _parts(drafts), _positions(drafts)
    rows = _rows(drafts, parts, positions)
    specifications = {row.specification_id for row in rows}
    there = {_identity(row) for row in Statement.objects.filter(specification__in=specifications)}
    missing = list({_identity(row): row for row in rows if _identity(row) not in there}.values())
    if missing:
        version = write.begin()
        for row in missing:
            row.changed_in = version
        Statement.objects.bulk_create(missing)
        touched = sorted({row.position.specification_id for row in missing})
        EngineSpecification.objects.filter(pk__in=touched).update(changed_in=version)
        for number in touched:
            write.touched(f"{SPECIFICATION}.changed", SPECIFICATION, number)
    return Written(added=len(missing), unchanged=len(rows) - len(missing))


def _parts(drafts: Sequence[StatementDraft]) -> dict[tuple[str, str], Part]:
    numbers = {draft.part[1] for draft in drafts}
    found = Part.objects.select_related("maker").filter(number__in=numbers)
    return {(part.maker.code, part.number): part for part in found}


def _positions(drafts: Sequence[StatementDraft]) -> dict[tuple[tuple[str, str], str], Position]:
    models, specs = {draft.spec[0] for draft in drafts}, {draft.spec[1] for draft in drafts}
    found = Position.objects.select_related("specification__maker").filter(
        specification__model__in=models, specification__spec__in=specs
    )
    return {((row.specification.model, row.specification.spec), row.code): row for row in found}


def _rows(
    drafts: Sequence[StatementDraft],
    parts: dict[tuple[str, str], Part],
    positions: dict[tuple[tuple[str, str], str], Position],
) -> list[Statement]:
    problems, rows = Gathered(), []
    for index, draft in enumerate(drafts):
        part, position = parts.get(draft.part), positions.get((draft.spec, draft.position))
        if part is None:
            named = " ".join(draft.part)
            problems.errors.append(UnknownPart(f"There is no part {named}.", pointer=f"/{index}/part"))
        if position is None:
            words = f"{' '.join(draft.spec)} has no position {draft.position!r}."
            problems.errors.append(UnknownPosition(words, pointer=f"/{index}/position"))
        if part is not None and position is not None:
            problems.errors += _wrong_author(draft, part, position, f"/{index}/by")
            rows.append(_row(draft, part, position))
    problems.tell()
    return rows


def _wrong_author(draft: StatementDraft, part: Part, position: Position, pointer: str) -> list[Invalid]:
    """Who may say it: rule 3 hears the engine's maker for what is specified, and a part's own maker for its listing."""
    engine, own = position.specification.maker.code, part.maker.code
    allowed = {
        StatementKind.SPECIFIED: (engine,),
        StatementKind.REPLACEMENT: (engine,),
        StatementKind.EXCLUDED: tuple(dict.fromkeys((engine, own))),
        StatementKind.LISTED: (own,),
    }.get(draft.kind)
    if allowed is None or draft.by in allowed:
        return []
    words = f"{draft.kind.value!r} is said by {' or '.join(allowed)} here, and {draft.by[:40]!r} is given."
    return [Invalid(words, pointer=pointer, code="not_theirs_to_say")]


def _row(draft: StatementDraft, part: Part, position: Position) -> Statement:
    return Statement(
        kind=draft.kind.value,
        part=part,
        position=position,
        specification=position.specification,
        by=draft.by,
        source_kind=draft.source.kind.value,
        source_citation=draft.source.citation,
        serials=list(draft.serials),
        any_fuel=list(draft.any_fuel),
        all_fuels=list(draft.all_fuels),
        places=list(draft.places),
    )


def _identity(row: Statement) -> str:
    facets = (row.serials, row.any_fuel, row.all_fuels, row.places)
    return as_text([row.kind, row.part_id, row.position_id, row.by, row.source_kind, row.source_citation, *facets])
