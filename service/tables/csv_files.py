"""CSV bytes to a sheet. What is not declared is found strictly, and what can be read two ways is refused."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import chain

from service.tables.laying_out import laid_out
from service.tables.sheets import ENCODINGS, SEPARATORS, Dialect, Line, Sheet, TableRefused

Measures = Callable[[str], bool]
_LONGEST_HEADER = 100_000
_NUMBER_WITH = r"(?<![\w,])(?<!\d\.)[+-]?\d+%s(?![\w,]|\.\d)"
_MARKED = re.compile(_NUMBER_WITH % r"[.,]\d+")
# Exactly three digits behind the mark may be thousands, and tell nothing.
_TELLING = {mark: re.compile(_NUMBER_WITH % rf"[{mark}](?:\d\d?|\d{{4,}})") for mark in (".", ",")}
# With both marks the first one groups thousands, and the last one is the decimal mark.
_GROUPED = {
    mark: re.compile(rf"(?<![\w.,])[+-]?\d{{1,3}}(?:[{group}]\d{{3}})+[{mark}]\d+(?![\w.,])")
    for mark, group in ((".", ","), (",", "."))
}
_NUMBER = re.compile(r"[+-]?[\d.,]*\d[\d.,]*")


def read_csv(data: bytes, declared: Dialect, *, name: str = "", measures: Measures = lambda _: False) -> Sheet:
    """The table in these bytes. `measures` says which columns hold measures, from which a decimal mark can be told.

    Raises TableRefused for bytes that are in no known encoding, a header that does not tell its separator, a decimal
    mark that cannot be told, a quote that is never closed, and what `laid_out` refuses.
    """
    encoding, text = _decoded(data, declared)
    separator = declared.separator or _separator(text)
    dialect = Dialect(separator, declared.decimal, encoding)
    sheet = laid_out(name, _lines(text, SEPARATORS[separator]), dialect)
    decimal = declared.decimal or _decimal(sheet, measures)
    return replace(sheet, dialect=replace(dialect, decimal=decimal))


def _decoded(data: bytes, declared: Dialect) -> tuple[str, str]:
    encoding = _marked_encoding(data)
    if encoding and declared.encoding not in (None, encoding):
        words = f"The file starts with the mark of {encoding} and {declared.encoding} is declared; declare {encoding}."
        raise TableRefused(words, code="encoding_contradicted")
    encoding = encoding or declared.encoding or "utf-8"
    try:
        return encoding, data.decode(ENCODINGS[encoding])
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        words = f"Line {line} has bytes that are not {encoding}; declare the encoding, one of {', '.join(ENCODINGS)}."
        raise TableRefused(words, code="undecidable_encoding") from None


def _marked_encoding(data: bytes) -> str | None:
    if data.startswith(codecs.BOM_UTF8):
        return "utf-8"
    return "utf-16" if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) else None


def _separator(text: str) -> str:
    """The one separator that stands in the header outside quotes; with none of them there is one column."""
    head = _bare_header(text)
    found = [name for name, separator in SEPARATORS.items() if separator in head]
    columns = re.split("[,;\t]", head)
    if len(found) > 1 or any(_NUMBER.fullmatch(column.strip()) for column in columns):
        words = f"The first line, {head[:60]!r}, does not tell what separates the columns; declare the separator"
        raise TableRefused(f"{words}, one of {', '.join(SEPARATORS)}.", code="undecidable_separator")
    return found[0] if found else "comma"


def _bare_header(text: str) -> str:
    """The first line that is not empty, without what stands in quotes, which may hold ends of lines."""
    bare = re.sub(r'"(?:[^"]|"")*"', "\u2026", text[:_LONGEST_HEADER])
    return next((line for line in bare.splitlines() if line.strip()), "")


def _lines(text: str, separator: str) -> Iterator[Line]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    started = 1
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            words = f"The row that starts on line {started} cannot be read ({error}); see to its quotes."
            raise TableRefused(words, code="unreadable_row") from None
        yield Line(started, cells)
        started = reader.line_num + 1


def _decimal(sheet: Sheet, measures: Measures) -> str:
    """The decimal mark that the measures tell; a point where no number has a mark."""
    columns = [name for name in sheet.header if measures(name)]
    cells = chain.from_iterable(map(sheet.column, columns))
    point, comma = _told(cells)
    if point != comma:
        return "comma" if comma else "point"
    if point is None:
        return "point"
    words = "The numbers do not tell whether a point or a comma is their decimal mark"
    raise TableRefused(f"{words}; declare the decimal mark, point or comma.", code="undecidable_decimal")


def _told(cells: Iterable[str]) -> tuple[bool | None, bool | None]:
    """Whether some number can only be read with a point, and with a comma; None, None where no number has a mark."""
    text = "\n".join(cells)  # no number goes on behind the end of a line
    grouped = "." in text and "," in text and any(one.search(text) for one in _GROUPED.values())
    if not grouped and not _MARKED.search(text):
        return None, None
    point, comma = (
        mark in text and bool(telling.search(text) or (grouped and _GROUPED[mark].search(text)))
        for mark, telling in _TELLING.items()
    )
    return point, comma
