"""The tables `parts` and `attributes`: what is read of a part, in the document form of a part."""

from __future__ import annotations

from operator import itemgetter

from catalog.domain.answers import SourceKind
from catalog.domain.import_cells import barcode, counted_part
from catalog.domain.import_rows import Gathering, RowReader
from catalog.domain.import_tables import (
    CITATION_LENGTH,
    MAKER_LENGTH,
    NAME_LENGTH,
    NUMBER_LENGTH,
    VALUE_PREFIX,
    Aggregate,
    Column,
    Reading,
    Table,
    ValueColumn,
    value_column,
)
from catalog.domain.number_damage import refuse_damage
from catalog.domain.parts import PartCondition, SuppliedAs
from catalog.domain.value_text import MISSING, MeasuredIn, measured_in, value_document

_SOURCE = (
    Column(
        "source_kind",
        f"What sort of source states the values of this row: {', '.join(SourceKind)}. Needed where a value is stated.",
        "maker",
    ),
    Column("source", "The source itself. Values of other sources stay beside these.", "data sheet 2025"),
)


def part_key(row: RowReader) -> tuple[str, ...] | None:
    """Maker and number, refused where a spreadsheet has made something else of the number."""
    maker = row.needed("maker", "the maker's short name, like OLM", longest=MAKER_LENGTH)
    number = row.needed("number", "the part number as it is printed", longest=NUMBER_LENGTH)
    if number is not None:
        undamaged(row, "number")
    return (maker, number) if maker is not None and number is not None and not row.problems else None


def undamaged(row: RowReader, column: str) -> None:
    """Refuse a number that a spreadsheet has changed: what stood there before cannot be told from it."""
    with row.reading(column):
        refuse_damage(row.text(column) or "", converted=row.was_converted(column))


def _read_part(row: RowReader, part: Gathering, reading: Reading) -> None:
    part.put("maker", part.key[0], row.cell("maker"))
    part.put("number", part.key[1], row.cell("number"))
    for column in ("maker_name", "name", "category"):
        _put(row, part, column, row.text(column, longest=NAME_LENGTH))
    _put(row, part, "status", _status(row))
    _put(row, part, "supplied_as", row.one_of("supplied_as", SuppliedAs))
    _put(row, part, "condition", row.one_of("condition", PartCondition))
    if row.text("barcodes"):
        undamaged(row, "barcodes")
        _put(row, part, "barcodes", row.each("barcodes", barcode, known_by=itemgetter("code")))
    for column in ("contains", "needs"):
        _put(row, part, column, row.each(column, counted_part, known_by=lambda entry: (*entry["part"].values(),)))
    _put(row, part, "matched_set", row.flag("matched_set"))
    _read_values(row, part, reading.value_columns)


def _status(row: RowReader) -> str | None:
    found = row.text("status")
    if found not in (None, "active", "withdrawn"):
        row.refuse("status", "unknown_code", f"status: {found!r} was given; use active or withdrawn.")
        return None
    return found


def _put(row: RowReader, part: Gathering, column: str, value: object) -> None:
    if value is not None:
        part.put(column, value, row.cell(column))


def _read_values(row: RowReader, part: Gathering, columns: tuple[ValueColumn, ...]) -> None:
    stated = [(column, text) for column in columns if (text := row.text(column.header)) is not None]
    source = (source_of(row) or _NO_SOURCE) if stated else _NO_SOURCE
    for column, text in stated:
        _value(row, part, column, text, source)


# A row whose source is refused is not taken; its values are read all the same, to tell what is wrong with them too.
_NO_SOURCE = {"kind": SourceKind.RECORD.value, "citation": ""}


def source_of(row: RowReader) -> dict[str, str] | None:
    """The source of what a row states; both cells are needed."""
    kind, citation = row.one_of("source_kind", SourceKind), row.text("source", longest=CITATION_LENGTH)
    if not row.text("source_kind"):
        row.refuse("source_kind", "missing", f"source_kind is empty; give one of {', '.join(SourceKind)}.")
    if not row.text("source"):
        row.refuse("source", "missing", "source is empty; say where the values of this row come from.")
    return {"kind": kind, "citation": citation} if kind and citation else None


