"""A report on a part is heard wherever the part comes along: as an adapter, inside a kit, and on a supply line."""

from __future__ import annotations

from importlib import import_module
from typing import Any

import pytest
from django.apps import apps

from catalog.models import Part
from service.operations.models import Dealer
from service.operations.people import create_person
from tests.acceptance.chains import RESURFACER_1
from tests.api.test_facts_told import INJECTOR
from tests.api.test_outcomes_and_holds import SAID, report
from tests.api.test_supply_checks import TRUCK, asked
from tests.api.world import Desk

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]
LOCK_OFF = {**INJECTOR, "candidate": {"maker": "TSK", "number": "L-616"}, "position": "lock_off"}
ADAPTER = {"maker": "TSK", "number": "J-440"}
JOINED = {**LOCK_OFF, "candidate": {"part": LOCK_OFF["candidate"], "with": [ADAPTER]}}
KIT = {"candidate": {"maker": "VRD", "number": "6510-K"}, "position": "injector_seals", "application": RESURFACER_1}


@pytest.fixture
def editor(tallis_bridge: Dealer) -> Desk:
    person = create_person(username="p.aldous", name="P. Aldous", roles=["catalogue_editor"], dealer=tallis_bridge)
    return Desk.of(tallis_bridge, person=person)


def about(question: dict[str, Any], maker: str, number: str) -> dict[str, Any]:
    return {**question, "candidate": {"maker": maker, "number": number}}


def offered(desk: Desk, number: str = "6510-K") -> tuple[bool, bool]:
    """Whether a kit is offered in another's place: as an alternative of its check, and as a substitute for it."""
    part = desk.get("/parts/?maker=OLM&number=6511").json()["results"][0]["id"]
    engine = "model=VRD-H40&spec=S-118&serial=118402&plate_fuels=lpg_liquid&certified=false&place_of_use=indoor"
    burned = "found_fuels=lpg_liquid&found_mode=only_fuel&found_on=2026-01-12"
    found = desk.get(f"/parts/{part}/substitutes/?position=injector_seals&{engine}&{burned}")
    assert found.status_code == 200, found.content
    lists = desk.answer(about(KIT, "OLM", "6511"))["alternatives"], found.json()["results"]
    alternative, substitute = (number in [entry["part"]["number"] for entry in entries] for entries in lists)
    return alternative, substitute


def lifted(desk: Desk, editor: Desk, hold: int, question: dict[str, Any]) -> dict[str, Any]:
    assert editor.post(f"/holds/{hold}/close/", {"reason": "wrong drawer"}).status_code == 200
    return desk.answer(question)


def test_an_adapter_on_hold_is_no_yes_until_it_is_settled(desk: Desk, editor: Desk) -> None:
    before, alone = desk.answer(JOINED), desk.answer(LOCK_OFF)
    assert (before["verdict"], alone["verdict"]) == ("conditional", "rejected")
    hold = report(desk, desk.answer(about(LOCK_OFF, "TSK", "J-440")))["holds"][0]["id"]
    held = desk.answer(JOINED)
    assert (held["verdict"], "TSK J-440 is " + SAID in held["headline"]) == ("undetermined", True)
    assert "report on hold" in [fact["fact"] for fact in held["missing"]]
    assert desk.answer(LOCK_OFF)["digest"] == alone["digest"], "without the adapter nothing of it is fitted"
    after = lifted(desk, editor, hold, JOINED)
    assert (after["verdict"], after["digest"]) == ("conditional", before["digest"])


def test_an_adapter_on_hold_at_another_position_changes_nothing(desk: Desk) -> None:
    before = desk.answer(JOINED)
    report(desk, desk.answer(about({**LOCK_OFF, "position": "spark_plug"}, "TSK", "J-440")))
    assert desk.answer(JOINED)["digest"] == before["digest"]


def test_a_kit_that_holds_a_part_on_hold_is_no_yes_until_it_is_settled(desk: Desk, editor: Desk) -> None:
    before = desk.answer(KIT)
    assert before["verdict"] in ("accepted", "conditional")
    hold = report(desk, desk.answer(about(KIT, "VRD", "8801")))["holds"][0]["id"]
    held = desk.answer(KIT)
    assert (held["verdict"], "VRD 8801 is " + SAID in held["headline"]) == ("undetermined", True)
    assert "report on hold" in [fact["fact"] for fact in held["missing"]]
    after = lifted(desk, editor, hold, KIT)
    assert (after["verdict"], after["digest"]) == (before["verdict"], before["digest"])


