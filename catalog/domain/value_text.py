"""Values as people write them in a table's cell or behind a filter, and the JSON document form they stand for.

By the attribute's kind: a quantity `310 kPa gauge`, one known only as a range `0.55..0.65 mm`, a range `-30..110 degC`
with either end left out where it is not stated, codes `one | another`, a flag `yes` or `no`, a date `2026-03-09`; and
the states `known_none` and `not_applicable`. Where a column's header carries the unit the number stands alone, and a
cell that names a unit of its own is read in that one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from catalog.domain.quantities import UNITS, Dimension, Interval, Quantity, reference_of
from catalog.domain.rules import AttributeDefinition
from catalog.domain.value_documents import write_value
from catalog.domain.values import Kind, State, Value
from service.errors import Invalid

MISSING = "missing"  # takes back what the same source stated before
BETWEEN_CODES = "|"
POINT, COMMA = ".", ","
DECIMAL_MARKS = (POINT, COMMA)
_STATES = (State.KNOWN_NONE.value, State.NOT_APPLICABLE.value)
_RESERVED = frozenset({MISSING, *_STATES})
_NUMBER = r"[+-]?\d+(?:[.,]\d+)*"
_SINGLE = re.compile(rf"({_NUMBER})\s*(.*)", re.DOTALL)
_RANGE = re.compile(rf"({_NUMBER})?\s*\.\.\s*({_NUMBER})?\s*(.*)", re.DOTALL)
_POWER = re.compile(r"[+-]?\d+(?:[.,]\d+)?[eE][+-]?\d+.*", re.DOTALL)
_ODD_MINUS = str.maketrans({"\u2212": "-"})


@dataclass(frozen=True, slots=True)
class MeasuredIn:
    """The unit that a header gives, and the reference that goes with it."""

    unit: str
    reference: str | None = None


@dataclass(frozen=True, slots=True)
class _Cell:
    definition: AttributeDefinition
    measured_in: MeasuredIn | None
    decimal: str

    def refusal(self, text: str, expected: str, code: str) -> Invalid:
        return Invalid(f"{self.definition.name}: {text[:60]!r} was given; {expected}.", code=code)

    @property
    def example(self) -> str:
        """How this attribute is written, in its own unit."""
        definition = self.definition
        reference = reference_of(definition.dimension) if definition.dimension else None
        tail = " ".join(word for word in (definition.unit, reference) if word and word != "each")
        number = "-30..110" if definition.kind is Kind.RANGE else f"2{self.decimal}5"
        return f"{number} {tail}".strip()


def value_document(
    text: str, definition: AttributeDefinition, *, measured_in: MeasuredIn | None = None, decimal: str = POINT
) -> object:
    """The document that `value_documents.read_value` takes for what is written; `decimal` is the mark in numbers.

    Raises Invalid, saying what to write instead, for text that is not of the attribute's kind. Units, codes and days
    are looked at by `read_value`.
    """
    written = text.strip()
    if written in _STATES:
        return {"state": written}
    return _READERS[definition.kind](written, _Cell(definition, measured_in, decimal))


def measured_in(text: str) -> MeasuredIn:
    """What stands in a header's brackets: `kPa gauge`, `mm`. Raises Invalid for a unit that is not known."""
    unit, *reference = text.split()
    if unit not in UNITS:
        raise Invalid(f"The unit {unit[:20]!r} is not known; use one of {', '.join(UNITS)}.", code="unknown_unit")
    if len(reference) > 1:
        raise Invalid(f"{text[:60]!r} is no unit with its reference; write it like kPa gauge.", code="unknown_unit")
    return MeasuredIn(unit, reference[0] if reference else None)


def _quantity(text: str, cell: _Cell) -> object:
    found = _RANGE.fullmatch(text)
    return _measured(text, cell, found) if found else _single(text, cell)


def _single(text: str, cell: _Cell) -> object:
    found = _SINGLE.fullmatch(text.translate(_ODD_MINUS))
    if found is None or _POWER.fullmatch(text):
        raise _no_number(text, cell)
    return {"value": _decimal(found[1], text, cell), **_unit(found[2], text, cell)}


def _range(text: str, cell: _Cell) -> object:
    found = _RANGE.fullmatch(text.translate(_ODD_MINUS))
    if found is None:
        raise cell.refusal(text, f"write from..to, like {cell.example}", "not_a_range")
    return _measured(text, cell, found)


