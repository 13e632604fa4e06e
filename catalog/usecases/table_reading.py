"""Gathered tables to drafts: what the published definitions say of them, told by the cell it is about."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from catalog.domain.import_nesting import nested
from catalog.domain.import_reading import Gathered
from catalog.domain.import_rows import Cell, Gathering, ImportProblem
from catalog.domain.import_tables import Aggregate
from catalog.domain.rules import Rulebook
from catalog.usecases.drafts import PartDraft, Row, SpecificationDraft, StatementDraft
from catalog.usecases.reading_drafts import read_parts, read_specifications, read_statements
from catalog.usecases.supersessions import SupersessionDraft, read_supersessions
from service.errors import DomainError, FieldProblem, Problems

D = TypeVar("D")
_NEEDED: Mapping[Aggregate, tuple[str, ...]] = {
    Aggregate.PART: ("category",),
    Aggregate.SPECIFICATION: ("maker",),
    Aggregate.STATEMENT: (),
    Aggregate.SUPERSESSION: (),
}
_NOT_READ = {"taken_back"}


@dataclass(frozen=True, slots=True)
class Drafts:
    parts: tuple[PartDraft, ...]
    specifications: tuple[SpecificationDraft, ...]
    statements: tuple[StatementDraft, ...]
    supersessions: tuple[SupersessionDraft, ...]


def drafts_of(found: Gathered, rulebook: Rulebook) -> Drafts:
    """The drafts of all that is whole; what the definitions refuse is added to the problems and left out."""
    return Drafts(
        read_each(found, Aggregate.PART, rulebook, read_parts),
        read_each(found, Aggregate.SPECIFICATION, rulebook, read_specifications),
        read_each(found, Aggregate.STATEMENT, rulebook, read_statements),
        read_each(found, Aggregate.SUPERSESSION, rulebook, read_supersessions),
    )


def read_each(
    found: Gathered, aggregate: Aggregate, rulebook: Rulebook, read: Callable[[Sequence[Row], Rulebook], tuple[D, ...]]
) -> tuple[D, ...]:
    drafts: list[D] = []
    for entry in found.whole(aggregate):
        for problem in _wanting(entry, aggregate):
            found.leave_out(aggregate, entry, problem)
            break
        else:
            drafts += _read(found, aggregate, entry, lambda document: read([document], rulebook))
    return tuple(drafts)


def tell_more(found: Gathered, rulebook: Rulebook) -> None:
    """Add what the definitions refuse of parts that a wrong cell keeps out already, so that all is told at once."""
    for aggregate, key in tuple(found.broken):
        entry = found.entries.get(aggregate, {}).get(key)
        if aggregate is Aggregate.PART and entry is not None and not _wanting(entry, aggregate):
            _read(found, aggregate, entry, lambda document: read_parts([document], rulebook))


def _wanting(entry: Gathering, aggregate: Aggregate) -> tuple[ImportProblem, ...]:
    return tuple(
        ImportProblem(entry.lines[0], "missing", f"{name} is empty; it is needed for a {aggregate} that is new.")
        for name in _NEEDED[aggregate]
        if name not in entry.document
    )


def _read(
    found: Gathered, aggregate: Aggregate, entry: Gathering, read: Callable[[Row], tuple[D, ...]]
) -> tuple[D, ...]:
    document = {name: value for name, value in entry.document.items() if name not in _NOT_READ}
    cells: Mapping[str, Cell] = entry.cells
    try:
        try:
            document, cells = nested(document, entry.cells)
        except DomainError as error:
            raise type(error)(error.message, pointer=f"/0{error.pointer}", code=error.code) from None
        return read(document)
    except DomainError as error:
        for problem in refused(error, entry, cells):
            found.leave_out(aggregate, entry, problem)
    return ()


def refused(error: DomainError, entry: Gathering, cells: Mapping[str, Cell]) -> tuple[ImportProblem, ...]:
    """The problems of one document, each at the cell that stated it. Pointers start with the place in a list."""
    problems = error.problems if isinstance(error, Problems) else (_single(error),)
    return tuple(
        ImportProblem(_cell(problem.pointer, entry, cells), problem.code, problem.detail) for problem in problems
    )


def _cell(pointer: str, entry: Gathering, cells: Mapping[str, Cell]) -> Cell:
    """The cell that stated what stands at this pointer, or above it."""
    below = "/" + "/".join(pointer.split("/")[2:])
    while below:
        if below in cells:
            return cells[below]
        below = below.rpartition("/")[0]
    return entry.lines[0]


def _single(error: DomainError) -> FieldProblem:
    return FieldProblem(error.pointer or "", error.code, error.message)


def tell(found: Gathered) -> None:
    """Raise Problems with all that keeps a row out, each with its table, line and column."""
    stopping = [problem for problem in found.problems if problem.stops]
    if stopping:
        raise Problems(
            FieldProblem(
                f"/{problem.cell.table}/{problem.cell.line}/{problem.cell.column}".rstrip("/"),
                problem.code,
                f"{problem.cell.table} line {problem.cell.line}, {problem.cell.column or 'the row'}: {problem.detail}",
            )
            for problem in stopping
        )
