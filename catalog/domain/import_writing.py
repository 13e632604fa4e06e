"""The opposite of reading tables: documents as the rows that are read back to them. Values go a row each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from catalog.domain.import_cells import barcode_text, counted_part_text, medium_text, port_text, serial_text
from catalog.domain.import_engines import BETWEEN_DEMANDS, NO_PREFIX, POSITIONS, SPECIFICATIONS, SUPPLY_STAGES
from catalog.domain.import_nesting import flattened
from catalog.domain.import_parts import ATTRIBUTES, PARTS
from catalog.domain.import_statements import STATEMENTS
from catalog.domain.rules import AttributeDefinition
from catalog.domain.value_documents import read_value
from catalog.domain.value_text import BETWEEN_CODES, value_text
from service.errors import Invalid

Document = Mapping[str, Any]
Attributes = Mapping[str, AttributeDefinition]
Rows = list[dict[str, str]]
_BETWEEN = f" {BETWEEN_CODES} "


def written_tables(
    parts: Sequence[Document],
    specifications: Sequence[Document],
    statements: Sequence[Document],
    attributes: Attributes,
) -> dict[str, Rows]:
    """The rows of each table, by its name. Raises Invalid for what a cell cannot hold."""
    return {
        PARTS.name: [_part(part) for part in parts],
        ATTRIBUTES.name: [row for part in parts for row in _values(part, attributes)],
        SPECIFICATIONS.name: [_specification(built) for built in specifications],
        POSITIONS.name: [row for built in specifications for row in _positions(built, attributes)],
        SUPPLY_STAGES.name: [row for built in specifications for row in _stages(built, attributes)],
        STATEMENTS.name: [_statement(stated) for stated in statements],
    }


def _part(part: Document) -> dict[str, str]:
    heads = ("maker", "maker_name", "number", "name", "category", "status", "supplied_as", "condition")
    row = _texts(part, heads)
    for column, text in (("barcodes", barcode_text), ("contains", counted_part_text), ("needs", counted_part_text)):
        row[column] = _BETWEEN.join(text(entry) for entry in part.get(column, ()))
    return row


def _values(part: Document, attributes: Attributes) -> Iterator[dict[str, str]]:
    for entry in part.get("attributes", ()):
        row = {"maker": part["maker"], "number": part["number"], "attribute": entry["attribute"]}
        yield {**row, "slot": entry.get("slot") or "", "value": _value(entry, attributes), **_source(entry)}


def _value(entry: Document, attributes: Attributes) -> str:
    return value_text(read_value(entry["value"], attributes[entry["attribute"]], pointer=""))


def _source(entry: Document) -> dict[str, str]:
    return {"source_kind": entry["source"]["kind"], "source": entry["source"]["citation"]}


def _specification(built: Document) -> dict[str, str]:
    row = _texts(built, ("maker", "maker_name", "model", "spec", "name", "cylinders", "heads", "status"))
    prefixes = [prefix or NO_PREFIX for prefix in built.get("serial_prefixes", ())]
    return {**row, "fuels": _BETWEEN.join(built.get("fuels", ())), "serial_prefixes": _BETWEEN.join(prefixes)}


def _positions(built: Document, attributes: Attributes) -> Iterator[dict[str, str]]:
    for position in flattened(list(built.get("positions", ()))):
        row = _texts(position, ("name", "category", "quantity", "branch", "inside_of", "adapter_forbidden"))
        row |= {"model": built["model"], "spec": built["spec"], "position": position["code"]}
        row["carries_fuel"] = {None: "", True: "yes", False: "no"}[position.get("carries_fuel")]
        row["ports"] = _BETWEEN.join(port_text(port) for port in position.get("ports", ()))
        row["media"] = _BETWEEN.join(medium_text(medium) for medium in position.get("media", ()))
        yield {**row, **_demands(position, attributes)}


def _demands(position: Document, attributes: Attributes) -> dict[str, str]:
    demands, named = position.get("demands", ()), f"The demands of {position['code']}"
    if any(demand.get("basis", "stated") != "stated" for demand in demands):
        raise Invalid(f"{named} are worked out; a row holds those that are stated.", code="not_for_a_cell")
    return _in_one_cell("demands", demands, named, attributes)


def _stages(built: Document, attributes: Attributes) -> Iterator[dict[str, str]]:
    counts = Counter[str]()
    for stage in built.get("supply_stages", ()):
        counts[stage["fuel"]] += 1
        row = _texts(stage, ("fuel", "kind", "name", "position"))
        row |= {"model": built["model"], "spec": built["spec"], "stage": str(counts[stage["fuel"]])}
        named = f"The values of the {stage['kind']} of {stage['fuel']}"
        yield {**row, **_in_one_cell("values", stage.get("values", ()), named, attributes)}


def _in_one_cell(column: str, values: Sequence[Document], named: str, attributes: Attributes) -> dict[str, str]:
    if not values:
        return {}
    if len({tuple(_source(stated).items()) for stated in values}) > 1:
        raise Invalid(f"{named} are of several sources; a row holds those of one.", code="not_for_a_cell")
    texts = [f"{_place(stated)} = {_value(stated, attributes)}" for stated in values]
    if any(BETWEEN_DEMANDS in text for text in texts):
        raise Invalid(f"{named} have a {BETWEEN_DEMANDS} in one of them.", code="not_for_a_cell")
    return {column: f"{BETWEEN_DEMANDS} ".join(texts), **_source(values[0])}


def _place(entry: Document) -> str:
    return f"{entry['attribute']}@{entry['slot']}" if entry.get("slot") else str(entry["attribute"])


def _statement(stated: Document) -> dict[str, str]:
    holds = stated["applicability"]
    row = {
        "kind": stated["kind"],
        **stated["part"],
        **stated["spec"],
        "position": stated["position"],
        "by": stated["by"],
    }
    row["serials"] = _BETWEEN.join(serial_text(entry) for entry in holds.get("serials", ()))
    return {
        **row,
        **{name: _joined(holds.get(name, ())) for name in ("any_fuel", "all_fuels", "places")},
        **_source(stated),
    }


def _joined(texts: Iterable[str]) -> str:
    return _BETWEEN.join(texts)


def _texts(document: Document, names: Iterable[str]) -> dict[str, str]:
    return {name: "" if document.get(name) is None else str(document[name]) for name in names}
