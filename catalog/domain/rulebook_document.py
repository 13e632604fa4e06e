"""A rulebook as one JSON document: joined from reference files, written canonically, compiled, checked for publishing.

Sections keyed by code: `fuels`, `service_classes`, `places_of_use`, `cautions`, `attributes`, `categories` (each with
its `rules`, keyed by code too), `mate_tables`, `order_tables`, `rating_tables`, `reference_tables` (sizes,
glands, tolerances, grades; see `reference_documents`). Sections that are lists: `covers`, `never_serves`, `may_serve`,
`code_floors`. Every row names its source. Measures are written as everywhere else, e.g.
`{"value": "350", "unit": "psi", "reference": "gauge"}`; a tolerance is `{"both": {...}}`, `{"minus", "plus"}` or
`{"percent": "3"}`, and `starts_at` says from which size of the demand on it holds.
"""

from __future__ import annotations

import hashlib
import json
import unicodedata
from collections.abc import Mapping
from dataclasses import replace

from catalog.domain.answers import Answer, Basis
from catalog.domain.document_fields import Fields, refusal, source_of
from catalog.domain.fuels import FuelDefinition, ServiceClass
from catalog.domain.quantities import UNITS, Dimension, Interval, family_of
from catalog.domain.reference_documents import read_reference_tables
from catalog.domain.rule_documents import read_categories, read_when
from catalog.domain.rulebook_joints import read_mate_tables, reading_pitch
from catalog.domain.rulebook_malformed import malformed_rows
from catalog.domain.rulebook_names import unknown_names
from catalog.domain.rulebook_orders import ordered
from catalog.domain.rulebook_tightness import loosened, noted_though_rejecting
from catalog.domain.rules import (
    AttributeDefinition,
    Caution,
    CodeFloor,
    FuelRole,
    MayServe,
    NeverServes,
    OrderTable,
    RatingTable,
    Rulebook,
    Tables,
)
from catalog.domain.value_documents import read_value
from catalog.domain.values import Demand, Kind, Slot, Value
from service.errors import FieldProblem, Invalid

KEYED = ("fuels", "service_classes", "places_of_use", "cautions", "attributes", "categories", "mate_tables",
         "order_tables", "rating_tables", "reference_tables")  # fmt: skip
LISTED = ("covers", "never_serves", "may_serve", "code_floors")
SECTIONS = (*KEYED, *LISTED)
PLACE = "place_of_use"  # the attribute whose vocabulary the places of use are
_MEASURED = frozenset({Kind.QUANTITY, Kind.RANGE})


def assemble(parts: Mapping[str, object]) -> dict[str, object]:
    """One document from the contents of several files by their stem: each holds some sections, rows of all are joined.

    Raises Invalid where two files hold the same code of a section, or one holds something that is no section.
    """
    document: dict[str, object] = {section: {} for section in KEYED} | {section: [] for section in LISTED}
    for stem in sorted(parts):
        content = Fields.of(parts[stem], f"/{stem}", SECTIONS)
        for section in content.raw:
            joined = document[section]
            if isinstance(joined, list):
                joined.extend(content.items(section))
            elif isinstance(joined, dict):
                _join(joined, Fields.of(content.raw[section], content.path(section)))
    return document


def _join(joined: dict[str, object], section: Fields) -> None:
    for code, row in section.raw.items():
        if code in joined:
            raise refusal(section.path(code), "another file holds this code too; keep one of the two", "held_twice")
        joined[code] = row


