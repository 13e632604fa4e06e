"""An approval ends with a report on anything that is fitted under it, wherever that was reported."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.approving import approved, confirm_conversion, machine_named, plug_on
from tests.api.test_holds_of_what_comes_along import ADAPTER, JOINED, KIT, about
from tests.api.test_outcomes_and_holds import report
from tests.api.test_sets_named_and_told import pieces
from tests.api.test_withdrawn_parts_along import withdraw
from tests.api.world import Desk

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]


def stands(desk: Desk, check: dict[str, Any], approval: dict[str, Any]) -> tuple[bool, str | None]:
    """Whether the approval is shown on the check as it was answered then, and why it does not apply."""
    shown = desk.get(f"/checks/{check['id']}/").json()["approval"]
    why: str | None = desk.get(f"/approvals/{approval['id']}/").json()["why_not"]
    return shown is not None, why


def test_a_report_on_what_a_kit_holds_ends_the_approval_of_the_kit(desk: Desk) -> None:
    withdraw(desk, "VRD", "8809")
    on_it = {"position": KIT["position"], "machine": machine_named(desk, "Resurfacer 1")}
    check = desk.answer({"candidate": {"maker": "VRD", "number": "6510-C"}, **on_it})
    assert check["verdict"] == "conditional", check["headline"]
    approval = approved(desk, check, person="a.tarle", licence="G-114")
    assert stands(desk, check, approval) == (True, None)
    report(desk, desk.answer(about({**KIT, "position": "rail_hose"}, "VRD", "8801")))
    assert stands(desk, check, approval) == (True, None), "reported elsewhere on that engine"
    report(desk, desk.answer(about(KIT, "VRD", "8801")))
    assert stands(desk, check, approval) == (False, "on_hold")


def test_a_report_on_an_adapter_ends_the_approval_of_what_it_joins(desk: Desk) -> None:
    there = {"position": "lock_off", "machine": machine_named(desk, "Truck 7")}
    check = desk.answer({"candidate": JOINED["candidate"], **there})
    assert check["verdict"] == "conditional", check["headline"]
    approval = approved(desk, check, person="a.tarle", licence="G-114")
    assert stands(desk, check, approval) == (True, None)
    report(desk, desk.answer({"candidate": ADAPTER, **there}))
    assert stands(desk, check, approval) == (False, "on_hold")


def test_a_check_with_an_adapter_that_nothing_needs_is_nobodys_to_approve(desk: Desk) -> None:
    confirm_conversion(desk)
    there = {"position": "spark_plug", "machine": machine_named(desk, "Genset South")}
    check = desk.answer({"candidate": {"part": {"maker": "TSK", "number": "4475"}, "with": [ADAPTER]}, **there})
    assert (check["verdict"], check["approvable_by"]) == ("conditional", None)
    assert any("TSK J-440 is left out" in condition for condition in check["conditions"])
    assert plug_on(desk, "Genset South")["approvable_by"] == "service_manager"


@pytest.mark.parametrize("asked", [{"maker": "OLM", "number": "7701"}, "pieces"])
def test_a_report_on_a_piece_at_its_own_place_ends_the_approval_of_the_set(desk: Desk, asked: Any) -> None:
    """OLM 7701 is now 7702 and 7703, of which each has a place of its own besides the gasket's."""
    confirm_conversion(desk, "Pump 3", fuels=["gasoline"])
    there = {"position": "manifold_gasket", "machine": machine_named(desk, "Pump 3")}
    check = desk.answer({"candidate": pieces() if asked == "pieces" else asked, **there})
    assert check["verdict"] == "conditional", check["headline"]
    assert len(check["use"]) == 2
    approval = approved(desk, check)
    assert stands(desk, check, approval) == (True, None)
    report(desk, desk.answer({"candidate": {"maker": "OLM", "number": "7703"}, "machine": there["machine"]}))
    assert stands(desk, check, approval) == (False, "on_hold")
