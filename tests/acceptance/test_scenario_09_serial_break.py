"""A water pump up to serial 204999 and another from 205000 on: common practice, no source."""

from typing import Any

import pytest

from tests.acceptance.chains import PUMP_3
from tests.api.world import Desk

pytestmark = pytest.mark.db


def asked(desk: Desk, serial: str | None) -> dict[str, Any]:
    question = {"candidate": {"maker": "OLM", "number": "5520-A"}, "application": {**PUMP_3, "serial": serial}}
    return desk.answer(question)


def test_scenario_09_the_last_engine_before_the_change_takes_the_old_pump(desk: Desk) -> None:
    assert asked(desk, "204999")["verdict"] == "accepted"


def test_scenario_09_the_first_engine_behind_the_change_does_not_and_is_offered_the_new_one(desk: Desk) -> None:
    answer = asked(desk, "205000")
    assert answer["verdict"] == "rejected"
    offered = [(entry["part"]["number"], entry["verdict"]) for entry in answer["alternatives"]]
    assert offered == [("5520-B", "accepted")]


def test_scenario_09_without_the_serial_the_missing_fact_names_the_change(desk: Desk) -> None:
    answer = asked(desk, None)
    assert answer["verdict"] == "undetermined"
    assert [entry["fact"] for entry in answer["missing"]] == ["serial (change at 205000)"]
