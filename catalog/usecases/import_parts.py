"""Parts of an import: what the rows state, laid over what is recorded already, and what speaks against it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from catalog.domain.import_rows import Gathering, ImportProblem
from catalog.domain.part_numbers import number_key, without_zeros
from catalog.domain.parts import PartCondition, SuppliedAs
from catalog.models import Maker, Part, PartAttribute
from catalog.usecases.catalogue_writes import CatalogueWrite
from catalog.usecases.drafts import CountedDraft, PartDraft, ValueDraft
from catalog.usecases.import_outcomes import Batch, write_sound
from catalog.usecases.part_writing import Written, write_parts
from catalog.usecases.reading_drafts import read_parts
from service.errors import DomainError

Key = tuple[str, ...]  # maker and number
_STATED_WHOLE = (
    "name", "category", "status", "supplied_as", "condition", "barcodes", "contains", "matched_set", "needs",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Shelf:
    """What the catalogue has already: these parts, their makers by code in capitals, and numbers without zeros."""

    parts: Mapping[Key, Part]
    makers: Mapping[str, str]
    without_zeros: Mapping[tuple[str, str], tuple[Part, ...]]


def import_parts(batch: Batch, entries: Sequence[Gathering]) -> None:
    """Write the parts of a batch, each as recorded with what its rows state laid over it."""
    shelf = _look_up(entries)
    pairs = []
    for entry in entries:
        found = shelf.parts.get(entry.key)
        problem = _wrong_name(entry, shelf, batch) if found is None else None
        if problem is not None:
            batch.leave_out(entry, problem)
        if problem is not None and "category" not in entry.document:
            continue
        try:
            pairs.append((entry, _merged(entry, found, batch)))
        except DomainError as error:
            batch.refuse(entry, error)
    pairs = [(entry, draft) for entry, draft in pairs if entry.key not in batch.left]
    write_sound(batch, pairs, _write)


def _write(drafts: Sequence[PartDraft], write: CatalogueWrite) -> Written:
    return write_parts(list(enumerate(drafts)), write)


def _look_up(entries: Sequence[Gathering]) -> _Shelf:
    makers = Maker.objects.filter(code__in=Maker.objects.known_as(entry.key[0] for entry in entries))
    bare = {without_zeros(number_key(entry.key[1])) for entry in entries}
    rows = (
        Part.objects.select_related("maker")
        .prefetch_related("attributes", "barcodes", "contents__part__maker", "needs__needed__maker")
        .filter(maker__in=makers, number_no_zeros__in=bare)
    )
    twins: dict[tuple[str, str], tuple[Part, ...]] = {}
    for row in rows:
        place = row.maker.code, row.number_no_zeros
        twins[place] = (*twins.get(place, ()), row)
    parts: dict[Key, Part] = {(row.maker.code, row.number): row for row in rows}
    return _Shelf(parts, {maker.code.upper(): maker.code for maker in makers}, twins)


def _wrong_name(entry: Gathering, shelf: _Shelf, batch: Batch) -> ImportProblem | None:
    """What speaks against adding a part of this name: another spelling of its maker, or a number that lost a zero."""
    maker, number = entry.key
    spelled = shelf.makers.get(maker.upper(), maker)
    if spelled != maker:
        words = f"The maker {maker} is written {spelled} here; write it so."
        return ImportProblem(entry.cell_of("/maker"), "unknown_maker", words)
    key = number_key(number)
    if not key:
        words = f"{number!r} has no letter or digit in it; give the part number as it is printed."
        return ImportProblem(entry.cell_of("/number"), "not_a_number", words)
    alike = shelf.without_zeros.get((maker, without_zeros(key)), ())
    return _other_spelling(entry, key, alike, batch) or _lost_zero(entry, key, alike, batch) or _without_category(entry)


def _other_spelling(entry: Gathering, key: str, alike: Sequence[Part], batch: Batch) -> ImportProblem | None:
    """The same number with other separators is the same part, unless the file names both."""
    same = [part for part in alike if part.number_key == key and (entry.key[0], part.number) not in batch.named]
    if not same:
        return None
    words = f"{same[0].shown} is there, and {entry.key[1]!r} differs from it in separators or case alone; write it so."
    return ImportProblem(entry.cell_of("/number"), "other_spelling", words)


def _lost_zero(entry: Gathering, key: str, alike: Sequence[Part], batch: Batch) -> ImportProblem | None:
    """A spreadsheet takes zeros and adds none: only the shorter number is suspect, and only where it has one twin."""
    twins = [part for part in alike if part.number_key != key]
    if len(twins) != 1 or len(twins[0].number_key) <= len(key) or (entry.key[0], twins[0].number) in batch.named:
        return None
    words = f"{' '.join(entry.key)} is not there and {twins[0].shown} is: zeros in front may have been lost. Write the "
    more = "number as it is printed; where both exist, name both in the file."
    return ImportProblem(entry.cell_of("/number"), "possible_lost_zero", words + more)


def _without_category(entry: Gathering) -> ImportProblem | None:
    if "category" in entry.document:
        return None
    words = (
        f"There is no part {' '.join(entry.key)}, and a part that is new needs its category; add it in the table parts."
    )
    return ImportProblem(entry.lines[0], "unknown_part", words)


def _merged(entry: Gathering, found: Part | None, batch: Batch) -> PartDraft:
    """The part as it is to be. Raises what `read_parts` raises for what the rows state."""
    document = dict(entry.document)
    taken_back = {_place(row, _source(row)) for row in _rows(document.pop("taken_back", ()))}
    if found is None:
        (draft,) = read_parts([document], batch.rulebook)
        return draft
    (stated,) = read_parts([{"category": found.category, **document}], batch.rulebook)
    before = _draft_of(found)
    heads: dict[str, Any] = {name: getattr(stated, name) for name in _STATED_WHOLE if name in document}
    said = {_place_of(value): value for value in stated.attributes}
    kept = [said.pop(_place_of(value), value) for value in before.attributes if _place_of(value) not in taken_back]
    return replace(before, **heads, attributes=(*kept, *said.values()))


def _rows(found: object) -> Sequence[Mapping[str, Any]]:
    return found if isinstance(found, list) else ()


def _source(row: Mapping[str, Any]) -> tuple[str, str]:
    return row["source"]["kind"], row["source"]["citation"]


def _place(row: Mapping[str, Any], source: tuple[str, str]) -> tuple[str, str | None, str, str]:
    return row["attribute"], row["slot"], *source


def _place_of(value: ValueDraft) -> tuple[str, str | None, str, str]:
    return value.attribute, value.slot, value.source.kind.value, value.source.citation


def _draft_of(part: Part) -> PartDraft:
    """A recorded part as a draft of itself."""
    contents = part.contents.all()
    return PartDraft(
        maker=part.maker.code,
        maker_name=part.maker.name,
        number=part.number,
        name=part.name,
        category=part.category,
        supplied_as=SuppliedAs(part.supplied_as) if part.supplied_as else None,
        condition=PartCondition(part.condition),
        status=part.status,
        barcodes=tuple((row.code, row.pack_quantity) for row in part.barcodes.all()),
        attributes=tuple(_value_of(row) for row in part.attributes.all()),
        contains=tuple(CountedDraft((row.part.maker.code, row.part.number), row.quantity) for row in contents),
        needs=tuple(
            CountedDraft((row.needed.maker.code, row.needed.number), row.quantity, row.reason)
            for row in part.needs.all()
        ),
        matched_set=any(row.only_together for row in contents),
    )


def _value_of(row: PartAttribute) -> ValueDraft:
    return ValueDraft(row.attribute, row.slot, row.value, row.as_entered, row.source)
