"""The reference rulebook and the invented demo catalogue as frozen values, read straight from their files."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from catalog.domain.answers import Basis, Source, SourceKind
from catalog.domain.applicability import Applicability, Application
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode, known_fuel
from catalog.domain.import_nesting import nested
from catalog.domain.import_reading import Gathered, gather
from catalog.domain.import_tables import Aggregate
from catalog.domain.parts import (
    Contained,
    Medium,
    Part,
    PartCondition,
    PortClasses,
    Position,
    Statement,
    StatementKind,
    SuppliedAs,
)
from catalog.domain.quantities import Dimension, Interval
from catalog.domain.questions import Engine, Item, Question
from catalog.domain.rulebook_document import assemble, digest_of, rulebook_from_document
from catalog.domain.rules import AttributeDefinition, Rulebook
from catalog.domain.serials import SerialRange, SerialScheme
from catalog.domain.value_documents import read_value
from catalog.domain.values import Demand, How, Kind, Offer, Place
from catalog.usecases.demo_files import demo_tables
from catalog.usecases.table_reading import tell

FIXTURES = Path(__file__).parents[1] / "fixtures"
Row = Mapping[str, Any]
_TEMPERATURE = AttributeDefinition("temperature", "temperature", Kind.RANGE, Dimension.TEMPERATURE, "degC")


def _read(*path: str) -> Any:
    return json.loads(FIXTURES.joinpath(*path).read_text(encoding="utf-8"))


@cache
def document() -> dict[str, object]:
    """The reference files joined into one rulebook document."""
    folder = FIXTURES / "reference"
    return assemble({path.stem: _read("reference", path.name) for path in folder.glob("*.json")})


@cache
def rulebook() -> Rulebook:
    return rulebook_from_document(document(), number=1, digest=digest_of(document()))


@cache
def _demo() -> Gathered:
    """What the demo's tables state; a row that is wrong fails every test that reads them."""
    found = gather(demo_tables(FIXTURES / "demo"), rulebook().attributes)
    tell(found)
    return found


def documents(aggregate: Aggregate) -> tuple[Row, ...]:
    """The demo's documents of one sort, positions in their places."""
    return tuple(nested(document, {})[0] for document in _demo().documents(aggregate))


@cache
def parts() -> Mapping[tuple[str, str], Part]:
    """Every part by maker and number, kits with what they hold; a kit that holds kits holds them as plain parts."""
    rows = documents(Aggregate.PART)
    single = {(str(row["maker"]), str(row["number"])): _part(row) for row in rows}
    held = {
        (str(row["maker"]), str(row["number"])): tuple(
            Contained(single[entry["part"]["maker"], entry["part"]["number"]], entry["quantity"])
            for entry in row.get("contains", ())
        )
        for row in rows
    }
    return {key: replace(part, contains=held[key]) for key, part in single.items()}


def part(maker: str, number: str) -> Part:
    return parts()[maker, number]


def described(row: Row) -> Part:
    """Goods known only by what somebody wrote of them."""
    made = _part({"maker": row.get("maker_text", ""), "number": row.get("number_text", ""), **row})
    return replace(made, described=True)


def _part(row: Row) -> Part:
    supplied, offers = row.get("supplied_as"), dict[Place, tuple[Offer, ...]]()
    for entry in row.get("attributes", ()):
        place, offer = _offer(entry)
        offers[place] = (*offers.get(place, ()), offer)
    return Part(
        maker=row["maker"],
        number=row["number"],
        category=row["category"],
        offers=offers,
        name=row.get("name", ""),
        supplied_as=SuppliedAs(supplied) if supplied else None,
        condition=PartCondition(row.get("condition", "new")),
    )


def _offer(row: Row) -> tuple[Place, Offer]:
    value = read_value(row["value"], rulebook().attributes[row["attribute"]], pointer="/value")
    return (row["attribute"], row.get("slot")), Offer(value, _source(row))


def _source(row: Row) -> Source:
    source = row.get("source") or {"kind": "record", "citation": "told at the counter"}
    return Source(SourceKind(source["kind"]), source["citation"])


@cache
def _specifications() -> Mapping[tuple[str, str], Row]:
    return {(row["model"], row["spec"]): row for row in documents(Aggregate.SPECIFICATION)}


@cache
def engine(model: str, spec: str) -> Engine:
    row = _specifications()[model, spec]
    return Engine(
        name=f"{model} {spec}",
        fuels=_fuels(row["fuels"]),
        positions=tuple(position(entry) for entry in row.get("positions", ())),
        statements=tuple(
            statement(entry)
            for entry in documents(Aggregate.STATEMENT)
            if entry["spec"] == {"model": model, "spec": spec}
        ),
    )


@cache
def engines() -> tuple[Engine, ...]:
    """Every specification of the demo."""
    return tuple(engine(*key) for key in _specifications())


def _fuels(texts: Sequence[str]) -> tuple[Fuel, ...]:
    return tuple(known_fuel(text, rulebook().fuels) for text in texts)