def _value(row: RowReader, part: Gathering, column: ValueColumn, text: str, source: dict[str, str]) -> None:
    """Add one value of one source; the word `missing` takes back what that source stated."""
    place = {"attribute": column.definition.code, "slot": column.slot}
    known_by = (column.definition.code, column.slot, source["kind"], source["citation"])
    with row.reading(column.header):
        taken_back = text == MISSING
        value = None if taken_back else value_document(
            text, column.definition, measured_in=column.measured_in, decimal=row.decimal
        )  # fmt: skip
        entry = {**place, "source": source} if taken_back else {**place, "value": value, "source": source}
        part.append("taken_back" if taken_back else "attributes", entry,
                    known_by=known_by, value=value, cell=row.cell(column.header))  # fmt: skip


def _read_attribute(row: RowReader, part: Gathering, reading: Reading) -> None:
    part.put("maker", part.key[0], row.cell("maker"))
    part.put("number", part.key[1], row.cell("number"))
    code, text, source = row.needed("attribute", "its code"), row.needed("value", "the value"), source_of(row)
    if code is None or text is None or source is None:
        return
    with row.reading("attribute"):
        known = value_column(f"{VALUE_PREFIX}{code}", reading.attributes)
        column = ValueColumn("value", known.definition, row.text("slot"), _unit(row))
        _value(row, part, column, text, source)


def _unit(row: RowReader) -> MeasuredIn | None:
    written = row.text("unit")
    if written is not None:
        with row.reading("unit"):
            return measured_in(written)
    return None


PARTS = Table(
    name="parts",
    says="A part a row. What a row does not mention stays as it is.",
    aggregate=Aggregate.PART,
    key=part_key,
    read=_read_part,
    takes_values=True,
    columns=(
        Column("maker", "The maker's short name.", "OLM", needed=True),
        Column("maker_name", "The maker's name in full, for a maker that is new.", "Olmsey Diesel"),
        Column("number", "The part number exactly as printed. Keep the cell as text.", "0021-460", needed=True),
        Column("name", "What it is, in words.", "oil filter"),
        Column("category", "The code of its category, see GET /categories/. Needed for a part that is new.",
               "oil_filter"),
        Column("status", "active or withdrawn.", "active"),
        Column("supplied_as", f"How it is sold: {', '.join(SuppliedAs)}.", "piece"),
        Column("condition", f"One of {', '.join(PartCondition)}; new where a new part does not say.", "new"),
        Column("barcodes", "Trade item numbers, several with | between them, each with how many are in the package "
               "where that is not one.", "9520000021467 | 19520000021464 x12"),
        Column("contains", "The parts in a kit or set: maker, a space, number, and how many where it is not one.",
               "OLM 8812-1 x2 | OLM 8812-2"),
        Column("matched_set", "yes where what it contains is only ever fitted together.", "no"),
        Column("needs", "Parts that are needed with it, written like contains.", "OLM 0300-14"),
        *_SOURCE,
    ),
)  # fmt: skip

ATTRIBUTES = Table(
    name="attributes",
    says="A value a row, of a part that is there or that the table parts of the same file adds.",
    aggregate=Aggregate.PART,
    key=part_key,
    read=_read_attribute,
    columns=(
        Column("maker", "The maker's short name.", "OLM", needed=True),
        Column("number", "The part number exactly as printed. Keep the cell as text.", "0021-460", needed=True),
        Column("attribute", "The code of the attribute, see GET /categories/.", "max_pressure", needed=True),
        Column("slot", "Where on the part, for attributes that have slots.", "inlet"),
        Column("value", "The value; missing takes back what this source stated.", "310 kPa gauge", needed=True),
        Column("unit", "Unit and reference, where the value is the number alone.", "kPa gauge"),
        *_SOURCE,
    ),
)