def test_a_report_that_is_closed_is_closed_for_kits_made_meanwhile(desk: Desk, editor: Desk) -> None:
    hold = report(desk, desk.answer(about(KIT, "VRD", "8801")))["holds"][0]["id"]
    pieces = [{"part": {"maker": "VRD", "number": number}, "quantity": 4} for number in ("8801", "8802")]
    like = {"maker": "VRD", "number": "6510-K2", "category": "injector_seal_set", "contains": pieces}
    own = desk.get("/parts/?maker=VRD&number=6510-K").json()["results"][0]["id"]
    written = ("attribute", "slot", "value", "source")
    recorded = [{name: row[name] for name in written} for row in desk.get(f"/parts/{own}/").json()["attributes"]]
    desk.made("/parts/", {**like, "attributes": recorded})
    question = about(KIT, "VRD", "6510-K2")
    assert SAID in desk.answer(question)["headline"]
    assert lifted(desk, editor, hold, question)["verdict"] != "undetermined"


def test_a_kit_from_which_the_part_on_hold_was_taken_hears_no_report_of_it(desk: Desk) -> None:
    report(desk, desk.answer(about(KIT, "VRD", "8801")))
    number = desk.get("/parts/?maker=VRD&number=6510-K").json()["results"][0]["id"]
    desk.changed(f"/parts/{number}/", {"contains": [{"part": {"maker": "VRD", "number": "8802"}, "quantity": 8}]})
    assert not any(finding["attribute"] == "hold" for finding in desk.answer(KIT)["findings"])


def test_a_kit_whose_text_was_written_before_is_told_by_the_migration(desk: Desk) -> None:
    report(desk, desk.answer(about(KIT, "VRD", "8801")))
    kit = Part.objects.filter(maker__code="VRD", number="6510-K")
    (written,) = kit.values_list("held", flat=True)
    kit.update(held="")
    import_module("catalog.migrations.0014_holds_of_contents").tell_containers(apps, None)
    assert kit.get().held == written != ""


def test_it_is_the_dealers_own_until_an_editor_confirms_it(desk: Desk, other_desk: Desk, editor: Desk) -> None:
    hold = report(desk, desk.answer(about(KIT, "VRD", "8801")))["holds"][0]["id"]
    assert other_desk.answer(KIT)["verdict"] != "undetermined"
    editor.post(f"/holds/{hold}/confirm/", {})
    assert SAID in other_desk.answer(KIT)["headline"]


def test_a_kit_that_holds_a_part_on_hold_is_offered_neither_as_alternative_nor_as_substitute(desk: Desk) -> None:
    assert offered(desk) == (True, True)
    report(desk, desk.answer(about(KIT, "VRD", "8801")))
    assert offered(desk) == (False, False)


def test_a_part_on_hold_that_is_tried_on_a_supply_line_is_no_yes_there(desk: Desk, editor: Desk) -> None:
    tried = {**TRUCK, "candidates": [{"position": "container", "part": {"maker": "VRD", "number": "9033"}}]}
    before = asked(desk, tried)
    assert before["verdict"] in ("accepted", "conditional")
    there = {"candidate": {"maker": "VRD", "number": "9033"}, "position": "container"}
    hold = report(desk, desk.answer({**there, "application": TRUCK["application"]}))["holds"][0]["id"]
    held = asked(desk, tried)
    assert (held["verdict"], "VRD 9033 is " + SAID in held["headline"]) == ("undetermined", True)
    assert (held["governing"], [fact["fact"] for fact in held["missing"]]) == ("container", ["report on hold"])
    assert SAID in desk.get(f"/supply-checks/{held['id']}/?units=us").json()["headline"]
    refused = asked(desk, {**tried, "air": {"min": "-30", "max": "40", "unit": "degC"}})
    assert refused["verdict"] == "rejected", "a refusal stays one"
    assert SAID in next(finding["text"] for finding in refused["findings"] if finding["attribute"] == "hold")
    assert asked(desk, TRUCK)["digest"] == asked(desk, TRUCK)["digest"]
    editor.post(f"/holds/{hold}/close/", {"reason": "wrong drawer"})
    assert asked(desk, tried)["digest"] == before["digest"]
