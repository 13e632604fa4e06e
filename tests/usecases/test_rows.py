"""What must never be false is refused by the database itself."""

from typing import Any

import pytest
from django.db import IntegrityError, models, transaction
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.values import KNOWN_NONE, NOT_APPLICABLE, Value
from catalog.models import CatalogueState, EngineSpecification, Maker, Part, PartAttribute, Position, Statement
from catalog.models.typed_values import columns_of
from service.operations.models import Dealer

pytestmark = pytest.mark.db
NUMBER = {"state": "value", "form": "number", "lo": 5, "hi": 5, "dimension": "length", "unit": "mm"}
BAD_VALUES: dict[str, dict[str, Any]] = {
    "no payload in a value": {"state": "value"},
    "a payload in none": {"state": "known_none", "lo": 1, "hi": 1},
    "codes in not applicable": {"state": "not_applicable", "codes": ["a"]},
    "an unknown state": {**NUMBER, "state": "perhaps"},
    "two numbers for one": {**NUMBER, "hi": 6},
    "a number with no end": {**NUMBER, "lo": None, "hi": None},
    "a number of nothing": {**NUMBER, "dimension": ""},
    "a range upside down": {**NUMBER, "form": "range", "lo": 6},
    "a range without ends": {**NUMBER, "form": "range", "lo": None, "hi": None},
    "codes without codes": {"state": "value", "form": "codes"},
    "a flag that is neither": {"state": "value", "form": "flag", "code": "maybe"},
    "a day without a day": {"state": "value", "form": "day"},
    "no attribute": {**NUMBER, "attribute": ""},
    "a slot without a name": {**NUMBER, "slot": ""},
    "an unknown source": {**NUMBER, "source_kind": "hearsay"},
}


def plug() -> Part:
    return Part.objects.get(maker__code="VRD", number="4410-12")


def refused(row: models.Model) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


@pytest.mark.parametrize("name", BAD_VALUES)
def test_a_value_whose_columns_do_not_go_together_is_refused(tallis_bridge: Dealer, name: str) -> None:
    usual = {"attribute": "new", "as_entered": {}, "source_kind": "maker"}
    refused(PartAttribute(part=plug(), **{**usual, **BAD_VALUES[name]}))


def test_one_source_says_one_thing_of_one_place(tallis_bridge: Dealer) -> None:
    row = PartAttribute(part=plug(), attribute="new", as_entered={}, source_kind="maker", **NUMBER)
    row.save()
    row.pk = None
    row._state.adding = True
    refused(row)


def test_parts_specifications_and_makers_are_there_once(tallis_bridge: Dealer) -> None:
    part = plug()
    refused(Part(maker=part.maker, number=part.number, category="spark_plug"))
    refused(Part(maker=part.maker, number="--", category="spark_plug"))
    refused(Maker(code="vrd", name="the same in small letters"))
    refused(EngineSpecification(maker=part.maker, model="VRD-H40", spec="S-131"))
    refused(EngineSpecification(maker=part.maker, model="VRD-H40", spec="new", cylinders=0))
    refused(EngineSpecification(maker=part.maker, model="VRD-H40", spec="new", heads=0))
    refused(EngineSpecification(maker=part.maker, model="VRD-H40", spec="new", fuels={"not": "a list"}))
    refused(CatalogueState(id=2))


def test_a_statement_is_about_a_position_of_an_engine(tallis_bridge: Dealer) -> None:
    position = Position.objects.get(code="spark_plug", specification__spec="S-131")
    usual = {"kind": "specified", "part": plug(), "position": position, "by": "VRD", "source_kind": "maker"}
    refused(Statement(**usual))
    refused(Statement(**{**usual, "kind": "rumoured"}, specification=position.specification))
    refused(Statement(**usual, specification=position.specification, serials={"first": 1}))


STEPS = st.integers(-(2**62), 2**62)
VALUES = st.one_of(
    st.builds(lambda steps: Value(Quantity(steps, Dimension.LENGTH, "mm")), STEPS),
    st.builds(
        lambda ends: Value(Interval(*(Quantity(end, Dimension.TEMPERATURE, "degC") for end in sorted(ends)))),
        st.tuples(STEPS, STEPS),
    ),
    st.builds(lambda steps: Value(Interval(None, Quantity(steps, Dimension.PRESSURE_GAUGE, "psi"))), STEPS),
    st.builds(lambda codes: Value(tuple(codes)), st.lists(st.text(min_size=1), min_size=1, max_size=5)),
    st.builds(Value, st.booleans()),
    st.builds(Value, st.dates()),
    st.sampled_from([KNOWN_NONE, NOT_APPLICABLE]),
)


@given(VALUES)
def test_a_value_comes_back_from_its_columns_as_it_went_in(value: Value) -> None:
    row = PartAttribute(attribute="a", as_entered={}, source_kind="maker", **columns_of(value))
    assert row.value == value
    payload = row.value.payload
    if isinstance(payload, Quantity) and isinstance(value.payload, Quantity):
        assert payload.unit == value.payload.unit
