"""Writing parts: what is new is added, what differs is changed, and what is the same is left alone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from catalog.models import Barcode, Maker, Part, PartAttribute
from catalog.models.facts import part_text
from catalog.models.typed_values import columns_of
from catalog.usecases.catalogue_writes import MOST_AGGREGATES, CatalogueWrite, catalogue_write
from catalog.usecases.drafts import PartDraft, ValueDraft

ROWS_A_STATEMENT = 500
_HEAD = ("name", "category", "supplied_as", "condition", "facts", "changed_in")


@dataclass(frozen=True, slots=True)
class Written:
    """How many were added, changed, and found to be as they should."""

    added: int = 0
    changed: int = 0
    unchanged: int = 0

    def __add__(self, other: Written) -> Written:
        return Written(self.added + other.added, self.changed + other.changed, self.unchanged + other.unchanged)


@dataclass(frozen=True, slots=True)
class _Planned:
    part: Part
    attributes: tuple[PartAttribute, ...]
    barcodes: tuple[tuple[str, int], ...]
    new: bool


def save_parts(drafts: Sequence[PartDraft], now: datetime) -> Written:
    """Write the parts, at most `MOST_AGGREGATES` a version."""
    written = Written()
    for start in range(0, len(drafts), MOST_AGGREGATES):
        with catalogue_write(now) as write:
            written += _save(drafts[start : start + MOST_AGGREGATES], write)
    return written


def makers_for(named: Iterable[tuple[str, str]], write: CatalogueWrite) -> dict[str, Maker]:
    """The makers of these (code, name) by their code, those that are missing added."""
    wanted = dict(named)
    makers = {maker.code: maker for maker in Maker.objects.filter(code__in=wanted)}
    missing = [Maker(code=code, name=name) for code, name in wanted.items() if code not in makers]
    if missing:
        write.begin()
        makers |= {maker.code: maker for maker in Maker.objects.bulk_create(missing)}
    return makers


def _save(drafts: Sequence[PartDraft], write: CatalogueWrite) -> Written:
    makers = makers_for(((draft.maker, draft.maker_name) for draft in drafts), write)
    numbers = {draft.number for draft in drafts}
    existing = {
        (part.maker.code, part.number): part
        for part in Part.objects.select_related("maker")
        .prefetch_related("barcodes")
        .filter(maker__in=makers.values(), number__in=numbers)
    }
    planned = [_plan(draft, makers[draft.maker], existing.get((draft.maker, draft.number))) for draft in drafts]
    pending = [plan for plan in planned if plan is not None]
    if pending:
        _write(pending, write)
    added = sum(plan.new for plan in pending)
    return Written(added, len(pending) - added, len(drafts) - len(pending))


def _plan(draft: PartDraft, maker: Maker, found: Part | None) -> _Planned | None:
    """The part as it should be with its rows; None where it is so already."""
    part = found or Part(maker=maker, number=draft.number)
    before = part.facts, {(row.code, row.pack_quantity) for row in part.barcodes.all()} if found else set()
    part.name, part.category, part.condition = draft.name, draft.category, draft.condition.value
    part.supplied_as = draft.supplied_as.value if draft.supplied_as else None
    attributes = tuple(_attribute(value) for value in draft.attributes)
    part.facts = part_text(part, attributes)
    if found is not None and before == (part.facts, set(draft.barcodes)):
        return None
    part.derive_keys()
    return _Planned(part, attributes, draft.barcodes, new=found is None)


def _attribute(draft: ValueDraft) -> PartAttribute:
    return PartAttribute(
        attribute=draft.attribute,
        slot=draft.slot,
        as_entered=draft.as_entered,
        source_kind=draft.source.kind.value,
        source_citation=draft.source.citation,
        **columns_of(draft.value),
    )


def _write(pending: Sequence[_Planned], write: CatalogueWrite) -> None:
    version = write.begin()
    for plan in pending:
        plan.part.changed_in = version
    Part.objects.bulk_create([plan.part for plan in pending if plan.new], batch_size=ROWS_A_STATEMENT)
    changed = [plan.part for plan in pending if not plan.new]
    if changed:
        Part.objects.bulk_update(changed, _HEAD, batch_size=ROWS_A_STATEMENT)
        PartAttribute.objects.filter(part__in=changed).delete()
        Barcode.objects.filter(part__in=changed).delete()
    attributes, barcodes = [], []
    for plan in pending:
        for row in plan.attributes:
            row.part = plan.part
            attributes.append(row)
        barcodes += [Barcode(part=plan.part, code=code, pack_quantity=count) for code, count in plan.barcodes]
        write.touched("part.created" if plan.new else "part.changed", "part", plan.part.pk)
    PartAttribute.objects.bulk_create(attributes, batch_size=ROWS_A_STATEMENT)
    Barcode.objects.bulk_create(barcodes, batch_size=ROWS_A_STATEMENT)
