"""A withdrawn part is not fitted by coming along: not as an adapter, not inside a kit, not tried on a supply line."""

from __future__ import annotations

from importlib import import_module
from typing import Any

import pytest
from django.apps import apps

from catalog.models import Part
from tests.api.test_holds_of_what_comes_along import JOINED, KIT, about, offered
from tests.api.test_supply_checks import TRUCK
from tests.api.world import Desk

pytestmark = pytest.mark.db


def withdraw(desk: Desk, maker: str, number: str, status: str = "withdrawn") -> int:
    found: int = desk.get(f"/parts/?maker={maker}&number={number}").json()["results"][0]["id"]
    desk.changed(f"/parts/{found}/", {"status": status})
    return found


def test_a_withdrawn_adapter_is_refused_and_named(desk: Desk) -> None:
    number = withdraw(desk, "TSK", "H-410")
    for named in ({"maker": "TSK", "number": "H-410"}, {"id": number}):
        response = desk.check({**JOINED, "candidate": {**JOINED["candidate"], "with": [named]}})
        assert (response.status_code, response.json()["code"]) == (410, "part_withdrawn")
        assert "TSK H-410" in response.json()["detail"]


def test_a_kit_that_holds_a_withdrawn_part_is_no_yes_and_asks_what_it_holds_today(desk: Desk) -> None:
    before = desk.answer(KIT)
    withdraw(desk, "VRD", "8801")
    gone = desk.answer(KIT)
    assert (gone["verdict"], "VRD 8801 is withdrawn" in gone["headline"]) == ("undetermined", True)
    assert any("VRD 8801" in entry["question"] for entry in gone["missing"])
    withdraw(desk, "VRD", "8801", "active")
    again = desk.answer(KIT)
    assert (again["verdict"], again["digest"]) == (before["verdict"], before["digest"])


def test_a_kit_with_a_withdrawn_part_in_it_is_no_substitute(desk: Desk) -> None:
    assert offered(desk) == (True, True)
    withdraw(desk, "VRD", "8801")
    assert offered(desk) == (False, False)


def test_a_withdrawn_spare_that_would_fit_is_thrown_away(desk: Desk) -> None:
    spare = about(KIT, "VRD", "6510-C")
    before = desk.answer(spare)
    withdraw(desk, "VRD", "8809")
    after = desk.answer(spare)
    assert (before["verdict"], after["verdict"]) == ("accepted", "conditional")
    assert after["conditions"] == ["the spare VRD 8809 is discarded"]
    assert any("VRD 8809" in row["text"] and "withdrawn" in row["text"] for row in after["findings"])


def test_a_kit_written_before_its_contents_said_so_is_told_by_the_migration(desk: Desk) -> None:
    kit = Part.objects.filter(maker__code="VRD", number="6510-K")
    (before,) = kit.values_list("facts", flat=True)
    withdraw(desk, "VRD", "8801")
    (written,) = kit.values_list("facts", flat=True)
    kit.update(facts=before)
    import_module("catalog.migrations.0015_withdrawn_contents").tell_containers(apps, None)
    assert kit.get().facts == written != before


@pytest.mark.parametrize("by_id", [False, True])
def test_a_withdrawn_part_is_not_tried_on_a_supply_line(desk: Desk, *, by_id: bool) -> None:
    number = withdraw(desk, "VRD", "9033")
    part: dict[str, Any] = {"id": number} if by_id else {"maker": "VRD", "number": "9033"}
    response = desk.post("/supply-checks/", {**TRUCK, "candidates": [{"position": "container", "part": part}]})
    assert (response.status_code, response.json()["code"]) == (410, "part_withdrawn")
