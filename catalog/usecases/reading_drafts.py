"""Reading catalogue entries from JSON rows against the published definitions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from catalog.domain.answers import Basis, Source, SourceKind
from catalog.domain.fuels import known_fuel
from catalog.domain.parts import PartCondition, StatementKind, SuppliedAs
from catalog.domain.quantities import Interval
from catalog.domain.rules import Rulebook
from catalog.domain.supply.stages import StageKind
from catalog.domain.value_documents import MEDIUM_TEMPERATURE, read_value, refuse_impossible
from catalog.usecases.applications import read_place
from catalog.usecases.asked import ToldFact
from catalog.usecases.drafts import (
    CountedDraft,
    MediumDraft,
    PartDraft,
    PortDraft,
    PositionDraft,
    Row,
    SpecificationDraft,
    StageDraft,
    StatementDraft,
    ValueDraft,
)
from catalog.usecases.refusals import Gathered, UnknownPosition
from catalog.usecases.told_facts import definition_of
from service.errors import Invalid


def read_parts(rows: Sequence[Row], rulebook: Rulebook) -> tuple[PartDraft, ...]:
    """Raises what `Gathered.tell` raises, with every problem of every row."""
    problems, drafts = Gathered(), []
    for index, row in enumerate(rows):
        with problems.each():
            drafts.append(_part(row, rulebook, f"/{index}"))
    problems.tell()
    return tuple(drafts)


def read_specifications(rows: Sequence[Row], rulebook: Rulebook) -> tuple[SpecificationDraft, ...]:
    problems, drafts = Gathered(), []
    for index, row in enumerate(rows):
        with problems.each():
            drafts.append(_specification(row, rulebook, f"/{index}"))
    problems.tell()
    return tuple(drafts)


def read_statements(rows: Sequence[Row], rulebook: Rulebook) -> tuple[StatementDraft, ...]:
    problems, drafts = Gathered(), []
    for index, row in enumerate(rows):
        with problems.each():
            drafts.append(_statement(row, rulebook, f"/{index}"))
    problems.tell()
    return tuple(drafts)


def _part(row: Row, rulebook: Rulebook, pointer: str) -> PartDraft:
    supplied_as, category, problems = row.get("supplied_as"), "", Gathered()
    attributes: tuple[ValueDraft, ...] = ()
    with problems.each():
        category = _category(row, rulebook, pointer)
    with problems.each():
        attributes = _values(row.get("attributes", ()), rulebook, category, f"{pointer}/attributes")
    problems.tell()
    return PartDraft(
        maker=row["maker"],
        maker_name=row.get("maker_name") or row["maker"],
        number=row["number"],
        name=row.get("name", ""),
        category=category,
        supplied_as=None if supplied_as is None else SuppliedAs(supplied_as),
        condition=PartCondition(row.get("condition", PartCondition.NEW.value)),
        barcodes=tuple((entry["code"], entry.get("pack_quantity", 1)) for entry in row.get("barcodes", ())),
        attributes=attributes,
        status=row.get("status") or "active",
        contains=_counted(row.get("contains", ())),
        needs=_counted(row.get("needs", ())),
        matched_set=bool(row.get("matched_set")),
    )


def _counted(rows: Iterable[Row]) -> tuple[CountedDraft, ...]:
    return tuple(
        CountedDraft((row["part"]["maker"], row["part"]["number"]), row.get("quantity", 1), row.get("reason") or "")
        for row in rows
    )


def _category(row: Row, rulebook: Rulebook, pointer: str) -> str:
    category: str = row["category"]
    if category not in rulebook.categories:
        known = ", ".join(rulebook.categories)
        words = f"There is no category {category[:60]!r}; use one of {known}."
        raise Invalid(words, pointer=f"{pointer}/category", code="unknown_category")
    return category


def _values(rows: Iterable[Row], rulebook: Rulebook, category: str, pointer: str) -> tuple[ValueDraft, ...]:
    problems, drafts = Gathered(), []
    for index, row in enumerate(rows):
        with problems.each():
            drafts.append(_value(row, rulebook, category, f"{pointer}/{index}"))
    problems.tell()
    return tuple(drafts)


def _value(row: Row, rulebook: Rulebook, category: str, pointer: str) -> ValueDraft:
    fact = ToldFact(pointer, "candidate", row["attribute"], row.get("slot"), row["value"], None)
    definition = definition_of(fact, rulebook, category=category)
    value = read_value(fact.value, definition, pointer=f"{pointer}/value")
    refuse_impossible(value, definition, pointer=f"{pointer}/value")
    return ValueDraft(
        attribute=fact.attribute,
        slot=fact.slot,
        value=value,
        as_entered=fact.value,
        source=_source(row),
        basis=Basis(row.get("basis", Basis.STATED.value)),
    )


def _source(row: Row) -> Source:
    return Source(SourceKind(row["source"]["kind"]), row["source"]["citation"])


def _specification(row: Row, rulebook: Rulebook, pointer: str) -> SpecificationDraft:
    """Fuels, positions and stages may be wrong at once, and are told together."""
    problems = Gathered()
    positions: tuple[PositionDraft, ...] = ()
    stages: tuple[StageDraft, ...] = ()
    fuels: tuple[str, ...] = ()
    with problems.each():
        fuels = _fuels(row.get("fuels", ()), rulebook, f"{pointer}/fuels")
    with problems.each():
        positions = _positions(row.get("positions", ()), rulebook, f"{pointer}/positions")
    with problems.each():
        stages = _stages(row.get("supply_stages") or (), rulebook, f"{pointer}/supply_stages")
    problems.tell()
    return SpecificationDraft(
        maker=row["maker"],
        maker_name=row.get("maker_name") or row["maker"],
        model=row["model"],
        spec=row["spec"],
        name=row.get("name", ""),
        cylinders=row.get("cylinders"),
        heads=row.get("heads"),
        fuels=fuels,
        serial_prefixes=tuple(row.get("serial_prefixes") or ("",)),
        positions=positions,
        stages=stages,
        status=row.get("status") or "active",
    )


def _positions(rows: Sequence[Row], rulebook: Rulebook, pointer: str) -> tuple[PositionDraft, ...]:
    problems, drafts = Gathered(), []
    for index, row in enumerate(rows):
        with problems.each():
            drafts.append(_position(row, rulebook, f"{pointer}/{index}"))
    problems.tell()
    return tuple(drafts)


def _position(row: Row, rulebook: Rulebook, pointer: str) -> PositionDraft:
    category = _category(row, rulebook, pointer)
    return PositionDraft(
        code=row["code"],
        name=row.get("name", ""),
        category=category,
        quantity=row.get("quantity"),
        branch=_fuel(row.get("branch"), rulebook, f"{pointer}/branch"),
        carries_fuel=row.get("carries_fuel", True),
        ports=tuple(
            _port(entry, rulebook, f"{pointer}/ports/{index}") for index, entry in enumerate(row.get("ports", ()))
        ),
        demands=_values(row.get("demands", ()), rulebook, category, f"{pointer}/demands"),
        media=tuple(
            read_medium(entry, f"{pointer}/media/{index}") for index, entry in enumerate(row.get("media", ()))
        ),
        adapter_forbidden=row.get("adapter_forbidden") or "",
        inside=_positions(row.get("inside", ()), rulebook, f"{pointer}/inside"),
    )  # fmt: skip


def _stages(rows: Sequence[Row], rulebook: Rulebook, pointer: str) -> tuple[StageDraft, ...]:
    problems, drafts = Gathered(), []
    for index, row in enumerate(rows):
        with problems.each():
            drafts.append(_stage(row, rulebook, f"{pointer}/{index}"))
    problems.tell()
    return tuple(drafts)


def _stage(row: Row, rulebook: Rulebook, pointer: str) -> StageDraft:
    kind: str = row["kind"]
    if kind not in set(StageKind):
        words = f"There is no kind of stage {kind[:60]!r}; use one of {', '.join(StageKind)}."
        raise Invalid(words, pointer=f"{pointer}/kind", code="unknown_code")
    return StageDraft(
        fuel=_fuel(row["fuel"], rulebook, f"{pointer}/fuel"),
        kind=StageKind(kind),
        name=row.get("name") or "",
        position=row.get("position") or "",
        values=_values(row.get("values") or (), rulebook, "", f"{pointer}/values"),
    )


def refuse_strange_positions(draft: SpecificationDraft) -> None:
    """Raises what `Gathered.tell` raises for stages that are to be positions which the draft does not have."""
    problems, known = Gathered(), draft.position_codes()
    for index, stage in enumerate(draft.stages):
        if stage.position and stage.position not in known:
            words = f"There is no position {stage.position[:60]!r} here; the positions: {', '.join(known) or 'none'}."
            problems.errors.append(UnknownPosition(words, pointer=f"/0/supply_stages/{index}/position"))
    problems.tell()


def _port(row: Row, rulebook: Rulebook, pointer: str) -> PortDraft:
    for index, code in enumerate(row["classes"]):
        if code not in rulebook.classes:
            words = f"There is no fuel service class {code[:40]!r}; use one of {', '.join(rulebook.classes)}."
            raise Invalid(words, pointer=f"{pointer}/classes/{index}", code="unknown_code")
    fuel = _fuel(row.get("fuel"), rulebook, f"{pointer}/fuel")
    return PortDraft(row["port"], fuel, tuple(row["classes"]))


def read_medium(row: Row, pointer: str) -> MediumDraft:
    """Raises Invalid for temperatures that are none."""
    stated = row.get("temperature")
    at = f"{pointer}/temperature"
    payload = None if stated is None else read_value(stated, MEDIUM_TEMPERATURE, pointer=at).payload
    return MediumDraft(
        row["name"], payload if isinstance(payload, Interval) else None, row.get("dynamic"), row.get("slot") or ""
    )


def _statement(row: Row, rulebook: Rulebook, pointer: str) -> StatementDraft:
    holds, at, problems = row["applicability"], f"{pointer}/applicability", Gathered()
    # A place that is not in the published words is one where nobody ever is: what is excluded there would be let in.
    places = tuple(
        read_place(place, rulebook, f"{at}/places/{index}", problems)
        for index, place in enumerate(holds.get("places", ()))
    )
    problems.tell()
    return StatementDraft(
        kind=StatementKind(row["kind"]),
        part=(row["part"]["maker"], row["part"]["number"]),
        spec=(row["spec"]["model"], row["spec"]["spec"]),
        position=row["position"],
        by=row["by"],
        source=_source(row),
        serials=tuple(
            {"first": entry.get("first"), "last": entry.get("last"), "prefix": entry.get("prefix") or ""}
            for entry in holds.get("serials", ())
        ),
        any_fuel=_fuels(holds.get("any_fuel", ()), rulebook, f"{at}/any_fuel"),
        all_fuels=_fuels(holds.get("all_fuels", ()), rulebook, f"{at}/all_fuels"),
        places=tuple(place for place in places if place is not None),
    )


def _fuels(texts: Sequence[str], rulebook: Rulebook, pointer: str) -> tuple[str, ...]:
    return tuple(_fuel(text, rulebook, f"{pointer}/{index}") for index, text in enumerate(texts))


def _fuel(text: str | None, rulebook: Rulebook, pointer: str) -> str:
    """The fuel's text, empty where none is named."""
    if text is None:
        return ""
    try:
        return known_fuel(text, rulebook.fuels).text
    except Invalid as error:
        raise Invalid(error.message, pointer=pointer, code=error.code) from None
