"""Values survive the journey to JSON and back, and what cannot be read is refused by name."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.quantities import UNITS, Dimension, Interval, Quantity, family_of, quantity, reference_of
from catalog.domain.rules import AttributeDefinition
from catalog.domain.value_documents import pack_value, read_value, unpack_value, write_value
from catalog.domain.values import KNOWN_NONE, NOT_APPLICABLE, Kind, Value
from service.errors import Invalid

pytestmark = pytest.mark.domain

PRESSURE = AttributeDefinition("rail_pressure", "rail pressure", Kind.RANGE, Dimension.PRESSURE_GAUGE, "psi")
GAP = AttributeDefinition("gap", "electrode gap", Kind.QUANTITY, Dimension.LENGTH, "mm")
SEAT = AttributeDefinition("seat", "seat", Kind.CHOICE, vocabulary=("gasket", "conical"))
LOCK = AttributeDefinition("lock", "lock type", Kind.CHOICE, vocabulary=("vacuum", "electric", "none"))
FUELS = AttributeDefinition("fuels", "fuels", Kind.CODE_LIST, vocabulary=("gasoline", "diesel"))
STANDARD = AttributeDefinition("standard", "hose standard", Kind.DESIGNATION)
MADE = AttributeDefinition("made_on", "date made", Kind.DATE)
RESISTOR = AttributeDefinition("resistor", "resistor", Kind.FLAG)

decimals = st.decimals(min_value="-100000", max_value="100000", places=4, allow_nan=False)
dimensions = st.sampled_from(sorted(Dimension))


def measured(dimension: Dimension, number: Decimal, unit: str) -> Quantity:
    reference = None if dimension is Dimension.TEMPERATURE else reference_of(dimension)
    return quantity(format(number, "f"), unit, reference)


@st.composite
def quantities(draw: st.DrawFn, dimension: Dimension | None = None) -> Quantity:
    chosen = dimension or draw(dimensions)
    unit = draw(st.sampled_from([unit.symbol for unit in UNITS.values() if unit.family == family_of(chosen)]))
    return measured(chosen, draw(decimals), unit)


@st.composite
def intervals(draw: st.DrawFn) -> Interval:
    low = draw(quantities())
    other = draw(quantities(low.dimension))
    ends = sorted((low, Quantity(other.amount, low.dimension, low.unit)), key=lambda end: end.amount)
    shape = draw(st.sampled_from(["both", "low", "high"]))
    return Interval(None if shape == "high" else ends[0], None if shape == "low" else ends[1])


def definition_for(value: Value) -> AttributeDefinition:
    payload = value.payload
    if isinstance(payload, (Quantity, Interval)):
        kind = Kind.QUANTITY if isinstance(payload, Quantity) else Kind.RANGE
        dimension = payload.dimension
        assert dimension is not None
        return AttributeDefinition("a", "a", kind, dimension, "x")
    kinds = {bool: Kind.FLAG, date: Kind.DATE, tuple: Kind.CODE_LIST}
    return AttributeDefinition("a", "a", kinds.get(type(payload), Kind.DESIGNATION))


words = st.text("abc-_ 019é/", min_size=1, max_size=12).filter(str.strip)
values = st.one_of(
    st.builds(Value, quantities()),
    st.builds(Value, intervals()),
    st.builds(Value, st.booleans()),
    st.builds(Value, st.dates(min_value=date(1900, 1, 1))),
    st.builds(Value, st.lists(words, min_size=1, max_size=4, unique=True).map(tuple)),
    st.sampled_from([KNOWN_NONE, NOT_APPLICABLE]),
)


def unit_of(value: Value) -> object:
    payload = value.payload
    if isinstance(payload, Interval):
        return tuple(end and end.unit for end in (payload.low, payload.high))
    return payload.unit if isinstance(payload, Quantity) else None


@given(values)
def test_a_value_written_as_given_reads_back_the_same(value: Value) -> None:
    written = write_value(value, units="as_given")
    again = read_value(written, definition_for(value), pointer="")
    assert again == value
    assert write_value(again, units="as_given") == written


@given(values)
def test_a_packed_value_unpacks_to_itself_with_its_unit(value: Value) -> None:
    again = unpack_value(pack_value(value))
    assert again == value
    assert unit_of(again) == unit_of(value)


@given(quantities(), st.sampled_from(["si", "us"]))
def test_a_converted_measure_reads_back_within_its_seven_figures(found: Quantity, units: str) -> None:
    written = write_value(Value(found), units="si" if units == "si" else "us")
    again = read_value(written, definition_for(Value(found)), pointer="").payload
    assert isinstance(again, Quantity)
    shown, _ = found.in_unit(again.unit)
    exact, _ = again.in_unit()
    assert abs(shown - exact) <= abs(shown) * Decimal("1e-6") + Decimal("0.001")


def test_units_asked_for_are_the_units_shown() -> None:
    pressure = Value(quantity("350", "psi", "gauge"))
    assert write_value(pressure, units="as_given") == {"value": "350", "unit": "psi", "reference": "gauge"}
    assert write_value(pressure, units="si") == {"value": "2413.165", "unit": "kPa", "reference": "gauge"}
    gap = Value(quantity("25.4", "mm"))
    assert write_value(gap, units="us") == {"value": "1", "unit": "in"}
    assert write_value(gap, units="si") == {"value": "25.4", "unit": "mm"}
    window = Value(Interval(quantity("-40", "degC"), quantity("60", "degC")))
    assert write_value(window, units="us") == {"min": "-40", "max": "140", "unit": "degF"}


def test_a_single_code_is_text_where_the_attribute_holds_one() -> None:
    assert write_value(Value(("gasket",)), units="as_given", kind=Kind.CHOICE) == "gasket"
    assert write_value(Value(("diesel",)), units="as_given", kind=Kind.CODE_LIST) == ["diesel"]
    assert write_value(Value(("a", "b")), units="as_given", kind=Kind.DESIGNATION) == ["a", "b"]


def test_the_documented_forms_are_read() -> None:
    assert read_value({"value": "0.7", "unit": "mm"}, GAP, pointer="").payload == quantity("0.7", "mm")
    assert read_value(
        {"min": None, "max": "26", "unit": "psi", "reference": "gauge"}, PRESSURE, pointer=""
    ).payload == Interval(None, quantity("26", "psi", "gauge"))
    assert read_value("conical", SEAT, pointer="").codes == ("conical",)
    assert read_value(["gasket", "conical"], SEAT, pointer="").codes == ("gasket", "conical")
    assert read_value(["gasoline"], FUELS, pointer="").codes == ("gasoline",)
    assert read_value("2026-03-09", MADE, pointer="").payload == date(2026, 3, 9)
    assert read_value(False, RESISTOR, pointer="").payload is False
    assert read_value({"state": "known_none"}, FUELS, pointer="") == KNOWN_NONE
    assert read_value({"state": "not_applicable"}, GAP, pointer="") == NOT_APPLICABLE


def test_a_recorded_absence_is_the_word_none_where_the_vocabulary_has_it() -> None:
    assert read_value({"state": "known_none"}, LOCK, pointer="").codes == ("none",)


GAUGE = {"unit": "psi", "reference": "gauge"}
REFUSED = [
    pytest.param(0.7, GAP, "wrong_type", "/v", ("electrode gap", "0.7", '"mm"'), id="a bare number"),
    pytest.param({"value": 0.7, "unit": "mm"}, GAP, "wrong_type", "/v/value", ("0.7", "text"), id="number not text"),
    pytest.param({"value": "0,7", "unit": "mm"}, GAP, "not_a_decimal", "/v/value", ("0,7",), id="decimal comma"),
    pytest.param({"value": "NaN", "unit": "mm"}, GAP, "not_a_decimal", "/v/value", ("NaN",), id="not a number"),
    pytest.param({"value": "1" * 99, "unit": "mm"}, GAP, "not_a_decimal", "/v/value", ("111",), id="too long"),
    pytest.param({"value": "1"}, GAP, "unit_missing", "/v/unit", ("'mm'",), id="no unit"),
    pytest.param({"value": "1", "unit": "ell"}, GAP, "unknown_unit", "/v/unit", ("'ell'", "mm"), id="unknown unit"),
    pytest.param({"value": "1", "unit": "g"}, GAP, "wrong_dimension", "/v/unit", ("mass", "length", "mm"), id="mass"),
    pytest.param({"value": "1", "unit": "mm", "per": "s"}, GAP, "unknown_key", "/v/per", ("'per'",), id="extra key"),
    pytest.param({"min": "9", "max": "26", "unit": "psi", "reference": "absolute"}, PRESSURE, "wrong_reference",
                 "/v/reference", ("absolute pressure", "gauge pressure"), id="absolute for gauge"),
    pytest.param({"min": "9", "max": "26", "unit": "psi"}, PRESSURE, "reference_missing", "/v/reference",
                 ("gauge, absolute or difference",), id="no reference"),
    pytest.param({"min": "26", "max": "9", **GAUGE}, PRESSURE, "range_reversed", "/v", ("26 psi",), id="reversed"),
    pytest.param({"min": None, "max": None, **GAUGE}, PRESSURE, "empty_range", "/v", ("min or max",), id="no ends"),
    pytest.param({"value": "9", **GAUGE}, PRESSURE, "unknown_key", "/v/value", ("min, max",), id="quantity for range"),
    pytest.param("flat", SEAT, "unknown_code", "/v", ("'flat'", "gasket, conical"), id="unknown code"),
    pytest.param(["gasoline", "petrol"], FUELS, "unknown_code", "/v/1", ("'petrol'", "diesel"), id="second code"),
    pytest.param("gasoline", FUELS, "wrong_type", "/v", ("list",), id="text for list"),
    pytest.param([], FUELS, "empty_list", "/v", ("known_none",), id="empty list"),
    pytest.param("yes", RESISTOR, "wrong_type", "/v", ("'yes'", "true or false"), id="word for flag"),
    pytest.param("2026-02-30", MADE, "not_a_date", "/v", ("2026-02-30",), id="no such day"),
    pytest.param("20260309", MADE, "not_a_date", "/v", ("20260309",), id="date without dashes"),
    pytest.param("SAE\ud800", STANDARD, "unprintable_text", "/v", ("\\ud800",), id="lone surrogate"),
    pytest.param("x" * 201, STANDARD, "text_too_long", "/v", ("200",), id="long text"),
    pytest.param("  ", STANDARD, "wrong_type", "/v", ("text",), id="blank text"),
    pytest.param({"state": "unknown"}, GAP, "unknown_state", "/v/state", ("known_none",), id="unknown state"),
    pytest.param(None, GAP, "wrong_type", "/v", ("None",), id="null"),
]  # fmt: skip


@pytest.mark.parametrize(("raw", "definition", "code", "pointer", "words"), REFUSED)
def test_what_cannot_be_read_is_refused_by_name(
    raw: object, definition: AttributeDefinition, code: str, pointer: str, words: tuple[str, ...]
) -> None:
    with pytest.raises(Invalid) as refused:
        read_value(raw, definition, pointer="/v")
    assert (refused.value.code, refused.value.pointer) == (code, pointer)
    assert definition.name in refused.value.message
    for word in words:
        assert word in refused.value.message
    refused.value.message.encode()  # sendable, whatever was given


@pytest.mark.parametrize("packed", [None, 3, "c", ["q", "1", "length", "mm"], ["z"], ["r", 1, None]])
def test_what_was_never_packed_is_not_unpacked(packed: object) -> None:
    with pytest.raises(TypeError):
        unpack_value(packed)


@pytest.mark.parametrize(
    ("text", "unit"), [("5", "psi"), ("8", "psi"), ("0.5", "psi"), ("100", "kPa"), ("11", "inH2O")]
)
def test_a_measure_is_shown_with_the_figures_it_was_given_in(text: str, unit: str) -> None:
    """5 psi is kept to a hundredth of a pascal and is still 5 psi when it is shown."""
    assert quantity(text, unit, "gauge").shown() == f"{text} {unit} gauge"