def _measured(text: str, cell: _Cell, found: re.Match[str]) -> object:
    if found[1] is None and found[2] is None:
        raise cell.refusal(text, f"a range needs at least one end, like {cell.example}", "empty_range")
    low, high = (None if end is None else _decimal(end, text, cell) for end in (found[1], found[2]))
    return {"min": low, "max": high, **_unit(found[3], text, cell)}


def _no_number(text: str, cell: _Cell) -> Invalid:
    if _POWER.fullmatch(text):
        return cell.refusal(
            text, "a spreadsheet has turned this into a power of ten; write the digits out", "e_notation"
        )
    return cell.refusal(text, f"write a number, like {cell.example}", "not_a_decimal")


def _decimal(number: str, text: str, cell: _Cell) -> str:
    other = COMMA if cell.decimal == POINT else POINT
    if other in number or number.count(cell.decimal) > 1:
        words = "a comma" if cell.decimal == COMMA else "a point"
        expected = f"numbers here are written with {words} as decimal mark and without separators between thousands"
        raise cell.refusal(text, expected, "wrong_decimal_mark")
    return number.replace(cell.decimal, POINT)


def _unit(tail: str, text: str, cell: _Cell) -> dict[str, str]:
    """Unit and reference: the cell's own, else the header's; a count needs none."""
    words, header = tail.split(), cell.measured_in
    if len(words) > 2:
        raise cell.refusal(text, f"write a number with its unit, like {cell.example}", "not_a_measure")
    counted = "each" if cell.definition.dimension is Dimension.COUNT else None
    unit = words[0] if words else header.unit if header else counted
    if unit is None:
        raise cell.refusal(text, f"give the unit, like {cell.example}", "unit_missing")
    reference = words[1] if len(words) == 2 else header.reference if header else None
    return {"unit": unit, "reference": reference} if reference else {"unit": unit}


def _flag(text: str, cell: _Cell) -> object:
    answer = {"yes": True, "no": False}.get(text.lower())
    if answer is None:
        raise cell.refusal(text, "write yes or no", "not_a_flag")
    return answer


def _codes(text: str, cell: _Cell) -> object:
    codes = [code.strip() for code in text.split(BETWEEN_CODES)]
    if not all(codes):
        raise cell.refusal(text, f"write one code, or several with {BETWEEN_CODES} between them", "empty_code")
    return codes


def _code(text: str, cell: _Cell) -> object:
    codes = _codes(text, cell)
    return codes[0] if isinstance(codes, list) and len(codes) == 1 else codes


def _day(text: str, cell: _Cell) -> object:
    return text


_READERS: Mapping[Kind, Callable[[str, _Cell], object]] = {
    Kind.QUANTITY: _quantity,
    Kind.RANGE: _range,
    Kind.CHOICE: _code,
    Kind.CHOICES: _codes,
    Kind.ORDERED_CLASS: _code,
    Kind.DESIGNATION: _code,
    Kind.DATE: _day,
    Kind.FLAG: _flag,
    Kind.CODE_LIST: _codes,
}


def value_text(value: Value, *, measured_in: MeasuredIn | None = None, decimal: str = POINT) -> str:
    """The cell that `value_document` reads back to this value; under a header's unit the number alone.

    Raises Invalid for a code that a cell cannot hold: one with the mark between codes in it, or a word of the grammar.
    """
    written = write_value(value, units="as_given")
    if isinstance(value.payload, (Quantity, Interval)) and isinstance(written, Mapping):
        return _measure_text(written, measured_in, decimal)
    if isinstance(written, bool):
        return "yes" if written else "no"
    if isinstance(written, Mapping):
        return str(written["state"])
    codes = written if isinstance(written, list) else [written]
    for code in codes:
        if BETWEEN_CODES in str(code) or code in _RESERVED or str(code) != str(code).strip():
            raise Invalid(f"{code!r} cannot stand in a table's cell.", code="not_for_a_cell")
    return f" {BETWEEN_CODES} ".join(str(code) for code in codes)


def _measure_text(written: Mapping[str, object], header: MeasuredIn | None, decimal: str) -> str:
    if "value" in written:
        number = str(written["value"])
    else:
        number = "..".join("" if written[end] is None else str(written[end]) for end in ("min", "max"))
    unit, reference = written.get("unit"), written.get("reference")
    marked = _marked(number, decimal)
    if header is not None and (header.unit, header.reference) == (unit, reference):
        return marked
    return " ".join(str(word) for word in (marked, None if unit == "each" else unit, reference) if word)


def _marked(number: str, decimal: str) -> str:
    """The numbers with their decimal mark; the two dots of a range stay."""
    return re.sub(r"(?<=\d)\.(?=\d)", decimal, number)
