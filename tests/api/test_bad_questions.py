"""Every bad body is a problem that names its field; nothing of it is kept."""

from typing import Any

import pytest

from catalog.models import Check
from tests.api.world import Desk, demo_question

pytestmark = pytest.mark.db

PLUG = {"maker": "VRD", "number": "4410-12"}
NOBODYS = "123e4567-e89b-12d3-a456-426614174000"
SPEC = {"model": "VRD-H40", "spec": "S-131"}
GAP = {"about": "candidate", "attribute": "gap", "how": "measured"}
RATING = {"about": "candidate", "attribute": "max_pressure", "how": "label"}


def asked(**changed: Any) -> dict[str, Any]:
    return {**demo_question("accepted"), **changed}


def application(**changed: Any) -> dict[str, Any]:
    body = demo_question("accepted")
    return {**body, "application": {**body["application"], **changed}}


CASES: dict[str, tuple[Any, int, str, str]] = {
    "no candidate": ({"position": "spark_plug"}, 400, "#/candidate", "required"),
    "a number for a candidate": (asked(candidate=7), 400, "#/candidate", "invalid"),
    "an empty list of parts": (asked(candidate=[]), 400, "#/candidate", "invalid"),
    "a part named in two ways": (asked(candidate={**PLUG, "id": 1}), 400, "#/candidate", "part_not_named"),
    "a maker alone": (asked(candidate={"maker": "VRD"}), 400, "#/candidate", "part_not_named"),
    "a list with a bad entry": (
        asked(candidate=[{"part": PLUG}, {"part": PLUG, "quantity": "2"}]), 400, "#/candidate/1/quantity", "invalid",
    ),
    "none of a part": (asked(candidate=[{"part": PLUG, "quantity": 0}]), 400, "#/candidate/0/quantity", "min_value"),
    "an unknown field": (asked(candidates=PLUG), 400, "#/candidates", "unknown_field"),
    "an unknown field inside": (application(fuel="lpg"), 400, "#/application/fuel", "unknown_field"),
    "a machine that is no id": (asked(machine=4), 400, "#/machine", "invalid"),
    "a machine that is not there": (asked(machine=NOBODYS, application=None), 404, "#/machine", "unknown_machine"),
    "a machine and an application": (asked(machine=NOBODYS), 400, "#/application", "machine_and_application"),
    "an unknown part": (asked(candidate={"maker": "VRD", "number": "9999"}), 404, "#/candidate", "unknown_part"),
    "an unknown id": (asked(candidate={"id": 999_999}), 404, "#/candidate", "unknown_part"),
    "an unknown maker": (asked(candidate={"maker": "QQQ", "number": "1"}), 404, "#/candidate", "unknown_maker"),
    "an unknown part to replace": (asked(replaces="nothing-like-it"), 404, "#/replaces", "unknown_part"),
    "a number without a letter or digit": (asked(candidate="--"), 400, "#/candidate", "number_unreadable"),
    "two makers of one number": (asked(candidate="3140"), 409, "#/candidate", "ambiguous_part"),
    "an unknown specification": (
        application(spec={"model": "VRD-H40", "spec": "S-999"}), 404, "#/application/spec", "unknown_specification",
    ),
    "an unknown position": (asked(position="flux_capacitor"), 404, "#/position", "unknown_position"),
    "a serial without a digit": (application(serial="ABC"), 400, "#/application/serial", "serial_unreadable"),
    "a serial too long": (application(serial="1" * 41), 400, "#/application/serial", "serial_unreadable"),
    "an unknown fuel": (application(plate_fuels=["peat"]), 400, "#/application/plate_fuels/0", "unknown_fuel"),
    "an unknown grade": (application(plate_fuels=["diesel:B99"]), 400, "#/application/plate_fuels/0", "unknown_grade"),
    "a fuel found tomorrow": (
        application(fuel_records=[{"fuels": ["gasoline"], "mode": "only_fuel", "found_on": "2999-01-01"}]),
        400, "#/application/fuel_records/0/found_on", "found_in_the_future",
    ),
    "a day that is none": (
        application(fuel_records=[{"fuels": ["gasoline"], "mode": "only_fuel", "found_on": "2026-02-30"}]),
        400, "#/application/fuel_records/0/found_on", "invalid",
    ),
    "an unknown mode": (
        application(fuel_records=[{"fuels": ["gasoline"], "mode": "sometimes", "found_on": "2026-01-12"}]),
        400, "#/application/fuel_records/0/mode", "invalid_choice",
    ),
    "a yes in quotes": (application(certified="yes"), 400, "#/application/certified", "invalid"),
    "an unknown place of use": (application(place_of_use="moon"), 400, "#/application/place_of_use", "unknown_code"),
    "a unit of the wrong dimension": (
        asked(facts=[{**GAP, "value": {"value": "0.5", "unit": "psi", "reference": "gauge"}}]),
        400, "#/facts/0/value/unit", "wrong_dimension",
    ),
    "gauge for a length": (
        asked(facts=[{**GAP, "value": {"value": "0.5", "unit": "mm", "reference": "gauge"}}]),
        400, "#/facts/0/value/reference", "unknown_reference",
    ),
    "absolute for gauge": (
        asked(facts=[{**RATING, "value": {"value": "300", "unit": "kPa", "reference": "absolute"}}]),
        400, "#/facts/0/value/reference", "wrong_reference",
    ),
    "a pressure without its reference": (
        asked(facts=[{**RATING, "value": {"value": "300", "unit": "kPa"}}]),
        400, "#/facts/0/value/reference", "reference_missing",
    ),
    "a measure that is a bare number": (asked(facts=[{**GAP, "value": "0.5"}]), 400, "#/facts/0/value", "wrong_type"),
    "NaN as text": (
        asked(facts=[{**GAP, "value": {"value": "NaN", "unit": "mm"}}]), 400, "#/facts/0/value/value", "not_a_decimal",
    ),
    "an unknown attribute": (
        asked(facts=[{**GAP, "attribute": "colour", "value": "red"}]), 400, "#/facts/0/attribute", "unknown_attribute",
    ),
    "an unknown slot": (
        asked(facts=[{**GAP, "slot": "left", "value": {"value": "0.5", "unit": "mm"}}]),
        400, "#/facts/0/slot", "unknown_slot",
    ),
    "a fact of nothing": (
        asked(facts=[{**GAP, "about": "weather", "value": "wet"}]), 400, "#/facts/0/about", "invalid_choice",
    ),
    "a fact of the engine that has its own field": (
        asked(facts=[{"about": "application", "attribute": "serial", "value": "1", "how": "told"}]),
        400, "#/facts/0/attribute", "unknown_attribute",
    ),
    "a fact of one of several parts": (
        asked(candidate=[{"part": PLUG}, {"part": {"maker": "VRD", "number": "4410-07"}}],
              facts=[{**GAP, "value": {"value": "0.5", "unit": "mm"}}]),
        400, "#/facts/0/about", "which_part",
    ),
    "an unknown category described": (
        asked(candidate={"described": {"category": "widget", "number_text": "?"}}),
        400, "#/candidate/described/category", "unknown_category",
    ),
    "a list for a body": ([1, 2], 400, "#", "invalid"),
    "a control character": (asked(position="spark\u0007plug"), 400, "#/position", "control_character"),
    "a text far too long": (asked(position="x" * 61), 400, "#/position", "max_length"),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_a_bad_question_names_what_is_wrong_and_is_not_kept(desk: Desk, name: str) -> None:
    body, status, pointer, code = CASES[name]
    response = desk.check(body)
    problem = response.json()
    assert response.status_code == status, problem
    assert response.headers["Content-Type"] == "application/problem+json"
    assert (pointer, code) in [(entry["pointer"], entry["code"]) for entry in problem["errors"]], problem
    assert all(entry["detail"] for entry in problem["errors"])
    assert not Check.objects.exists()


@pytest.mark.parametrize(
    ("raw", "code"),
    [
        (b'{"candidate": NaN}', "not_a_number"),
        (b'{"candidate": "\\ud800"}', "lone_surrogate"),
        (b'{"candidate": "a", "candidate": "b"}', "repeated_name"),
        (b'{"candidate": "a\\u0000"}', "null_character"),
        (b'{"candidate": "' + b"x" * 20_000 + b'"}', "string_too_long"),
    ],
)
def test_a_body_that_json_has_no_place_for_is_named_at_its_pointer(desk: Desk, raw: bytes, code: str) -> None:
    response = desk.post("/checks/", raw)
    assert response.status_code == 400
    assert ("#/candidate", code) in [(entry["pointer"], entry["code"]) for entry in response.json()["errors"]]
    assert not Check.objects.exists()


def test_a_string_of_ten_megabytes_is_refused_by_the_name_of_its_field(desk: Desk) -> None:
    response = desk.post("/checks/", b'{"candidate": "' + b"x" * 10 * 1024 * 1024 + b'"}')
    problem = response.json()
    assert response.status_code == 400
    assert [(entry["pointer"], entry["code"]) for entry in problem["errors"]] == [("#/candidate", "string_too_long")]
    assert len(response.content) < 2_000
    assert not Check.objects.exists()


def test_a_body_past_every_bound_is_refused_before_it_is_read(desk: Desk) -> None:
    response = desk.post("/checks/", b'{"candidate": "' + b"x" * 17_000_000 + b'"}')
    assert response.status_code == 413
    assert response.json()["type"] == "/problems/content-too-large/"
    assert not Check.objects.exists()


@pytest.mark.parametrize("raw", [b"", b"{", b"\xff\xfe", b"nothing"])
def test_a_body_that_is_no_json_is_malformed(desk: Desk, raw: bytes) -> None:
    response = desk.post("/checks/", raw)
    assert response.status_code == 400
    assert not Check.objects.exists()


def test_every_problem_of_a_body_is_told_at_once(desk: Desk) -> None:
    body = application(serial="ABC", plate_fuels=["peat", "gasoline", "coal"])
    problem = desk.check({**body, "candidate": {"maker": "VRD", "number": "9999"}}).json()
    assert {entry["pointer"] for entry in problem["errors"]} == {
        "#/candidate",
        "#/application/serial",
        "#/application/plate_fuels/0",
        "#/application/plate_fuels/2",
    }


def test_two_things_that_are_not_there_are_still_not_found(desk: Desk) -> None:
    response = desk.check(asked(candidate={"maker": "VRD", "number": "9999"}, replaces={"maker": "VRD", "number": "8"}))
    assert response.status_code == 404
    assert {entry["pointer"] for entry in response.json()["errors"]} == {"#/candidate", "#/replaces"}


def test_an_unknown_position_lists_those_there_are(desk: Desk) -> None:
    problem = desk.check(asked(position="nowhere")).json()
    assert "spark_plug" in problem["positions"]
    assert "spark_plug" in problem["detail"]


def test_an_unknown_query_parameter_is_a_problem(desk: Desk) -> None:
    response = desk.post("/checks/?unit=si", demo_question("accepted"))
    assert response.status_code == 400
    assert response.json()["errors"][0]["parameter"] == "unit"
    assert not Check.objects.exists()
