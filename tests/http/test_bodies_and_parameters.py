import json
from typing import Any

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st
from rest_framework import serializers

from service.http.fields import DecimalString, Text
from service.http.serializers import StrictSerializer

pytestmark = pytest.mark.domain


def echoed(client: Client, **body: object) -> dict[str, Any]:
    response = client.post("/api/echo/", json.dumps(body), content_type="application/json")
    return {"status": response.status_code, **response.json()}


def faults(client: Client, **body: object) -> list[tuple[str, str]]:
    found = echoed(client, **body)
    assert found["status"] == 400, found
    return [(error["pointer"], error["code"]) for error in found["errors"]]


def test_a_sound_body_is_understood(client: Client) -> None:
    body = {
        "name": "Pump set",
        "note": "two\nlines ",
        "urgent": False,
        "weight": "12.30",
        "on": "2026-03-09",
        "at": "2026-03-09T10:15:00+01:00",
        "fuel": "diesel",
        "ref": "123e4567-e89b-12d3-a456-426614174000",
        "lines": [{"part": "0021-460", "quantity": 6}],
        "tags": ["a"],
    }
    assert echoed(client, **body) == {**body, "status": 200, "at": "2026-03-09T09:15:00Z"}


def test_everything_wrong_is_told_at_once_each_at_its_pointer(client: Client) -> None:
    found = faults(
        client,
        name=5,
        urgnet=True,
        lines=[{"part": "a", "quantity": 1}, {"part": "b" * 21, "quantity": 0, "x/y~z": 1}, "c"],
        tags=["ok", "too long"],
    )
    assert found == [
        ("#/urgnet", "unknown_field"),
        ("#/name", "invalid"),
        ("#/lines/1/x~1y~0z", "unknown_field"),
        ("#/lines/1/part", "max_length"),
        ("#/lines/1/quantity", "min_value"),
        ("#/lines/2", "invalid"),
        ("#/tags/1", "max_length"),
    ]


def test_an_unknown_field_is_met_with_the_likely_one(client: Client) -> None:
    error = echoed(client, name="a", urgnet=True)["errors"][0]
    assert "'urgent'" in error["detail"]


def test_a_missing_field_is_named(client: Client) -> None:
    assert faults(client) == [("#/name", "required")]


def test_a_fault_of_the_whole_body_points_at_the_whole_body(client: Client) -> None:
    assert faults(client, name="nobody") == [("#", "no_name")]


def test_a_body_that_is_no_object_is_refused(client: Client) -> None:
    response = client.post("/api/echo/", b"[1]", content_type="application/json")
    assert (response.status_code, response.json()["errors"][0]["pointer"]) == (400, "#")


@pytest.mark.parametrize(
    ("field", "value", "code"),
    [
        ("name", 5, "invalid"),
        ("name", True, "invalid"),
        ("name", ["a"], "invalid"),
        ("name", None, "null"),
        ("name", " ", "blank"),
        ("name", "a\tb", "control_character"),
        ("note", "a\x07", "control_character"),
        ("urgent", "true", "invalid"),
        ("urgent", 1, "invalid"),
        ("weight", 12.5, "invalid"),
        ("weight", "1e2", "invalid"),
        ("weight", "NaN", "invalid"),
        ("weight", "+1", "invalid"),
        ("weight", "1.", "invalid"),
        ("weight", " 1", "invalid"),
        ("weight", "\u0661", "invalid"),
        ("weight", "1.234", "max_places"),
        ("weight", "-0.01", "min_value"),
        ("weight", "100.01", "max_value"),
        ("on", "20260309", "invalid"),
        ("on", "2026-W11-1", "invalid"),
        ("on", "2026-02-29", "invalid"),
        ("on", 20260309, "invalid"),
        ("at", "2026-10-25T02:30:00", "no_offset"),
        ("at", "2026-10-25 02:30:00Z", "invalid"),
        ("at", "2026-10-25T25:30:00Z", "invalid"),
        ("at", "0001-01-01T00:00:00+23:59", "overflow"),
        ("fuel", "coal", "invalid_choice"),
        ("fuel", 1, "invalid_choice"),
        ("fuel", {}, "invalid_choice"),
        ("ref", 5, "invalid"),
        ("ref", "123e4567e89b12d3a456426614174000", "invalid"),
        ("lines", {}, "not_a_list"),
        ("id", 7, "read_only"),
    ],
)
def test_a_value_of_another_form_is_refused_not_bent(client: Client, field: str, value: object, code: str) -> None:
    assert faults(client, **{"name": "a", field: value}) == [(f"#/{field}", code)]


def test_space_around_a_name_is_dropped_and_kept_where_it_may_matter(client: Client) -> None:
    found = echoed(client, name="  a b ", note=" x ")
    assert (found["name"], found["note"]) == ("a b", " x ")


@given(st.decimals(allow_nan=False, allow_infinity=False, places=6, min_value=-(10**12), max_value=10**12))
def test_a_decimal_string_keeps_every_digit(value: Any) -> None:
    assert DecimalString().run_validation(f"{value:f}") == value
    assert DecimalString().to_representation(value) == f"{value:f}"


def test_a_serializer_with_a_coercing_field_cannot_be_made() -> None:
    with pytest.raises(TypeError, match=r"Lax\.tags .* use Text"):
        type("Lax", (StrictSerializer,), {"tags": serializers.ListField(child=serializers.CharField())})
    assert issubclass(type("Sound", (StrictSerializer,), {"name": Text()}), StrictSerializer)


def parameters(client: Client, query: str) -> list[tuple[str, str]]:
    response = client.get(f"/api/echo/?{query}")
    assert response.status_code == 400
    return [(error["parameter"], error["code"]) for error in response.json()["errors"]]


def test_parameters_are_read_by_their_kind(client: Client) -> None:
    found = client.get("/api/echo/?limit=5&exact=true&attr__gap__gte=1%20mm").json()
    assert found == {"limit": 5, "exact": True, "open": {"attr__gap__gte": "1 mm"}}


def test_every_parameter_that_cannot_be_taken_is_named_at_once(client: Client) -> None:
    found = parameters(client, "limit=0&exact=yes&lmit=5&attr__a=1&attr__a=2")
    assert found == [
        ("lmit", "unknown_parameter"),
        ("attr__a", "repeated"),
        ("limit", "min_value"),
        ("exact", "invalid"),
    ]


@pytest.mark.parametrize("value", ["1_000", "1.0", "%201", "", "9999999999999999999", "%D9%A1", "0x1"])
def test_a_whole_number_in_the_address_is_plain_digits(client: Client, value: str) -> None:
    assert parameters(client, f"limit={value}") == [("limit", "invalid")]


def test_an_unknown_parameter_is_met_with_the_likely_one(client: Client) -> None:
    assert "'limit'" in client.get("/api/echo/?lmit=5").json()["errors"][0]["detail"]
