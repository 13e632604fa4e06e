"""A number that is now a set: what is told with it, its pieces named one by one, and the hazards of each of them."""

from __future__ import annotations

from typing import Any

import pytest

from tests.acceptance.chains import PUMP_3, RESURFACER_1
from tests.api.world import Desk

pytestmark = pytest.mark.db
PLACE = {"position": "manifold_gasket", "application": PUMP_3}
OLD: dict[str, Any] = {"candidate": {"maker": "OLM", "number": "7701"}, **PLACE}
GASKET_BORE = {"attribute": "gasket_bore", "value": {"value": "36", "unit": "mm"}, "how": "measured"}


def pieces(halves: int = 2, rings: int = 4) -> list[dict[str, Any]]:
    counted = (("7702", halves), ("7703", rings))
    return [{"part": {"maker": "OLM", "number": number}, "quantity": count} for number, count in counted if count]


def said(answer: dict[str, Any], attribute: str) -> list[str]:
    return [row["text"] for row in answer["findings"] if row["attribute"] == attribute]


def test_the_pieces_named_one_by_one_at_the_old_place_are_judged_as_the_old_number_is(desk: Desk) -> None:
    old, named = desk.answer(OLD), desk.answer({"candidate": pieces(), **PLACE})
    assert (old["verdict"], named["verdict"]) == ("accepted", "accepted"), named["headline"]
    used = [(use["part"]["number"], use["quantity"]) for use in named["use"]]
    assert used == [(use["part"]["number"], use["quantity"]) for use in old["use"]]


@pytest.mark.parametrize("short", [pieces(rings=0), pieces(halves=1), pieces(rings=3), pieces(halves=0)])
def test_less_than_the_whole_set_is_no_yes_at_the_old_place(desk: Desk, short: list[dict[str, Any]]) -> None:
    answer = desk.answer({"candidate": short, **PLACE})
    assert answer["verdict"] == "undetermined"
    assert "candidate: the whole set" in [entry["fact"] for entry in answer["missing"]]


def test_a_set_named_piece_by_piece_is_on_hold_with_what_was_reported_of_a_piece_at_its_own_place(desk: Desk) -> None:
    ring = desk.answer({"candidate": {"maker": "OLM", "number": "7703"}, "application": PUMP_3})
    desk.made(f"/checks/{ring['id']}/outcomes/", {"kind": "failed"})
    answer = desk.answer({"candidate": pieces(), **PLACE})
    assert (answer["verdict"], "on hold: failed" in answer["headline"]) == ("undetermined", True)


def test_a_fact_of_the_old_number_is_said_to_say_nothing_of_the_pieces(desk: Desk) -> None:
    told = desk.answer({**OLD, "facts": [{"about": "candidate", **GASKET_BORE}]})
    (text,) = said(told, "told")
    assert all(name in text for name in ("OLM 7701", "OLM 7702", "OLM 7703", "bore"))
    assert said(desk.answer(OLD), "told") == []


def test_a_fact_of_the_old_place_is_no_demand_of_the_pieces_own_places(desk: Desk) -> None:
    told = desk.answer({**OLD, "facts": [{"about": "position", **GASKET_BORE}]})
    assert not any(row["demand"] and row["demand"]["basis"] == "counter" for row in told["findings"])
    (text,) = said(told, "told")
    assert all(name in text for name in ("inlet manifold gasket", "OLM 7702", "OLM 7703", "bore"))
    # It may be another engine than the record has it: no yes before the pieces' own places were looked at.
    assert told["verdict"] == "undetermined"
    assert any("inlet manifold stud ring" in entry["question"] for entry in told["missing"])


def test_an_adapter_at_a_place_to_which_no_piece_goes_is_said_to_be_unheard(desk: Desk) -> None:
    adapter = {"maker": "TSK", "number": "H-410"}
    answer = desk.answer({**OLD, "candidate": {"part": OLD["candidate"], "with": [adapter]}})
    (text,) = said(answer, "adapter")
    assert all(name in text for name in ("TSK H-410", "OLM 7702", "OLM 7703"))


def test_an_adapter_named_with_a_kit_or_without_an_engine_is_said_to_be_unheard(desk: Desk) -> None:
    kit, adapter = {"maker": "VRD", "number": "6510-K"}, {"maker": "TSK", "number": "H-410"}
    asked = {"candidate": {"part": kit, "with": [adapter]}, "position": "injector_seals", "application": RESURFACER_1}
    for body in (asked, {"candidate": asked["candidate"], "replaces": {"maker": "OLM", "number": "6511"}}):
        (text,) = said(desk.answer(body), "adapter")
        assert "TSK H-410" in text
