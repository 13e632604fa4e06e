"""Writing parts: what is new is added, what differs is changed, and what is the same is left alone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from catalog.models import Barcode, Maker, Part, PartAttribute, PartContent, PartNeed, PartPiece
from catalog.models.facts import by_itself, part_text
from catalog.models.typed_values import columns_of
from catalog.usecases.catalogue_writes import MOST_AGGREGATES, CatalogueWrite, catalogue_write
from catalog.usecases.drafts import CountedDraft, PartDraft, ValueDraft
from catalog.usecases.part_contents import ROWS_A_STATEMENT, carry_contents
from catalog.usecases.refusals import BarcodeTaken, Gathered, Taken, UnknownPart
from service.errors import Invalid

_HEAD = ("name", "category", "status", "supplied_as", "condition", "facts", "changed_in")
Key = tuple[str, str]  # maker and number
Indexed = tuple[int, PartDraft]


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
    draft: PartDraft
    attributes: tuple[PartAttribute, ...]
    new: bool


def save_parts(drafts: Sequence[PartDraft], now: datetime) -> Written:
    """Write the parts, at most `MOST_AGGREGATES` a version, those that are held by others first.

    Raises what `Gathered.tell` raises for contents and needs that are not there and barcodes of other parts; pointers
    start with the draft's index. What earlier versions of the call wrote stays.
    """
    written, ordered = Written(), _members_first(drafts)
    for start in range(0, len(ordered), MOST_AGGREGATES):
        with catalogue_write(now) as write:
            written += write_parts(ordered[start : start + MOST_AGGREGATES], write)
    return written


def _members_first(drafts: Sequence[PartDraft]) -> list[Indexed]:
    """The drafts, each after those it names among them; in their own order where they name none."""
    at = {(draft.maker, draft.number): index for index, draft in enumerate(drafts)}
    ordered: dict[int, PartDraft] = {}
    started: set[int] = set()

    def put(index: int) -> None:
        if index in started:
            return
        started.add(index)
        for named in (*drafts[index].contains, *drafts[index].needs):
            if named.part in at:
                put(at[named.part])
        ordered[index] = drafts[index]

    for index in range(len(drafts)):
        put(index)
    return list(ordered.items())


def makers_for(named: Iterable[tuple[str, str]], write: CatalogueWrite) -> dict[str, Maker]:
    """The makers with these (code, name), the missing ones added."""
    wanted = dict(named)
    makers = {maker.code: maker for maker in Maker.objects.filter(code__in=wanted)}
    missing = [Maker(code=code, name=name) for code, name in wanted.items() if code not in makers]
    if missing:
        write.begin()
        makers |= {maker.code: maker for maker in Maker.objects.bulk_create(missing)}
    return makers


def write_parts(drafts: Sequence[Indexed], write: CatalogueWrite) -> Written:
    """Write drafts, each with the index its problems are told by, inside an open write."""
    makers = makers_for(((draft.maker, draft.maker_name) for _, draft in drafts), write)
    existing = _existing([draft for _, draft in drafts], makers)
    _refuse_taken_barcodes(drafts, existing)
    planned = [_plan(draft, makers[draft.maker], existing.get((draft.maker, draft.number))) for _, draft in drafts]
    pending = [plan for plan in planned if plan is not None]
    if pending:
        _write(pending, {id(draft): index for index, draft in drafts}, write)
    added = sum(plan.new for plan in pending)
    return Written(added, len(pending) - added, len(drafts) - len(pending))


def _existing(drafts: Sequence[PartDraft], makers: Mapping[str, Maker]) -> dict[Key, Part]:
    rows = (
        Part.objects.select_related("maker")
        .prefetch_related("barcodes", "contents__part__maker", "needs__needed__maker")
        .filter(maker__in=makers.values(), number__in={draft.number for draft in drafts})
    )
    return {(part.maker.code, part.number): part for part in rows}


def _refuse_taken_barcodes(drafts: Sequence[Indexed], existing: Mapping[Key, Part]) -> None:
    problems = Gathered()
    wanted = {
        code: (index, place, (draft.maker, draft.number))
        for index, draft in drafts
        for place, (code, _) in enumerate(draft.barcodes)
    }
    for row in Barcode.objects.select_related("part__maker").filter(code__in=wanted):
        index, place, key = wanted[row.code]
        if (row.part.maker.code, row.part.number) != key:
            words = f"The barcode {row.code} is {row.part.shown}'s; a code is on one part's packages only."
            problems.errors.append(BarcodeTaken(words, pointer=f"/{index}/barcodes/{place}/code"))
    problems.tell()


def _plan(draft: PartDraft, maker: Maker, found: Part | None) -> _Planned | None:
    """The part as it should be with its rows; None where it is so already."""
    part = found or Part(maker=maker, number=draft.number)
    before = None if found is None else _as_it_is(found)
    part.name, part.category, part.condition, part.status = (
        draft.name, draft.category, draft.condition.value, draft.status
    )  # fmt: skip
    part.supplied_as = draft.supplied_as.value if draft.supplied_as else None
    attributes = tuple(_attribute(value) for value in draft.attributes)
    part.facts = part_text(part, attributes)
    if before == _as_it_should_be(part, draft):
        return None
    part.derive_keys()
    return _Planned(part, draft, attributes, new=found is None)


def _as_it_is(part: Part) -> tuple[object, ...]:
    contents = part.contents.all()
    return (
        by_itself(part.facts),
        part.status,
        {(row.code, row.pack_quantity) for row in part.barcodes.all()},
        {(row.part.maker.code, row.part.number, row.quantity) for row in contents},
        any(row.only_together for row in contents),
        {(row.needed.maker.code, row.needed.number, row.quantity, row.reason) for row in part.needs.all()},
    )


def _as_it_should_be(part: Part, draft: PartDraft) -> tuple[object, ...]:
    return (
        part.facts,
        draft.status,
        set(draft.barcodes),
        {(*held.part, held.quantity) for held in draft.contains},
        draft.matched_set and bool(draft.contains),
        {(*needed.part, needed.quantity, needed.reason) for needed in draft.needs},
    )


def _attribute(draft: ValueDraft) -> PartAttribute:
    return PartAttribute(
        attribute=draft.attribute,
        slot=draft.slot,
        as_entered=draft.as_entered,
        source_kind=draft.source.kind.value,
        source_citation=draft.source.citation,
        **columns_of(draft.value),
    )


def _write(pending: Sequence[_Planned], indexes: Mapping[int, int], write: CatalogueWrite) -> None:
    version = write.begin()
    for plan in pending:
        plan.part.changed_in = version
    Part.objects.bulk_create([plan.part for plan in pending if plan.new], batch_size=ROWS_A_STATEMENT)
    changed = [plan.part for plan in pending if not plan.new]
    left = _clear(changed) if changed else set()
    named = _named(pending, indexes)
    _refuse_second_sets(pending, indexes, named)
    attributes, barcodes, contents, needs = [], [], [], []
    for plan in pending:
        for row in plan.attributes:
            row.part = plan.part
            attributes.append(row)
        barcodes += [Barcode(part=plan.part, code=code, pack_quantity=count) for code, count in plan.draft.barcodes]
        contents += _contents(plan, named)
        needs += _needs(plan, named)
        write.touched("part.created" if plan.new else "part.changed", "part", plan.part.pk)
    PartAttribute.objects.bulk_create(attributes, batch_size=ROWS_A_STATEMENT)
    Barcode.objects.bulk_create(barcodes, batch_size=ROWS_A_STATEMENT)
    PartContent.objects.bulk_create(contents, batch_size=ROWS_A_STATEMENT)
    PartNeed.objects.bulk_create(needs, batch_size=ROWS_A_STATEMENT)
    PartPiece.objects.write_for(plan.part for plan in pending)
    own = {plan.part.pk for plan in pending}
    for number in sorted(carry_contents(own | left, version) - own):
        write.touched("part.changed", "part", number)


def _clear(changed: Sequence[Part]) -> set[int]:
    """Write the heads anew and take the rows away; answers the pieces of sets that may be let go."""
    Part.objects.bulk_update(changed, _HEAD, batch_size=ROWS_A_STATEMENT)
    pieces = PartContent.objects.filter(container__in=changed, only_together=True).values_list("part", flat=True)
    left = set(pieces)
    for rows in (PartAttribute.objects, Barcode.objects, PartNeed.objects, PartPiece.objects):
        rows.filter(part__in=changed).delete()
    PartContent.objects.filter(container__in=changed).delete()
    return left


def _named(pending: Sequence[_Planned], indexes: Mapping[int, int]) -> dict[Key, Part]:
    """The parts that contents and needs name. Raises, with every one of them, for those that are not there."""
    wanted = {named.part for plan in pending for named in (*plan.draft.contains, *plan.draft.needs)}
    rows = Part.objects.select_related("maker").filter(number__in={number for _, number in wanted}) if wanted else ()
    found = {(part.maker.code, part.number): part for part in rows}
    problems = Gathered()
    for plan in pending:
        for field, entries in (("contains", plan.draft.contains), ("needs", plan.draft.needs)):
            for place, named in enumerate(entries):
                pointer = f"/{indexes[id(plan.draft)]}/{field}/{place}/part"
                problems.errors += _wrong_name(plan.part, named, found, pointer)
    problems.tell()
    return found


def _refuse_second_sets(pending: Sequence[_Planned], indexes: Mapping[int, int], named: Mapping[Key, Part]) -> None:
    """A piece belongs to one matched set: it is judged with that one. Raises, with every one that has one already."""
    sets = [plan for plan in pending if plan.draft.matched_set]
    pieces = {named[held.part].pk for plan in sets for held in plan.draft.contains}
    rows = PartContent.objects.select_related("container__maker").filter(part__in=pieces, only_together=True)
    belongs = {row.part_id: row.container.shown for row in rows} if pieces else {}
    problems = Gathered()
    for plan in sets:
        for place, held in enumerate(plan.draft.contains):
            whole = belongs.setdefault(named[held.part].pk, plan.part.shown)
            if whole != plan.part.shown:
                pointer = f"/{indexes[id(plan.draft)]}/contains/{place}/part"
                words = (
                    f"{' '.join(held.part)} is a piece of the matched set {whole} already; a piece belongs to one set."
                )
                problems.errors.append(Taken(words, pointer=pointer))
    problems.tell()


def _wrong_name(
    part: Part, named: CountedDraft, found: Mapping[Key, Part], pointer: str
) -> list[Invalid | UnknownPart]:
    other = found.get(named.part)
    if other is None:
        return [UnknownPart(f"There is no part {' '.join(named.part)}; add it first.", pointer=pointer)]
    if other.pk == part.pk:
        return [Invalid(f"{part.shown} cannot hold or need itself.", pointer=pointer, code="contents_circular")]
    return []


def _contents(plan: _Planned, named: Mapping[Key, Part]) -> list[PartContent]:
    return [
        PartContent(
            container=plan.part, part=named[held.part], quantity=held.quantity, only_together=plan.draft.matched_set
        )
        for held in plan.draft.contains
    ]


def _needs(plan: _Planned, named: Mapping[Key, Part]) -> list[PartNeed]:
    return [
        PartNeed(part=plan.part, needed=named[entry.part], quantity=entry.quantity, reason=entry.reason)
        for entry in plan.draft.needs
    ]
