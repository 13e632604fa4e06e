"""One batch of an import: what was written, and which of its entries could not be, told by their cells."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import TypeVar

from django.db import transaction

from catalog.domain.import_rows import Gathering, ImportProblem
from catalog.domain.rules import Rulebook
from catalog.usecases.catalogue_writes import CatalogueWrite
from catalog.usecases.part_writing import Written
from service.errors import DomainError, FieldProblem, Problems
from service.operations.models import Dealer

D = TypeVar("D")


@dataclass(slots=True)
class Batch:
    """A batch being written. `left` are the entries that were left out, by their key."""

    rulebook: Rulebook
    write: CatalogueWrite
    dealer: Dealer | None = None
    named: frozenset[tuple[str, ...]] = frozenset()  # the keys of all entries of this aggregate in the file
    written: Written = field(default_factory=Written)
    problems: list[ImportProblem] = field(default_factory=list)
    left: set[tuple[str, ...]] = field(default_factory=set)
    now: datetime | None = None  # for what bears a date that must not be to come

    def leave_out(self, entry: Gathering, problem: ImportProblem) -> None:
        """Keep an entry out, name every other row of it, and go on with the rest."""
        self.problems.append(problem)
        if entry.key not in self.left:
            self.left.add(entry.key)
            self.problems += entry.left_out(problem.cell)

    def refuse(self, entry: Gathering, error: DomainError) -> None:
        """Keep an entry out for what an error says; its pointers start with a place in a list."""
        for problem in refused(error, entry):
            self.leave_out(entry, problem)


def write_sound(
    batch: Batch, pairs: Sequence[tuple[Gathering, D]], write: Callable[[Sequence[D], CatalogueWrite], Written]
) -> None:
    """Write what can be written: entries that the writing refuses are left out, and the others tried again.

    An error that names no entry is looked for by halves.
    """
    if not pairs:
        return
    version, changes = batch.write.version, len(batch.write.changes)
    try:
        with transaction.atomic():
            batch.written += write([draft for _, draft in pairs], batch.write)
    except DomainError as error:
        # The savepoint took the version's step back with it.
        batch.write.version = version
        del batch.write.changes[changes:]
        for part in _without_fault(batch, pairs, error):
            write_sound(batch, part, write)


def _without_fault(
    batch: Batch, pairs: Sequence[tuple[Gathering, D]], error: DomainError
) -> list[Sequence[tuple[Gathering, D]]]:
    """The pairs to be tried again, in one part or, where it is not known which is at fault, in two."""
    at_fault = _places(error, len(pairs))
    if not at_fault and len(pairs) > 1:
        middle = len(pairs) // 2
        return [pairs[:middle], pairs[middle:]]
    if not at_fault:
        batch.leave_out(pairs[0][0], ImportProblem(pairs[0][0].lines[0], error.code, error.message))
        return []
    for place, problem in at_fault:
        batch.leave_out(pairs[place][0], _at_its_cell(problem, pairs[place][0]))
    wrong = {place for place, _ in at_fault}
    return [[pair for place, pair in enumerate(pairs) if place not in wrong]]


def refused(error: DomainError, entry: Gathering) -> list[ImportProblem]:
    return [_at_its_cell(problem, entry) for problem in problems_of(error)]


def problems_of(error: DomainError) -> tuple[FieldProblem, ...]:
    return (
        error.problems
        if isinstance(error, Problems)
        else (FieldProblem(error.pointer or "", error.code, error.message),)
    )


def _places(error: DomainError, count: int) -> list[tuple[int, FieldProblem]]:
    """The places in the list that an error is about, each with its problem; none where it does not say."""
    found = [(problem.pointer.split("/")[1], problem) for problem in problems_of(error) if "/" in problem.pointer]
    return [(int(place), problem) for place, problem in found if place.isdigit() and int(place) < count]


def _at_its_cell(problem: FieldProblem, entry: Gathering) -> ImportProblem:
    below = "/" + "/".join(problem.pointer.split("/")[2:])
    return ImportProblem(entry.cell_of(below), problem.code, problem.detail)
