"""A part is found exactly, else in other punctuation; where two could be meant, nothing is picked."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog import loading
from catalog.models import Part
from tests.api.world import Desk, demo_question

pytestmark = pytest.mark.db


def asked(candidate: Any) -> dict[str, Any]:
    return {**demo_question("accepted"), "candidate": candidate}


def used(answer: dict[str, Any]) -> str:
    part = answer["use"][0]["part"]
    return f"{part['maker']} {part['number']}"


@pytest.mark.parametrize(
    "candidate",
    [
        {"maker": "VRD", "number": "4410-12"},
        {"maker": "VRD", "number": "441012"},
        {"maker": "vrd", "number": " 4410 12 "},
        {"maker": "VRD", "number": "4410\u201312"},
        {"maker": "VRD", "number": "\uff14\uff14\uff11\uff10-12"},
        "4410-12",
        "4410.12",
        [{"part": {"maker": "VRD", "number": "4410-12"}, "quantity": 4}],
        [{"maker": "VRD", "number": "4410-12"}],
        {"part": "4410-12", "quantity": 4},
    ],
)
def test_a_number_is_found_whatever_its_punctuation(desk: Desk, candidate: Any) -> None:
    assert used(desk.answer(asked(candidate))) == "VRD 4410-12"


def test_a_part_is_found_by_its_id(desk: Desk) -> None:
    part = Part.objects.get(maker__code="VRD", number="4410-12")
    assert used(desk.answer(asked({"id": part.pk}))) == "VRD 4410-12"


def test_a_bare_number_of_two_makers_is_not_picked_and_both_are_named(desk: Desk) -> None:
    problem = desk.check(asked("3140")).json()
    suggested = {(entry["part"]["maker"], entry["part"]["number"]) for entry in problem["suggestions"]}
    assert suggested == {("VRD", "3140"), ("OLM", "3140")}
    assert all(entry["why"] for entry in problem["suggestions"])
    assert problem["status"] == 409


def lost_zero_pair() -> tuple[Part, Part]:
    """The demo's two parts of one maker whose numbers differ by a leading zero."""
    for part in Part.objects.select_related("maker"):
        twin = Part.objects.filter(maker=part.maker, number=f"0{part.number}").first()
        if twin is not None:
            return part, twin
    raise AssertionError("the demo holds no such pair")


def test_numbers_that_differ_by_a_leading_zero_are_two_parts(desk: Desk) -> None:
    short, long = lost_zero_pair()
    for part in (short, long):
        answer = desk.answer(asked({"maker": part.maker.code, "number": part.number}))
        assert answer["use"][0]["part"]["number"] == part.number


def test_a_lost_zero_is_suggested_and_never_matched(desk: Desk) -> None:
    response = desk.check(asked({"maker": "VRD", "number": "04410-12"}))
    problem = response.json()
    assert response.status_code == 404
    assert problem["type"] == "/problems/possible-lost-zero/"
    assert problem["code"] == "possible_lost_zero"
    assert [entry["part"]["number"] for entry in problem["suggestions"]] == ["4410-12"]


def test_where_two_differ_by_leading_zeros_no_one_of_them_is_the_lost_one(desk: Desk) -> None:
    short, _ = lost_zero_pair()
    problem = desk.check(asked({"maker": short.maker.code, "number": f"00{short.number}"})).json()
    assert problem["code"] == "unknown_part"
    assert len(problem["suggestions"]) >= 2


def test_the_same_number_of_another_maker_is_suggested_with_the_reason(desk: Desk) -> None:
    problem = desk.check(asked({"maker": "TSK", "number": "4410-12"})).json()
    assert problem["code"] == "unknown_part"
    assert [entry["part"]["maker"] for entry in problem["suggestions"]] == ["VRD"]
    assert "another maker" in problem["suggestions"][0]["why"]


@pytest.mark.parametrize(
    ("typed", "why"),
    [("44IO-12", "looks alike"), ("4410-1Z", "looks alike"), ("4401-12", "one character"),
     ("4410-122", "one character"), ("410-12", "one character")],
)  # fmt: skip
@pytest.mark.parametrize("maker", ["VRD", None])
def test_a_misread_number_is_told_with_what_it_may_have_been(
    desk: Desk, typed: str, why: str, maker: str | None
) -> None:
    problem = desk.check(asked(typed if maker is None else {"maker": maker, "number": typed})).json()
    assert problem["status"] == 404
    told = {entry["part"]["number"]: entry["why"] for entry in problem["suggestions"]}
    assert told["4410-12"].startswith(why)


def test_nothing_close_is_looked_for_where_every_number_is_known(desk: Desk) -> None:
    desk.answer(asked("4410-12"))
    loading.forget()
    with CaptureQueriesContext(connection) as captured:
        desk.answer(asked("4410-12"))
    assert not [one for one in captured.captured_queries if "number_look_alike" in one["sql"].partition("WHERE")[2]]


def test_an_unknown_maker_is_named(desk: Desk) -> None:
    problem = desk.check(asked({"maker": "QQQ", "number": "4410-12"})).json()
    assert problem["code"] == "unknown_maker"
    assert "QQQ" in problem["detail"]


def test_described_goods_are_never_better_than_conditional(desk: Desk) -> None:
    plug = Part.objects.get(maker__code="VRD", number="4410-12")
    written = desk.get(f"/parts/{plug.pk}/").json()["attributes"]
    attributes = [{name: row[name] for name in ("attribute", "slot", "value")} for row in written]
    described = {"category": "spark_plug", "maker_text": "no name", "number_text": "?", "attributes": attributes}
    answer = desk.answer(asked({"described": described}))
    assert answer["verdict"] == "conditional"
    assert answer["use"][0]["part"]["id"] is None
