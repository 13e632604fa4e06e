"""Cells in rows to a sheet: the header looked at, every row against it, and what is damaged named by its line."""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Iterable, Sequence

from service.tables.sheets import LONGEST_CELL, MOST_COLUMNS, MOST_ROWS, Damage, Dialect, Line, Sheet, TableRefused

_LINE_ENDS = frozenset("\n\r\t")


def laid_out(name: str, lines: Iterable[Line], dialect: Dialect) -> Sheet:
    """The sheet of these lines, the first of which is the header. Raises TableRefused for what concerns all of them."""
    filled = ((line, whole) for line in lines if (whole := "".join(line.cells)) and not whole.isspace())
    first, _ = next(filled, (None, ""))
    if first is None:
        raise TableRefused("The file is empty; send a header and at least one row.", code="empty_file")
    header = _header(first)
    width, kept, damages = len(header), list[Line](), list[Damage]()
    for count, (line, whole) in enumerate(filled, start=1):
        if count > MOST_ROWS:
            words = f"There are more than {MOST_ROWS} rows; send them in several files."
            raise TableRefused(words, code="too_many_rows")
        # As nearly every row of a long file is.
        sound = len(line.cells) == width and len(whole) <= LONGEST_CELL and whole.isprintable()
        wrong = () if sound else _damages(line, header)
        damages += wrong
        if not wrong:
            kept.append(line)
    if not kept and not damages:
        raise TableRefused("There is a header and no row below it; the file may be cut short.", code="no_rows")
    return Sheet(name, header, tuple(kept), dialect, tuple(damages))


def _header(line: Line) -> tuple[str, ...]:
    header = [cell.strip() for cell in line.cells]
    while header and not header[-1]:
        header.pop()
    if len(header) > MOST_COLUMNS:
        raise TableRefused(f"There are more than {MOST_COLUMNS} columns.", code="too_many_columns")
    for place, name in enumerate(header, start=1):
        if not name:
            raise TableRefused(f"Column {place} has no name in the header.", code="unnamed_column")
        if _unprintable(name):
            raise TableRefused(f"The name of column {place} has characters that cannot be printed.", code="unprintable")
    twice = [name for name, count in Counter(header).items() if count > 1]
    if twice:
        words = f"The header names {', '.join(repr(name[:60]) for name in twice)} more than once; keep one of each."
        raise TableRefused(words, code="duplicate_header")
    return tuple(header)


def _damages(line: Line, header: Sequence[str]) -> list[Damage]:
    if len(line.cells) < len(header):
        words = f"{len(line.cells)} cells stand in a row of {len(header)} columns; a row may be cut short here."
        return [Damage(line.line, "", "too_few_cells", words)]
    if any(cell.strip() for cell in line.cells[len(header) :]):
        words = f"{len(line.cells)} cells stand in a row of {len(header)} columns; quote a cell with a separator in it."
        return [Damage(line.line, "", "too_many_cells", words)]
    return [
        damage for name, cell in zip(header, line.cells, strict=False) for damage in _cell_damage(line, name, cell)
    ]  # fmt: skip


def _cell_damage(line: Line, name: str, cell: str) -> list[Damage]:
    if len(cell) > LONGEST_CELL:
        words = f"{name}: the cell has {len(cell)} characters and at most {LONGEST_CELL} are read."
        return [Damage(line.line, name, "cell_too_long", words, cell[:80])]
    if _unprintable(cell):
        words = f"{name}: there are characters that cannot be printed, such as NUL; the file may be damaged."
        return [Damage(line.line, name, "unprintable", words, ascii(cell[:40]))]
    return []


def _unprintable(text: str) -> bool:
    return not text.isprintable() and any(
        unicodedata.category(character) in ("Cc", "Cs") and character not in _LINE_ENDS for character in text
    )
