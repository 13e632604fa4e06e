"""The table `statements`: what a maker says of a part at a position, in its document form."""

from __future__ import annotations

from catalog.domain.import_cells import serial_range
from catalog.domain.import_parts import part_key, source_of
from catalog.domain.import_rows import Gathering, RowReader
from catalog.domain.import_tables import CODE_LENGTH, Aggregate, Column, Reading, Table
from catalog.domain.parts import StatementKind

_NAMED = ("kind", "model", "spec", "position", "by")
_FACETS = ("serials", "any_fuel", "all_fuels", "places")


def _key(row: RowReader) -> tuple[str, ...] | None:
    """The whole sentence: two rows that say the same are one statement."""
    named = [row.needed(column, "it; a statement says it", longest=CODE_LENGTH) for column in _NAMED]
    part, rest = part_key(row), (*_FACETS, "source_kind", "source")
    if part is None or None in named:
        return None
    return (*part, *(text or "" for text in named), *(row.text(column) or "" for column in rest))


def _read(row: RowReader, stated: Gathering, _: Reading) -> None:
    maker, number = row.text("maker"), row.text("number")
    spec = {"model": row.text("model"), "spec": row.text("spec")}
    stated.put("kind", row.one_of("kind", StatementKind), row.cell("kind"))
    stated.put("part", {"maker": maker, "number": number}, row.cell("number"))
    stated.put("spec", spec, row.cell("spec"))
    stated.put("position", row.text("position"), row.cell("position"))
    stated.put("by", row.text("by"), row.cell("by"))
    stated.put("source", source_of(row), row.cell("source"))
    stated.put("applicability", _applicability(row), row.whole_row)
    stated.cells |= {f"/applicability/{facet}": row.cell(facet) for facet in _FACETS}


def _applicability(row: RowReader) -> dict[str, object]:
    facets = {facet: row.several(facet) or [] for facet in _FACETS if facet != "serials"}
    return {"serials": row.each("serials", serial_range, known_by=lambda entry: (*entry.values(),)) or [], **facets}


STATEMENTS = Table(
    name="statements",
    says="A sentence of a maker a row. A statement is added where it is not there yet.",
    aggregate=Aggregate.STATEMENT,
    key=_key,
    read=_read,
    columns=(
        Column("kind", f"One of {', '.join(StatementKind)}.", "specified", needed=True),
        Column("maker", "The part's maker.", "OLM", needed=True),
        Column("number", "The part number exactly as printed. Keep the cell as text.", "3140", needed=True),
        Column("model", "The engine model.", "OLM-K55", needed=True),
        Column("spec", "The number of the build.", "D-30A", needed=True),
        Column("position", "The position's code in that specification.", "fuel_feed_hose", needed=True),
        Column("by", "Who says it: a maker's short name.", "OLM", needed=True),
        Column("serials", "The serial numbers it holds for, both ends included; empty is all of them.",
               "..204999 | A 100..200"),
        Column("any_fuel", "It holds where one of these fuels is burned.", "lpg_liquid | lpg_vapour"),
        Column("all_fuels", "It holds where the engine burns all of these.", "natural_gas | lpg_vapour"),
        Column("places", "The places of use it holds for; empty is all of them.", "indoor"),
        Column("source_kind", "What sort of source says it.", "maker", needed=True),
        Column("source", "The source itself.", "parts book 2025", needed=True),
    ),
)  # fmt: skip
