"""Numbers that replace numbers: read, written where they are not there yet, and shown as plain rows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from catalog.domain.answers import Source, SourceKind
from catalog.domain.rules import Rulebook
from catalog.domain.supersessions import SupersessionKind, sides_problem
from catalog.models import EngineSpecification, Part, Side, Supersession, SupersessionMember
from catalog.models.facts import as_text
from catalog.usecases.applications import read_fuels, read_place
from catalog.usecases.catalogue_writes import MOST_AGGREGATES, CatalogueWrite, catalogue_write
from catalog.usecases.drafts import CountedDraft
from catalog.usecases.part_writing import Written
from catalog.usecases.reading import part_name
from catalog.usecases.refusals import Gathered, UnknownPart, UnknownSpecification
from service.errors import Invalid

Row = Mapping[str, Any]
Key = tuple[str, str]


@dataclass(frozen=True, slots=True)
class SupersessionDraft:
    """`spec` is (model, specification number), None where it holds for every engine."""

    kind: SupersessionKind
    old: tuple[CountedDraft, ...]
    new: tuple[CountedDraft, ...]
    both_ways: bool
    spec: Key | None
    serials: tuple[Row, ...]
    any_fuel: tuple[str, ...]
    all_fuels: tuple[str, ...]
    places: tuple[str, ...]
    source: Source


def read_supersessions(rows: Sequence[Row], rulebook: Rulebook) -> tuple[SupersessionDraft, ...]:
    """Raises what `Gathered.tell` raises, with every problem of every row; pointers start with the row's index."""
    problems, drafts = Gathered(), []
    for index, row in enumerate(rows):
        with problems.each():
            drafts.append(_read(row, rulebook, f"/{index}"))
    problems.tell()
    return tuple(drafts)


def _read(row: Row, rulebook: Rulebook, pointer: str) -> SupersessionDraft:
    problems, kind = Gathered(), SupersessionKind(row["kind"])
    old, new = (_counted(row.get(side) or ()) for side in ("from", "to"))
    holds, at = row.get("applicability") or {}, f"{pointer}/applicability"
    wrong = sides_problem(kind, old=len(old), new=len(new))
    if wrong is not None:
        problems.errors.append(Invalid(wrong, pointer=f"{pointer}/to", code="wrong_sides"))
    both_ways = bool(row.get("both_ways"))
    if both_ways and kind is SupersessionKind.DISCONTINUED:
        words = "What is replaced by nothing cannot be swapped back."
        problems.errors.append(Invalid(words, pointer=f"{pointer}/both_ways", code="one_way_only"))
    named = [entry.part for entry in (*old, *new)]
    if len(set(named)) < len(named):
        words = "A number is named twice; name it once, on one side."
        problems.errors.append(Invalid(words, pointer=f"{pointer}/to", code="named_twice"))
    fuels = [read_fuels(holds.get(name), rulebook, f"{at}/{name}", problems) for name in ("any_fuel", "all_fuels")]
    places = [
        read_place(place, rulebook, f"{at}/places/{index}", problems)
        for index, place in enumerate(holds.get("places") or ())
    ]
    problems.tell()
    spec = row.get("spec")
    return SupersessionDraft(
        kind=kind,
        old=old,
        new=new,
        both_ways=both_ways,
        spec=None if spec is None else (spec["model"], spec["spec"]),
        serials=tuple(_serials(entry) for entry in holds.get("serials") or ()),
        any_fuel=tuple(fuels[0]),
        all_fuels=tuple(fuels[1]),
        places=tuple(place for place in places if place is not None),
        source=Source(SourceKind(row["source"]["kind"]), row["source"]["citation"]),
    )


def _serials(entry: Row) -> dict[str, Any]:
    return {"first": entry.get("first"), "last": entry.get("last"), "prefix": entry.get("prefix") or ""}


def _counted(rows: Iterable[Row]) -> tuple[CountedDraft, ...]:
    return tuple(
        CountedDraft((row["part"]["maker"], row["part"]["number"]), row.get("quantity", 1)) for row in rows
    )  # fmt: skip


def save_supersessions(drafts: Sequence[SupersessionDraft], now: datetime) -> Written:
    """Add those that are not there yet. Raises, with every one of them, for unknown parts and specifications."""
    written = Written()
    for start in range(0, len(drafts), MOST_AGGREGATES):
        with catalogue_write(now) as write:
            written += write_supersessions(drafts[start : start + MOST_AGGREGATES], write)
    return written


