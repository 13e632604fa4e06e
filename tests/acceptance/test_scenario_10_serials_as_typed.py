"""Maker code, SN, No. and leading zeros are noise; a plant prefix is not: common practice, no source."""

from typing import Any

import pytest

from tests.acceptance.chains import PUMP_3
from tests.api.world import Desk

pytestmark = pytest.mark.db
AS_TYPED = ("OLM 204999", "SN204999", "No. 204999", "0204999", "S/N 204999")


def asked(desk: Desk, serial: str) -> dict[str, Any]:
    question = {"candidate": {"maker": "OLM", "number": "5520-A"}, "application": {**PUMP_3, "serial": serial}}
    return desk.answer(question)


@pytest.mark.parametrize("serial", AS_TYPED)
def test_scenario_10_noise_changes_nothing(desk: Desk, serial: str) -> None:
    plain, noisy = asked(desk, "204999"), asked(desk, serial)
    same = ("verdict", "headline", "digest", "use", "findings", "missing")
    assert {name: noisy[name] for name in same} == {name: plain[name] for name in same}


def test_scenario_10_a_prefix_of_no_block_asks_for_the_plate(desk: Desk) -> None:
    answer = asked(desk, "K204999")
    assert answer["verdict"] == "undetermined"
    assert any("engine plate" in entry["question"] for entry in answer["missing"])
