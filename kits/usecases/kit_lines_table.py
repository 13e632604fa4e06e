"""A kit's lines as a table, for CSV and XLSX alike.

Units are codes of UN/ECE Recommendation 20: H87 (piece) as quoted by lists that are published, LTR (litre) from memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from kits.domain.kit_lines import Unit
from kits.domain.kit_settling import SETTLED, LineState
from kits.loading.kits import LoadedKit, LoadedLine
from kits.models import KitLine
from kits.usecases.kit_shelves import litres
from service.papers.tables import Cell, Column, ColumnKind

COLUMNS = (
    Column("line", ColumnKind.NUMBER), Column("position", ColumnKind.CODE), Column("maker", ColumnKind.CODE),
    Column("number", ColumnKind.CODE), Column("name"), Column("quantity", ColumnKind.NUMBER), Column("unit"),
    Column("unit_code", ColumnKind.CODE), Column("take"), Column("tasks"), Column("asked_by"), Column("state"),
    Column("settled"), Column("check", ColumnKind.CODE), Column("words"), Column("missing"), Column("to_follow"),
)  # fmt: skip
UNITS = {Unit.EACH: ("piece", "H87"), Unit.MICROLITRE: ("litre", "LTR")}


def line_rows(loaded: LoadedKit) -> Iterator[Sequence[Cell]]:
    return map(_cells, loaded.lines)


def _cells(line: LoadedLine) -> tuple[Cell, ...]:
    row = line.row
    unit, code = UNITS[Unit(row.unit)]
    part = row.part
    return (
        row.line,
        row.position,
        part.maker.code if part else "",
        part.number if part else "",
        part.name if part else "",
        _quantity(row),
        unit,
        code,
        "; ".join(_take(line)),
        "; ".join(row.tasks),
        row.asked_by,
        row.state,
        "yes" if LineState(row.state) in SETTLED else "no",
        None if row.check_made_id is None else str(row.check_made_id),
        " ".join(row.words),
        " ".join(one["question"] for one in row.missing),
        row.to_follow_why,
    )


def _quantity(row: KitLine) -> Cell:
    """Pieces, or litres of a fluid."""
    whole = litres(row.quantity)
    return row.quantity if row.unit == Unit.EACH or whole is None else Decimal(whole)


def _take(line: LoadedLine) -> list[str]:
    """What is taken from the shelf: pieces, or containers of so many litres."""
    return [
        f"{use.quantity} x {use.part.shown}" + (f", {litres(use.content)} litre" if use.content is not None else "")
        for use, _ in line.uses
    ]
