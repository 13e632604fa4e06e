"""Values as they stand in a table's cell: each kind's grammar, and words for what to write instead."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.rules import AttributeDefinition
from catalog.domain.value_documents import read_value
from catalog.domain.value_text import DECIMAL_MARKS, MeasuredIn, measured_in, value_document, value_text
from catalog.domain.values import KNOWN_NONE, NOT_APPLICABLE, Kind, Value
from service.errors import Invalid

pytestmark = pytest.mark.domain


def attribute(kind: Kind, dimension: Dimension | None = None, unit: str = "") -> AttributeDefinition:
    return AttributeDefinition("thing", "thing", kind, dimension, unit)


PRESSURE = attribute(Kind.QUANTITY, Dimension.PRESSURE_GAUGE, "kPa")
GAP = attribute(Kind.QUANTITY, Dimension.LENGTH, "mm")
COUNT = attribute(Kind.QUANTITY, Dimension.COUNT, "each")
AMBIENT = attribute(Kind.RANGE, Dimension.TEMPERATURE, "degC")


@pytest.mark.parametrize(
    ("text", "definition", "document"),
    [
        ("310 kPa gauge", PRESSURE, {"value": "310", "unit": "kPa", "reference": "gauge"}),
        ("45psi gauge", PRESSURE, {"value": "45", "unit": "psi", "reference": "gauge"}),
        ("0.55..0.65 mm", GAP, {"min": "0.55", "max": "0.65", "unit": "mm"}),
        ("-30..110 degC", AMBIENT, {"min": "-30", "max": "110", "unit": "degC"}),
        ("..110 degC", AMBIENT, {"min": None, "max": "110", "unit": "degC"}),
        ("-30.. degC", AMBIENT, {"min": "-30", "max": None, "unit": "degC"}),
        ("6", COUNT, {"value": "6", "unit": "each"}),
        ("known_none", GAP, {"state": "known_none"}),
        ("not_applicable", AMBIENT, {"state": "not_applicable"}),
        ("a", attribute(Kind.CHOICE), "a"),
        ("a | b", attribute(Kind.DESIGNATION), ["a", "b"]),
        ("a", attribute(Kind.CODE_LIST), ["a"]),
        ("Yes", attribute(Kind.FLAG), True),
        ("no", attribute(Kind.FLAG), False),
        ("2026-03-09", attribute(Kind.DATE), "2026-03-09"),
    ],
)
def test_each_kind_is_read_as_the_document_it_stands_for(
    text: str, definition: AttributeDefinition, document: object
) -> None:  # fmt: skip
    assert value_document(text, definition) == document
    assert value_document(f"  {text} ", definition) == document
    read_value(document, definition, pointer="")


def test_a_number_alone_takes_the_headers_unit_and_a_cell_may_name_its_own() -> None:
    header = measured_in("kPa gauge")
    assert header == MeasuredIn("kPa", "gauge")
    alone, own, full = (value_document(text, PRESSURE, measured_in=header) for text in ("310", "45 psi", "3 bar gauge"))
    assert alone == {"value": "310", "unit": "kPa", "reference": "gauge"}
    assert own == {"value": "45", "unit": "psi", "reference": "gauge"}
    assert full == {"value": "3", "unit": "bar", "reference": "gauge"}


def test_the_decimal_mark_is_the_one_that_is_declared() -> None:
    assert value_document("0,55..0,65 mm", GAP, decimal=",") == {"min": "0.55", "max": "0.65", "unit": "mm"}


@pytest.mark.parametrize(
    ("text", "definition", "decimal", "code", "words"),
    [
        ("0,7 mm", GAP, ".", "wrong_decimal_mark", "a point"),
        ("0.7 mm", GAP, ",", "wrong_decimal_mark", "a comma"),
        ("1,234.5 mm", GAP, ".", "wrong_decimal_mark", "thousands"),
        ("1.234.567 mm", GAP, ".", "wrong_decimal_mark", "thousands"),
        ("0.7", GAP, ".", "unit_missing", "like 2.5 mm"),
        ("7E-1 mm", GAP, ".", "e_notation", "power of ten"),
        ("seven", GAP, ".", "not_a_decimal", "like 2.5 mm"),
        ("0.7 mm or so", GAP, ".", "not_a_measure", "like 2.5 mm"),
        ("..", AMBIENT, ".", "empty_range", "at least one end"),
        ("110 degC", AMBIENT, ".", "not_a_range", "from..to"),
        ("true", attribute(Kind.FLAG), ".", "not_a_flag", "yes or no"),
        ("a | | b", attribute(Kind.CODE_LIST), ".", "empty_code", "one code"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_to_write(
    text: str, definition: AttributeDefinition, decimal: str, code: str, words: str
) -> None:
    with pytest.raises(Invalid) as refused:
        value_document(text, definition, decimal=decimal)
    assert refused.value.code == code
    assert words in refused.value.message
    assert text[:60] in refused.value.message


@pytest.mark.parametrize("text", ["furlong", "kPa gauge really"])
def test_a_header_names_a_unit_that_is_known(text: str) -> None:
    with pytest.raises(Invalid) as refused:
        measured_in(text)
    assert refused.value.code == "unknown_unit"


AMOUNTS = st.integers(-(10**12), 10**12)
PRESSURES = st.builds(
    lambda n, unit: Quantity(n, Dimension.PRESSURE_GAUGE, unit), AMOUNTS, st.sampled_from(["kPa", "psi"])
)
CODES = st.lists(st.text("abcXYZ0189-_./ ", min_size=1).map(str.strip).filter(bool), min_size=1, unique=True).map(tuple)


def _range(ends: tuple[int, int], shape: str) -> Value:
    low, high = (Quantity(end, Dimension.TEMPERATURE, "degF") for end in sorted(ends))
    return Value(Interval(low if "l" in shape else None, high if "h" in shape else None))


VALUES = st.one_of(
    st.tuples(st.just(PRESSURE), PRESSURES.map(Value)),
    st.tuples(st.just(AMBIENT), st.builds(_range, st.tuples(AMOUNTS, AMOUNTS), st.sampled_from(["lh", "l", "h"]))),
    st.tuples(st.just(attribute(Kind.CODE_LIST)), CODES.map(Value)),
    st.tuples(st.just(attribute(Kind.DESIGNATION)), CODES.map(Value)),
    st.tuples(st.just(attribute(Kind.FLAG)), st.booleans().map(Value)),
    st.tuples(st.just(attribute(Kind.DATE)), st.dates(date(1900, 1, 1)).map(Value)),
    st.tuples(st.just(GAP), st.sampled_from([KNOWN_NONE, NOT_APPLICABLE])),
)


@given(VALUES, st.sampled_from(DECIMAL_MARKS), st.sampled_from([None, MeasuredIn("kPa", "gauge"), MeasuredIn("degF")]))
def test_what_is_written_into_a_cell_is_read_back_as_the_same_value(
    stated: tuple[AttributeDefinition, Value], decimal: str, header: MeasuredIn | None
) -> None:
    definition, value = stated
    fitting = (
        header
        if definition in (PRESSURE, AMBIENT) and (header is None or (header.unit == "kPa") == (definition is PRESSURE))
        else None
    )
    text = value_text(value, measured_in=fitting, decimal=decimal)
    back = read_value(value_document(text, definition, measured_in=fitting, decimal=decimal), definition, pointer="")
    assert back == value
    if isinstance(value.payload, Quantity) and isinstance(back.payload, Quantity):
        assert back.payload.unit == value.payload.unit


@pytest.mark.parametrize("code", ["a|b", "known_none", "missing", " a"])
def test_a_code_that_a_cell_cannot_hold_is_refused_and_not_written_as_something_else(code: str) -> None:
    with pytest.raises(Invalid):
        value_text(Value((code,)))
