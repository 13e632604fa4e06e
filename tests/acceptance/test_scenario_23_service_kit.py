"""The 500 h kit of Resurfacer 1: every line once, the 250 h lines among them."""

import pytest

from tests.api.kit_cast import KIT_500, amounts, built
from tests.api.world import Desk
from tests.desks import Clock

pytestmark = pytest.mark.db


def test_scenario_23_the_500_h_kit_is_the_250_h_lines_and_its_own_each_once(desk: Desk, clock: Clock) -> None:
    kit = built(desk, "Resurfacer 1", level="500")
    assert amounts(kit) == {**KIT_500, ("engine_oil", "9105"): "4.3"}
    assert len(kit["lines"]) == len(KIT_500) + 1
    oil = next(line for line in kit["lines"] if line["position"] == "engine_oil")
    assert (oil["unit"], oil["tasks"]) == ("litre", ["engine_oil"])
    assert kit["work"]["levels"] == ["250", "500"]
    assert (kit["complete"], kit["count"], kit["left_out"]) == (True, "8 of 8", [])
    assert {line["check"]["verdict"] for line in kit["lines"]} == {"accepted"}
