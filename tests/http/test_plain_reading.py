"""A reader of plain bodies reads and refuses what its shape does, in the same words.

No source outside the project decides these: the shape by itself is the other side.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail, ValidationError

from service.http.fields import Choice, Day, Flag, Text, Whole
from service.http.plain_reading import PlainReader
from service.http.serializers import StrictSerializer

pytestmark = pytest.mark.domain


class PortShape(StrictSerializer):
    name = Text(max_length=6)
    open = Flag(required=False, allow_null=True)


class PartShape(StrictSerializer):
    number = Text(max_length=8)
    note = Text(required=False, allow_null=True, max_length=8, trim_whitespace=False)
    kind = Choice(choices=["plug", "hose"], required=False)
    count = Whole(required=False, min_value=1)
    since = Day(required=False)
    fuels = serializers.ListField(child=Text(max_length=6), required=False, min_length=1, max_length=2)
    ports: serializers.ListSerializer[Any] = serializers.ListSerializer(child=PortShape(), required=False, max_length=2)
    main = PortShape(required=False, allow_null=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs.get("note") == attrs["number"]:
            raise ValidationError({"note": [ErrorDetail("The note only repeats the number.", code="repeats")]})
        return attrs


SHAPE = PartShape()
READER = PlainReader(SHAPE)
SCALARS = st.sampled_from(
    [None, True, False, 0, 1, 1.5, "", " ", "plug", " hose", "4470", "4470 ", "a\tb", "a\u200bb", "é",
     "\u2028", "123456789", "2026-01-12", "2026-02-30", [], ["lpg"], ["lpg", "lpg", "lpg"], ["  "], [None],
     {}, {"name": "inlet"}, {"name": "inlet", "open": None}, {"name": "inlet", "strange": 1},
     [{"name": "inlet"}], [{"name": ""}, {}]]
)  # fmt: skip
NAMES = ("number", "note", "kind", "count", "since", "fuels", "ports", "main", "strange")
BODIES = st.one_of(st.dictionaries(st.sampled_from(NAMES), SCALARS), SCALARS)
PLAIN = {"number": "4470", "kind": "plug", "fuels": ["lpg"], "ports": [{"name": "inlet", "open": True}], "main": None}


def told(read: Any, body: Any) -> Any:
    try:
        return list(read.run_validation(body).items())
    except ValidationError as error:
        return error.get_full_details()


@given(BODIES)
def test_a_body_is_read_or_refused_as_its_shape_does(body: Any) -> None:
    assert told(READER, body) == told(SHAPE, body)


@given(st.dictionaries(st.sampled_from(NAMES), SCALARS, max_size=2))
def test_a_body_with_one_or_two_strange_members_too(strange: dict[str, Any]) -> None:
    assert told(READER, PLAIN | strange) == told(SHAPE, PLAIN | strange)


def test_a_plain_body_is_read_in_the_order_of_its_shape() -> None:
    found = READER.run_validation(dict(reversed(PLAIN.items())))
    assert list(found) == ["number", "kind", "fuels", "ports", "main"]
