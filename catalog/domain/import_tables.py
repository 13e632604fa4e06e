"""The registry of tables: what each is called, the columns it has, and what each column says.

The documentation of the columns is written from here, and a file is read by the same entries.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from catalog.domain.import_rows import Gathering, RowReader
from catalog.domain.rules import AttributeDefinition
from catalog.domain.value_text import MeasuredIn, measured_in
from catalog.domain.values import Slot
from service.errors import Invalid

VALUE_PREFIX = "attr:"
# What is kept of a name, a code, a part number and a citation: the widths of their columns in the database.
MAKER_LENGTH, CODE_LENGTH, NUMBER_LENGTH, NAME_LENGTH, CITATION_LENGTH = 20, 60, 80, 200, 400
LARGEST_SMALL = 32_767


class Aggregate(StrEnum):
    """What is written as one: a batch never splits it."""

    PART = "part"
    SPECIFICATION = "specification"
    STATEMENT = "statement"
    SUPERSESSION = "supersession"
    MACHINE = "machine"


@dataclass(frozen=True, slots=True)
class Column:
    """One column. `needed` is that no row may leave it empty; `says` is its documentation, with the form of a cell."""

    name: str
    says: str
    example: str = ""
    needed: bool = False


@dataclass(frozen=True, slots=True)
class ValueColumn:
    """A column named after an attribute, `attr:<attribute>[@<slot>][ [<unit>]]`."""

    header: str
    definition: AttributeDefinition
    slot: Slot
    measured_in: MeasuredIn | None


@dataclass(frozen=True, slots=True)
class Reading:
    """What a row is read with besides its cells."""

    attributes: Mapping[str, AttributeDefinition]
    value_columns: tuple[ValueColumn, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """One kind of row. `key` reads which aggregate a row is about, `read` puts what it states into that aggregate.

    `key` gives None where the row does not say; it refuses the cell itself then.
    """

    name: str
    says: str
    aggregate: Aggregate
    columns: tuple[Column, ...]
    key: Callable[[RowReader], tuple[str, ...] | None]
    read: Callable[[RowReader, Gathering, Reading], None]
    takes_values: bool = False

    @property
    def needed(self) -> tuple[str, ...]:
        return tuple(column.name for column in self.columns if column.needed)


def keyed_by(*columns: str) -> Callable[[RowReader], tuple[str, ...] | None]:
    """A key made of these cells, each of which must be filled."""

    def key(row: RowReader) -> tuple[str, ...] | None:
        found = [row.needed(column, f"the {column} that this row is about", longest=CODE_LENGTH) for column in columns]
        return tuple(text for text in found if text is not None) if None not in found else None

    return key


def value_column(header: str, attributes: Mapping[str, AttributeDefinition]) -> ValueColumn:
    """Read the header of a column of values. Raises Invalid, saying what to write."""
    name, _, bracket = header.removeprefix(VALUE_PREFIX).partition("[")
    code, _, slot = (part.strip() for part in name.partition("@"))
    definition = attributes.get(code)
    if definition is None:
        raise Invalid(f"There is no attribute {code[:60]!r}; see GET /categories/ for those there are.",
                      code="unknown_attribute")  # fmt: skip
    if bracket and not bracket.rstrip().endswith("]"):
        raise Invalid(f"{header[:80]!r} opens a bracket and does not close it.", code="unknown_column")
    unit = measured_in(bracket.rstrip().removesuffix("]")) if bracket.strip("] ") else None
    return ValueColumn(header, definition, slot or None, unit)
