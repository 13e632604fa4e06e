"""A kit's lines as CSV (RFC 4180), in UTF-8 with its mark, so that a spreadsheet reads names as they are.

Units are codes of UN/ECE Recommendation 20: H87 (piece) as quoted by lists that are published, LTR (litre) from memory.
A cell that a spreadsheet would take for a formula gets an apostrophe in front (common practice, no source).
"""

from __future__ import annotations

import csv
import io
from typing import Any

from kits.domain.kit_lines import Unit
from kits.domain.kit_settling import SETTLED, LineState
from kits.loading.kits import LoadedKit, LoadedLine
from kits.usecases.kit_shelves import litres

COLUMNS = (
    "line", "position", "maker", "number", "name", "quantity", "unit", "unit_code", "take", "tasks", "asked_by",
    "state", "settled", "check", "words", "missing", "to_follow",
)  # fmt: skip
UNITS = {Unit.EACH: ("piece", "H87"), Unit.MICROLITRE: ("litre", "LTR")}
FORMULA = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20")
BREAKS = ("\t", "\r", "\n")
BYTE_ORDER_MARK = "\ufeff"


def lines_table(loaded: LoadedKit) -> str:
    text = io.StringIO(newline="")
    rows = csv.writer(text)
    rows.writerow(COLUMNS)
    for line in loaded.lines:
        rows.writerow(tuple(safe(cell) for cell in _cells(line)))
    return BYTE_ORDER_MARK + text.getvalue()


def safe(cell: Any) -> str:
    """The cell as text that no spreadsheet works out; full-width signs are taken for the plain ones."""
    text = "" if cell is None else str(cell)
    return f"'{text}" if text.lstrip(" \u00a0").startswith(FORMULA) or text.startswith(BREAKS) else text


def _cells(line: LoadedLine) -> tuple[Any, ...]:
    row = line.row
    unit, code = UNITS[Unit(row.unit)]
    each = row.unit == Unit.EACH
    part = row.part
    return (
        row.line,
        row.position,
        part.maker.code if part else "",
        part.number if part else "",
        part.name if part else "",
        row.quantity if each else litres(row.quantity),
        unit,
        code,
        "; ".join(_take(line)),
        "; ".join(row.tasks),
        row.asked_by,
        row.state,
        "yes" if LineState(row.state) in SETTLED else "no",
        row.check_made_id,
        " ".join(row.words),
        " ".join(one["question"] for one in row.missing),
        row.to_follow_why,
    )


def _take(line: LoadedLine) -> list[str]:
    """What is taken from the shelf: pieces, or containers of so many litres."""
    return [
        f"{use.quantity} x {use.part.shown}" + (f", {litres(use.content)} litre" if use.content is not None else "")
        for use, _ in line.uses
    ]
