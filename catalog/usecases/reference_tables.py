"""The published tables as they stand in the rulebook in force: each row with its source and with whose it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from catalog.domain.quantities import RESOLUTION, UNITS
from catalog.usecases.rulebook_reading import state
from service.errors import NotFound

SHIPPED, EDITOR = "shipped", "editor"
UNIT_TABLE = "units"
_LISTED = {
    "covers": "which service class covers which, at wetted parts only",
    "never_serves": "what is made for one service and must not serve another",
    "may_serve": "which category may stand where another is asked for",
    "code_floors": "the least that published codes ask",
}
_KEYED = {
    "fuels": "fuels an engine can burn",
    "service_classes": "fuel service classes of a port",
    "places_of_use": "places of use, and what each changes",
    "cautions": "hazards stated with an answer",
}
_TABLES = ("mate_tables", "order_tables", "rating_tables", "reference_tables")
Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class ReferenceTable:
    """One table: `about` is what it says of itself beside its rows; a row's `origin` is shipped or editor."""

    code: str
    name: str
    section: str
    source: Mapping[str, Any] | None
    about: Mapping[str, Any]
    rows: tuple[Mapping[str, Any], ...]

    @property
    def head(self) -> dict[str, Any]:
        return {"code": self.code, "name": self.name, "section": self.section, "rows": len(self.rows)}


def reference_tables() -> tuple[ReferenceTable, ...]:
    """Every table by its code, in order. Raises NoRulebook while none is published."""
    now = state()
    found = (*_of(now.in_force.document, now.shipped.document), _units())
    return tuple(sorted(found, key=lambda table: table.code))


def reference_table(code: str) -> ReferenceTable:
    """Raises NotFound with the codes there are."""
    tables = {table.code: table for table in reference_tables()}
    if code not in tables:
        raise NotFound(f"There is no table {code[:60]!r}; there are {', '.join(tables)}.", code="unknown_table")
    return tables[code]


def _of(document: Document, shipped: Document) -> Iterator[ReferenceTable]:
    for section, name in _LISTED.items():
        rows = _marked(document.get(section, ()), shipped.get(section, ()))
        yield ReferenceTable(section, name, section, None, {}, rows)
    for section, name in _KEYED.items():
        rows = _marked(_with_codes(document.get(section, {})), _with_codes(shipped.get(section, {})))
        yield ReferenceTable(section, name, section, None, {}, rows)
    for section in _TABLES:
        for code, table in document.get(section, {}).items():
            yield _table(section, code, table, shipped.get(section, {}).get(code, {}))


def _table(section: str, code: str, table: Document, shipped: Document) -> ReferenceTable:
    rows = tuple({"source": table.get("source"), **row} for row in _marked(_members(table), _members(shipped)))
    about = {name: value for name, value in table.items() if name not in ("name", "source") and not _holds_rows(value)}
    return ReferenceTable(code, table["name"], section, table.get("source"), about, rows)


def _members(table: Document) -> list[dict[str, Any]]:
    """The rows of a table; `list` says which of its lists they are from where it has several."""
    lists = {name: value for name, value in table.items() if _holds_rows(value)}
    named = len(lists) > 1
    return [{"list": name, **row} if named else dict(row) for name, rows in lists.items() for row in rows]


def _holds_rows(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(entry, dict) for entry in value)


def _with_codes(rows: Mapping[str, Document]) -> list[dict[str, Any]]:
    return [{"code": code, **row} for code, row in rows.items()]


def _marked(rows: Iterable[Document], shipped: Iterable[Document]) -> tuple[Mapping[str, Any], ...]:
    theirs = list(shipped)
    return tuple({**row, "origin": SHIPPED if row in theirs else EDITOR} for row in rows)


def _units() -> ReferenceTable:
    rows = tuple(
        {
            "code": unit.symbol,
            "family": unit.family,
            "factor": str(unit.factor),
            "offset": str(unit.offset),
            "steps_of_the_base_unit": str(RESOLUTION[unit.family]),
            "origin": SHIPPED,
        }
        for unit in UNITS.values()
    )
    about = {"meaning": "base = value x factor + offset, exactly; kept as whole steps of the base unit, half to even"}
    source = {"kind": "published", "citation": "SI brochure; NIST SP 811, exact factors"}
    return ReferenceTable(UNIT_TABLE, "units and their exact factors", UNIT_TABLE, source, about, rows)
