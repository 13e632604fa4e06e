"""A file somebody sent to the tables in it, whatever it is written in."""

from __future__ import annotations

from collections.abc import Collection

from service.tables.csv_files import Measures, read_csv
from service.tables.sheets import MOST_BYTES, Dialect, Sheet, TableRefused
from service.tables.xlsx_files import read_xlsx

_PACKED = b"PK\x03\x04"
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def read_file(
    data: bytes, declared: Dialect, *, tables: Collection[str], table: str | None, measures: Measures
) -> tuple[Sheet, ...]:
    """The tables of a file, in their known order. `table` says which one a file is that cannot say so itself.

    Raises TableRefused for a file that cannot be read, and where the table is not told.
    """
    if len(data) > MOST_BYTES:
        words = f"The file has {len(data)} bytes and at most {MOST_BYTES} are read; send it in parts."
        raise TableRefused(words, code="file_too_large")
    if table is not None and table not in tables:
        raise TableRefused(
            f"There is no table {table[:60]!r}; the tables are {', '.join(tables)}.", code="unknown_table"
        )
    if data.startswith(_OLD_WORKBOOK):
        raise TableRefused("This is an old or a locked workbook; save it as XLSX or CSV.", code="unreadable_workbook")
    if data.startswith(_PACKED):
        return read_xlsx(data, declared, named=tables, only=table)
    if table is None:
        raise TableRefused(f"A CSV file does not say which table it is; name one of {', '.join(tables)}.",
                           code="table_not_named")  # fmt: skip
    return (read_csv(data, declared, name=table, measures=measures),)