def position(row: Row) -> Position:
    demands: dict[Place, tuple[Demand, ...]] = {}
    for entry in row.get("demands", ()):
        place, offer = _offer(entry)
        asked = Demand(offer.value, Basis(entry["basis"]), offer.source)
        demands[place] = (*demands.get(place, ()), asked)
    return Position(
        code=row["code"],
        category=row["category"],
        name=row.get("name", ""),
        quantity=row.get("quantity"),
        branch=row.get("branch"),
        carries_fuel=row.get("carries_fuel", True),
        ports=tuple(_port(entry) for entry in row.get("ports", ())),
        demands=demands,
        media=tuple(_medium(entry) for entry in row.get("media", ())),
        adapter_forbidden=row.get("adapter_forbidden", ""),
        inside=tuple(position(entry) for entry in row.get("inside", ())),
    )


def _port(row: Row) -> PortClasses:
    return PortClasses(row["port"], tuple(row["classes"]), row["fuel"])


def _medium(row: Row) -> Medium:
    stated = row.get("temperature")
    window = read_value(stated, _TEMPERATURE, pointer="/temperature").payload if stated else None
    return Medium(row["name"], window if isinstance(window, Interval) else None, row.get("dynamic"), row.get("slot"))


def statement(row: Row) -> Statement:
    holds = row["applicability"]
    return Statement(
        kind=StatementKind(row["kind"]),
        part=part(row["part"]["maker"], row["part"]["number"]),
        position=row["position"],
        applicability=Applicability(
            specification=f"{row['spec']['model']} {row['spec']['spec']}",
            serials=tuple(SerialRange(entry["first"], entry["last"], entry["prefix"]) for entry in holds["serials"]),
            any_fuel=_fuels(holds["any_fuel"]),
            all_fuels=_fuels(holds["all_fuels"]),
            places=tuple(holds["places"]),
        ),
        by=row["by"],
        source=_source(row),
    )


def application(row: Row) -> Application:
    """An application as a check's body writes it."""
    spec, typed = row.get("spec"), row.get("serial")
    serial = (_scheme(spec) if spec else SerialScheme()).read(typed) if typed else None
    return Application(
        specification=f"{spec['model']} {spec['spec']}" if spec else None,
        serial=serial,
        serial_in_no_block=bool(typed) and serial is None,
        plate_fuels=_fuels(row.get("plate_fuels", ())),
        fuel_records=tuple(_record(entry) for entry in row.get("fuel_records", ())),
        told_as_plate=row.get("told_as_plate", False),
        place_of_use=row.get("place_of_use"),
        dusty=row.get("dusty"),
        certified=row.get("certified"),
        ecu=row.get("ecu"),
    )


def _scheme(spec: Row) -> SerialScheme:
    row = _specifications()[spec["model"], spec["spec"]]
    return SerialScheme(row["maker"], tuple(row.get("serial_prefixes", ("",))))


def _record(row: Row) -> FuelRecord:
    found_on = date.fromisoformat(row["found_on"])
    return FuelRecord(_fuels(row["fuels"]), RecordMode(row["mode"]), found_on, row.get("conversion_paper", False))


def question(row: Row) -> Question:
    """A check's body as the domain asks it, with the facts given at the counter put in their places."""
    spec = row.get("application", {}).get("spec")
    built = engine(spec["model"], spec["spec"]) if spec else None
    facts, replaced = tuple(row.get("facts", ())), row.get("replaces")
    if built is not None:
        positions = tuple(_asked(entry, row.get("position"), facts) for entry in built.positions)
        built = replace(built, positions=positions)
    return Question(
        rulebook=rulebook(),
        candidate=tuple(_item(entry, facts) for entry in _listed(row["candidate"])),
        application=application(row.get("application", {})),
        engine=built,
        position=row.get("position"),
        replaces=part(replaced["maker"], replaced["number"]) if replaced else None,
    )


def _listed(candidate: Any) -> Sequence[Row]:
    return candidate if isinstance(candidate, list) else [{"part": candidate}]


def _item(row: Row, facts: Sequence[Row]) -> Item:
    named = row["part"]
    found = described(named["described"]) if "described" in named else part(named["maker"], named["number"])
    more: dict[Place, tuple[Offer, ...]] = {}
    for fact in facts:
        if fact["about"] == "candidate":
            place, offer = _offer(fact)
            more[place] = (replace(offer, basis=Basis.COUNTER, how=How(fact["how"])),)
    adapters = tuple(part(one["maker"], one["number"]) for one in named.get("with", row.get("with", ())))
    return Item(found.with_offers(more), row.get("quantity"), adapters=adapters)


def _asked(place: Position, code: str | None, facts: Sequence[Row]) -> Position:
    more: dict[Place, tuple[Demand, ...]] = {}
    for fact in facts:
        if fact["about"] == "position" and place.code == code:
            where, offer = _offer(fact)
            more[where] = (Demand(offer.value, Basis.COUNTER, offer.source, How(fact["how"])),)
    return place.with_demands(more)
