"""CSV bytes to a sheet."""

from __future__ import annotations

import csv
import io

from service.tables.sheets import Dialect, Row, Sheet


def read_csv(data: bytes, dialect: Dialect) -> Sheet:
    text = data.decode(dialect.encoding)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=dialect.separator, strict=True)
    header = tuple(cell.strip() for cell in next(reader))
    rows, line = [], reader.line_num + 1
    for cells in reader:
        if cells:
            rows.append(Row(line, dict(zip(header, cells, strict=True))))
        line = reader.line_num + 1
    return Sheet(header, tuple(rows), dialect)