def canonical(document: Mapping[str, object]) -> str:
    """The one text of a document: keys sorted, no spaces, composed characters. Raises Invalid for inexact numbers."""
    return json.dumps(_exact(document, ""), sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def _exact(node: object, pointer: str) -> object:
    if isinstance(node, str):
        return unicodedata.normalize("NFC", node)
    if isinstance(node, Mapping):
        return {_exact(key, pointer): _exact(entry, f"{pointer}/{key}") for key, entry in node.items()}
    if isinstance(node, (list, tuple)):
        return [_exact(entry, f"{pointer}/{place}") for place, entry in enumerate(node)]
    if node is None or isinstance(node, (bool, int)):
        return node
    raise refusal(pointer, f"{node!r} has no exact form; write numbers as text")


def digest_of(document: Mapping[str, object]) -> str:
    """SHA-256 of the canonical text, in hexadecimal."""
    return hashlib.sha256(canonical(document).encode()).hexdigest()


def rulebook_from_document(document: Mapping[str, object], *, number: int, digest: str = "") -> Rulebook:
    """Compile a document. Raises Invalid with the path of the first thing that is malformed or names the unknown."""
    rulebook = replace(_compiled(document), number=number, digest=digest)
    unknown = unknown_names(rulebook)
    if unknown:
        raise refusal(unknown[0].pointer, unknown[0].detail, unknown[0].code)
    return rulebook


def publication_problems(document: Mapping[str, object], shipped: Mapping[str, object]) -> tuple[FieldProblem, ...]:
    """Why a draft may not be published, each with the path of what is wrong; none where it may.

    A draft must be well formed and name only what it holds; a rule that rejects may not let the unknown pass with a
    note; and nothing at the gate may be looser than in the shipped document. While something is malformed, that alone
    is told: what is malformed cannot be compared.
    """
    try:
        draft = _compiled(document)
    except Invalid:
        return malformed_rows(document, _compiled)
    return (*unknown_names(draft), *noted_though_rejecting(draft), *loosened(draft, _compiled(shipped)))


def _compiled(document: Mapping[str, object]) -> Rulebook:
    top = Fields.of(document, "", SECTIONS)
    fuels, classes = _fuels(top), _service_classes(top)
    attributes, mates = _attributes(top, fuels, classes), read_mate_tables(top)
    categories = read_categories(top, attributes)
    return Rulebook(
        attributes=attributes,
        categories={code: reading_pitch(category, mates, attributes) for code, category in categories.items()},
        fuels=fuels,
        classes=classes,
        covers={
            (row.text("recorded"), covered): source_of(row)
            for row in top.rows("covers", ("recorded", "covers", "source"))
            for covered in row.texts("covers")
        },
        never_serves=_never_serves(top),
        may_serve=_may_serve(top),
        code_floors=_code_floors(top, attributes),
        cautions={
            code: Caution(code, row.text("text"), source_of(row), row.texts("families"), row.texts("places"))
            for code, row in top.named("cautions", ("text", "defers_to", "families", "places", "source"))
        },
        tables=Tables(mates, _order_tables(top), _rating_tables(top), read_reference_tables(top)),
    )


def _fuels(top: Fields) -> dict[str, FuelDefinition]:
    keys = ("name", "family", "grades", "usual", "covered_by_bare_name", "source")
    return {
        code: FuelDefinition(
            code=code,
            name=row.text("name"),
            family=row.text("family"),
            grades=row.texts("grades"),
            usual=row.text("usual", ""),
            covered_by_bare_name=row.texts("covered_by_bare_name"),
            source=source_of(row),
        )
        for code, row in top.named("fuels", keys)
    }


def _service_classes(top: Fields) -> dict[str, ServiceClass]:
    keys = ("name", "fuel_family", "gas", "liquid", "container_pressure", "grades", "regime", "source")
    return {
        code: ServiceClass(
            code=code,
            name=row.text("name"),
            fuel_family=row.text("fuel_family"),
            gas=row.flag("gas"),
            container_pressure=row.flag("container_pressure"),
            source=source_of(row),
            grades=row.texts("grades"),
            liquid=row.flag("liquid"),
        )
        for code, row in top.named("service_classes", keys)
    }


def _attributes(
    top: Fields, fuels: Mapping[str, FuelDefinition], classes: Mapping[str, ServiceClass]
) -> dict[str, AttributeDefinition]:
    places = tuple(code for code, _ in top.named("places_of_use", ("name", "changes", "source")))
    graded = (f"{code}:{grade}" for code, fuel in fuels.items() for grade in fuel.grades)
    vocabularies = {"fuels": (*fuels, *graded), "service_classes": tuple(classes), "places_of_use": places}
    keys = ("name", "kind", "dimension", "unit", "vocabulary", "vocabulary_of", "slots", "geometry", "fuel_dependent",
            "of_piece", "signed", "source")  # fmt: skip
    return {code: _attribute(code, row, vocabularies) for code, row in top.named("attributes", keys)}


def _attribute(code: str, row: Fields, vocabularies: Mapping[str, tuple[str, ...]]) -> AttributeDefinition:
    kind = row.one_of("kind", Kind)
    dimension = row.one_of("dimension", Dimension) if kind in _MEASURED else None
    unit = row.text("unit", "" if dimension is None else None)
    if dimension is not None and (unit not in UNITS or UNITS[unit].family != family_of(dimension)):
        raise refusal(row.path("unit"), f"{unit!r} is no unit of {family_of(dimension)}", "unknown_unit")
    shared = row.text("vocabulary_of", "")
    if shared and shared not in vocabularies:
        raise refusal(row.path("vocabulary_of"), f"{shared!r} is none of {', '.join(vocabularies)}", "unknown_code")
    return AttributeDefinition(
        code=code,
        name=row.text("name"),
        kind=kind,
        dimension=dimension,
        unit=unit,
        vocabulary=vocabularies[shared] if shared else row.texts("vocabulary"),
        slots=_slots(row),
        geometry=row.flag("geometry"),
        fuel_dependent=row.flag("fuel_dependent"),
        of_piece=row.flag("of_piece"),
        signed=row.flag("signed"),
        source=source_of(row),
    )


def _slots(row: Fields) -> tuple[Slot, ...]:
    """Null is the part itself: a connector stands on a sensor, and on both ends of an adapter lead."""
    found = row.items("slots")
    if any(slot is not None and not isinstance(slot, str) for slot in found):
        raise refusal(row.path("slots"), "every entry of this list is a text, or null for the part itself")
    return tuple(slot for slot in found if slot is None or isinstance(slot, str)) or (None,)


def _never_serves(top: Fields) -> tuple[NeverServes, ...]:
    keys = ("made_for", "must_not_serve", "roles", "reason", "source")
    return tuple(
        NeverServes(
            made_for=row.texts("made_for"),
            must_not_serve=row.texts("must_not_serve"),
            roles=tuple(_role(row, role) for role in row.texts("roles")),
            reason=row.text("reason"),
            source=source_of(row),
        )
        for row in top.rows("never_serves", keys)
    )


def _role(row: Fields, role: str) -> FuelRole:
    return Fields({"roles": role}, row.pointer).one_of("roles", FuelRole)


def _may_serve(top: Fields) -> tuple[MayServe, ...]:
    return tuple(
        MayServe(row.text("offered"), row.text("position"), row.text("condition", ""), source_of(row), read_when(row))
        for row in top.rows("may_serve", ("offered", "position", "condition", "source", "when"))
    )


def _code_floors(top: Fields, attributes: Mapping[str, AttributeDefinition]) -> tuple[CodeFloor, ...]:
    floors = []
    for row in top.rows("code_floors", ("classes", "category", "attribute", "value", "unless_stated", "source")):
        attribute = row.text("attribute")
        if attribute not in attributes or attributes[attribute].kind not in _MEASURED:
            raise refusal(row.path("attribute"), f"there is no measured attribute {attribute!r}", "unknown_name")
        value = _value(row, "value", attributes[attribute])
        demand = Demand(value, Basis.CODE_FLOOR, source_of(row))
        floors.append(
            CodeFloor(row.texts("classes"), row.text("category"), attribute, demand, row.flag("unless_stated"))
        )
    return tuple(floors)


def _order_tables(top: Fields) -> dict[str, OrderTable]:
    tables = {}
    for code, table in top.named("order_tables", ("name", "families", "chains", "pairs", "source")):
        families = Fields.of(table.get("families"), table.path("families"))
        pairs, conditions = {}, {}
        for row in table.rows("pairs", ("offered", "demanded", "answer", "because", "condition")):
            pair = (row.text("offered"), row.text("demanded"))
            pairs[pair] = row.one_of("answer", Answer)
            if pairs[pair] is Answer.MET_IF:
                conditions[pair] = row.text("condition")
        members = {member: families.text(member) for member in families.raw}
        tables[code] = ordered(table, OrderTable(code, members, pairs, conditions))
    return tables


def _rating_tables(top: Fields) -> dict[str, RatingTable]:
    tables = {}
    for code, table in top.named("rating_tables", ("name", "grades", "windows", "media", "source")):
        grades = {
            (row.text("material"), row.text("medium")): row.text("grade")
            for row in table.rows("grades", ("material", "medium", "grade", "source"))
        }
        windows, special = {}, {}
        for row in table.rows("windows", ("material", "window", "special", "source")):
            windows[row.text("material")] = _window(row, "window")
            if row.has("special"):
                special[row.text("material")] = _window(row, "special")
        named = Fields.of(table.raw.get("media") or {}, table.path("media"))
        media = {medium: named.text(medium) for medium in named.raw}
        tables[code] = RatingTable(code, grades, windows, special, media)
    return tables


def _value(row: Fields, key: str, definition: AttributeDefinition) -> Value:
    try:
        return read_value(row.get(key), definition, pointer=row.path(key))
    except Invalid as error:
        raise refusal(error.pointer or row.path(key), error.message, error.code) from None


_TEMPERATURE = AttributeDefinition("window", "temperature window", Kind.RANGE, Dimension.TEMPERATURE, "degC")


def _window(row: Fields, key: str) -> Interval:
    payload = _value(row, key, _TEMPERATURE).payload
    if not isinstance(payload, Interval):
        raise refusal(row.path(key), "a range of temperature is expected here")
    return payload