def write_supersessions(drafts: Sequence[SupersessionDraft], write: CatalogueWrite) -> Written:
    """Add what is missing inside an open write; pointers start with the index."""
    parts, specs = _parts(drafts), _specifications(drafts)
    _refuse_unknown(drafts, parts, specs)
    there = _there({part.pk for part in parts.values()})
    wanted = {_identity(draft, specs): draft for draft in drafts}
    missing = [draft for identity, draft in wanted.items() if identity not in there]
    if missing:
        version = write.begin()
        for draft in missing:
            _add(draft, parts, specs, version)
        touched = sorted({parts[named.part].pk for draft in missing for named in (*draft.old, *draft.new)})
        Part.objects.filter(pk__in=touched).update(changed_in=version, in_chain=True)
        for number in touched:
            write.touched("part.changed", "part", number)
    return Written(added=len(missing), unchanged=len(drafts) - len(missing))


def _parts(drafts: Sequence[SupersessionDraft]) -> dict[Key, Part]:
    numbers = {named.part[1] for draft in drafts for named in (*draft.old, *draft.new)}
    rows = Part.objects.select_related("maker").filter(number__in=numbers)
    return {(row.maker.code, row.number): row for row in rows}


def _specifications(drafts: Sequence[SupersessionDraft]) -> dict[Key | None, EngineSpecification | None]:
    models = {draft.spec[0] for draft in drafts if draft.spec is not None}
    rows = EngineSpecification.objects.filter(model__in=models)
    return {None: None, **{(row.model, row.spec): row for row in rows}}


def _refuse_unknown(
    drafts: Sequence[SupersessionDraft],
    parts: Mapping[Key, Part],
    specs: Mapping[Key | None, EngineSpecification | None],
) -> None:
    problems = Gathered()
    for index, draft in enumerate(drafts):
        if draft.spec not in specs:
            words = f"There is no specification {' '.join(draft.spec or ())}."
            problems.errors.append(UnknownSpecification(words, pointer=f"/{index}/spec"))
        for side, entries in (("from", draft.old), ("to", draft.new)):
            for place, named in enumerate(entries):
                if named.part not in parts:
                    words = f"There is no part {' '.join(named.part)}; add it first."
                    problems.errors.append(UnknownPart(words, pointer=f"/{index}/{side}/{place}"))
    problems.tell()


def _there(parts: set[int]) -> set[str]:
    rows = Supersession.objects.filter(members__part__in=parts).distinct()
    found = rows.select_related("specification").prefetch_related("members__part__maker")
    return {_identity_of(row) for row in found}


def _identity(draft: SupersessionDraft, specs: Mapping[Key | None, EngineSpecification | None]) -> str:
    spec = specs[draft.spec]
    sides = [[*named.part, named.quantity, side] for side, entries in ((Side.OLD, draft.old), (Side.NEW, draft.new))
             for named in entries]  # fmt: skip
    facets = [list(draft.serials), list(draft.any_fuel), list(draft.all_fuels), list(draft.places)]
    source = [draft.source.kind.value, draft.source.citation]
    return as_text([draft.kind.value, draft.both_ways, spec and spec.pk, sorted(sides), facets, source])


def _identity_of(row: Supersession) -> str:
    sides = [[one.part.maker.code, one.part.number, one.quantity, one.side] for one in row.members.all()]
    facets = [row.serials, row.any_fuel, row.all_fuels, row.places]
    source = [row.source_kind, row.source_citation]
    return as_text([row.kind, row.both_ways, row.specification_id, sorted(sides), facets, source])


def _add(
    draft: SupersessionDraft,
    parts: Mapping[Key, Part],
    specs: Mapping[Key | None, EngineSpecification | None],
    version: int,
) -> None:
    row = Supersession.objects.create(
        kind=draft.kind.value,
        both_ways=draft.both_ways,
        specification=specs[draft.spec],
        serials=list(draft.serials),
        any_fuel=list(draft.any_fuel),
        all_fuels=list(draft.all_fuels),
        places=list(draft.places),
        source_kind=draft.source.kind.value,
        source_citation=draft.source.citation,
        changed_in=version,
    )
    SupersessionMember.objects.bulk_create(
        SupersessionMember(supersession=row, side=side, part=parts[named.part], quantity=named.quantity)
        for side, entries in ((Side.OLD, draft.old), (Side.NEW, draft.new))
        for named in entries
    )


def supersession_document(row: Supersession) -> dict[str, Any]:
    """A replacement as it was published; members with their parts and the specification have to be loaded with it."""
    spec = row.specification
    members = sorted(row.members.all(), key=lambda one: one.pk)
    sides = {side: [{"part": part_name(one.part), "quantity": one.quantity} for one in members if one.side == side]
             for side in Side}  # fmt: skip
    return {
        "id": row.pk,
        "kind": row.kind,
        "from": sides[Side.OLD],
        "to": sides[Side.NEW],
        "both_ways": row.both_ways,
        "spec": None if spec is None else {"model": spec.model, "spec": spec.spec},
        "applicability": {name: getattr(row, name) for name in ("serials", "any_fuel", "all_fuels", "places")},
        "status": row.status,
        "source": {"kind": row.source_kind, "citation": row.source_citation},
    }
