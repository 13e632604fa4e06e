"""The demo's tables as they lie in a folder: `<table>.csv`, and all files of a folder `<table>/` together."""

from __future__ import annotations

from pathlib import Path

from catalog.domain.import_reading import TABLES, TableText
from service.tables.csv_files import read_csv
from service.tables.sheets import Dialect, TableRefused

_DIALECT = Dialect(separator="comma", decimal="point", encoding="utf-8")


def demo_tables(folder: Path) -> tuple[TableText, ...]:
    """Every table of the folder, comma separated and in UTF-8. Raises what `read_csv` raises."""
    found: list[TableText] = []
    for name in TABLES:
        for file in sorted((*folder.glob(f"{name}.csv"), *folder.glob(f"{name}/*.csv"))):
            sheet, label = read_csv(file.read_bytes(), _DIALECT, name=name), str(file.relative_to(folder))
            if sheet.damages:
                raise TableRefused("; ".join(f"{label} line {wrong.line}: {wrong.detail}" for wrong in sheet.damages))
            found.append(TableText(name, sheet.header, sheet.rows, label=label))
    return tuple(found)
