"""Adding and changing one part: every problem of the body at once, and nothing half-saved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from catalog import loading
from catalog.domain.answers import Source, SourceKind
from catalog.domain.gtin import check_gtin
from catalog.domain.parts import PartCondition, SuppliedAs
from catalog.models import Maker, Part, PartAttribute
from catalog.usecases.asked import NamedPart, named_part
from catalog.usecases.catalogue_writes import catalogue_write
from catalog.usecases.drafts import CountedDraft, PartDraft, ValueDraft
from catalog.usecases.part_finding import PartFinder
from catalog.usecases.part_writing import write_parts
from catalog.usecases.reading import published
from catalog.usecases.reading_drafts import read_parts
from catalog.usecases.refusals import Gathered, Taken, UnknownMaker, as_one
from service.errors import DomainError, Invalid, NotFound, Stale

Row = Mapping[str, Any]
NAMING = ("contains", "needs")
SOMETIMES = ("name", "category", "status", "condition", "matched_set", "barcodes", "attributes", *NAMING)


def add_part(row: Row, now: datetime) -> Part:
    """Write a new part. Raises what `Gathered.tell` raises; Taken where the maker has the number already."""
    problems = Gathered()
    with problems.each():
        _refuse_unknown_maker(row)
    with problems.each():
        draft = _read(row)
    problems.tell()
    with catalogue_write(now) as write:
        known = Part.objects.filter(maker__code=draft.maker, number=draft.number).values_list("pk", flat=True).first()
        if known is not None:
            words = f"{draft.maker} {draft.number} is in the catalogue already, with the id {known}; change that one."
            raise Taken(words, pointer="/number", id=known)
        with as_one():
            write_parts([(0, draft)], write)
    return part_of(Part.objects.get(maker__code=draft.maker, number=draft.number).pk)


def change_part(part: Part, patch: Row, now: datetime) -> Part:
    """Change what the patch states; a list takes the place of the whole list, null takes a value away.

    Raises Stale where the part has changed since it was read, besides what `add_part` raises.
    """
    read = _read({"maker": part.maker.code, "number": part.number, "category": part.category, **_stated(patch)})
    changed = {name: getattr(read, name) for name in (*SOMETIMES, "supplied_as") if name in patch}
    with catalogue_write(now) as write:
        if not Part.objects.filter(pk=part.pk, changed_in=part.changed_in).exists():
            raise Stale("It has changed since it was read; read it again and send the new ETag in If-Match.")
        with as_one():
            write_parts([(0, replace(_recorded(part), **changed))], write)
    return part_of(part.pk)


def part_of(number: int) -> Part:
    found = Part.objects.select_related("maker").filter(pk=number).first()
    if found is None:
        raise NotFound(f"There is no part with the id {number}.")
    return found


def _stated(patch: Row) -> dict[str, Any]:
    """The patch without what it takes away: what is missing reads as nothing stated."""
    return {name: value for name, value in patch.items() if value is not None}


def _refuse_unknown_maker(row: Row) -> None:
    known = Maker.objects.known_as([row["maker"]])
    if row["maker"] in known or (not known and row.get("maker_name")):
        return
    if known:
        spelled = ", ".join(known)
        raise Invalid(f"The maker is written {spelled} here; write it so.", pointer="/maker", code="unknown_maker")
    words = f"No maker is known as {row['maker']!r}; check the code, or give maker_name to add the maker."
    raise UnknownMaker(words, pointer="/maker")


def _read(row: Row) -> PartDraft:
    """The draft a body makes. Raises what `Gathered.tell` raises, with every problem."""
    problems = Gathered()
    named = {field: _named(row.get(field) or (), field, problems) for field in NAMING}
    for index, entry in enumerate(row.get("barcodes") or ()):
        try:
            check_gtin(entry["code"])
        except DomainError as error:
            problems.errors.append(Invalid(error.message, pointer=f"/barcodes/{index}/code", code=error.code))
    with problems.each(), as_one():
        (draft,) = read_parts([{**row, **dict.fromkeys(NAMING, ())}], published().rulebook)
    problems.tell()
    return replace(draft, contains=named["contains"], needs=named["needs"])


def _named(rows: Any, field: str, problems: Gathered) -> tuple[CountedDraft, ...]:
    """The parts that a list names, found as a question's are, and written as they are printed."""
    names = [named_part(entry["part"], f"/{field}/{index}/part") for index, entry in enumerate(rows)]
    finder = PartFinder(names, loading.standing().stamp)
    found: list[CountedDraft] = []
    for name, entry in zip(names, rows, strict=True):
        with problems.each():
            found.append(_counted(finder, name, entry, found))
    return tuple(found)


def _counted(finder: PartFinder, name: NamedPart, entry: Row, before: list[CountedDraft]) -> CountedDraft:
    part = finder.find(name)
    if any(other.part == (part.maker, part.number) for other in before):
        words = f"{part.maker} {part.number} is named twice; name it once, with the number of all."
        raise Invalid(words, pointer=name.pointer, code="named_twice")
    return CountedDraft((part.maker, part.number), entry.get("quantity", 1), entry.get("reason") or "")


def _recorded(part: Part) -> PartDraft:
    """The part as it is recorded, in the form of a draft."""
    contents = list(part.contents.select_related("part__maker"))
    return PartDraft(
        maker=part.maker.code,
        maker_name=part.maker.name,
        number=part.number,
        name=part.name,
        category=part.category,
        supplied_as=None if part.supplied_as is None else SuppliedAs(part.supplied_as),
        condition=PartCondition(part.condition),
        barcodes=tuple(part.barcodes.values_list("code", "pack_quantity")),
        attributes=tuple(_value(row) for row in part.attributes.all()),
        status=part.status,
        contains=tuple(CountedDraft((row.part.maker.code, row.part.number), row.quantity) for row in contents),
        needs=tuple(
            CountedDraft((row.needed.maker.code, row.needed.number), row.quantity, row.reason)
            for row in part.needs.select_related("needed__maker")
        ),
        matched_set=any(row.only_together for row in contents),
    )


def _value(row: PartAttribute) -> ValueDraft:
    source = Source(SourceKind(row.source_kind), row.source_citation)
    return ValueDraft(row.attribute, row.slot, row.value, row.as_entered, source)
