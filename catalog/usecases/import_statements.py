"""Makers' statements of an import: added where they are not there yet."""

from __future__ import annotations

from collections.abc import Sequence

from catalog.domain.import_rows import Gathering, ImportProblem
from catalog.domain.part_numbers import number_key, without_zeros
from catalog.models import Maker, Part
from catalog.usecases.import_outcomes import Batch, write_sound
from catalog.usecases.reading_drafts import read_statements
from catalog.usecases.statement_writing import write_statements
from service.errors import DomainError


def import_statements(batch: Batch, entries: Sequence[Gathering]) -> None:
    """Write the statements of a batch; one about a part or position that is not there is left out."""
    lost, pairs = _lost_zeros(entries), []
    for entry in entries:
        if entry.key[:2] in lost:
            words = (
                f"There is no part {' '.join(entry.key[:2])}, and there is {lost[entry.key[:2]]}: zeros in front may "
            )
            more = "have been lost. Write the number as it is printed."
            batch.leave_out(entry, ImportProblem(entry.cell_of("/part"), "possible_lost_zero", words + more))
            continue
        try:
            (draft,) = read_statements([entry.document], batch.rulebook)
            pairs.append((entry, draft))
        except DomainError as error:
            batch.refuse(entry, error)
    write_sound(batch, pairs, write_statements)


def _lost_zeros(entries: Sequence[Gathering]) -> dict[tuple[str, ...], str]:
    """The parts named here that are not there, each with the only one that differs by leading zeros alone."""
    named = {entry.key[:2] for entry in entries}
    bare = {without_zeros(number_key(number)) for _, number in named}
    makers = Maker.objects.filter(code__in={maker for maker, _ in named})
    rows = list(Part.objects.select_related("maker").filter(maker__in=makers, number_no_zeros__in=bare))
    there = {(row.maker.code, row.number) for row in rows}
    found: dict[tuple[str, ...], str] = {}
    for maker, number in named - there:
        key = number_key(number)
        twins = [row for row in rows if row.maker.code == maker and row.number_no_zeros == without_zeros(key)]
        if len(twins) == 1 and twins[0].number_key != key:
            found[maker, number] = twins[0].shown
    return found
