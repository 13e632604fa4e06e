"""Parts that are needed with another are decided by checks of their own, and nothing is recorded by looking."""

from copy import deepcopy
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.models import CatalogueState, Check, Part
from service.operations.models import Scope
from tests.api.world import Desk, demo_question

pytestmark = pytest.mark.db

WASHER = {"part": {"maker": "VRD", "number": "1001"}, "quantity": 2, "reason": "crushed once"}
WRONG_PLUG = {"part": {"maker": "TSK", "number": "4470"}}


def plug() -> str:
    return f"/parts/{Part.objects.get(maker__code='VRD', number='4410-12').pk}/"


def needed(desk: Desk, check: dict[str, Any]) -> dict[str, Any]:
    response = desk.get(f"/checks/{check['id']}/also-needed/")
    assert response.status_code == 200, response.content
    told: dict[str, Any] = response.json()
    return told


def test_each_needed_part_has_its_own_verdict_at_its_own_position(desk: Desk) -> None:
    check = desk.answer(demo_question("accepted"))
    desk.changed(plug(), {"needs": [WASHER, WRONG_PLUG]})
    before = Check.objects.count()
    told = needed(desk, check)
    by_number = {row["part"]["number"]: row for row in told["results"]}
    washer, wrong = by_number["1001"], by_number["4470"]
    assert (washer["verdict"], washer["position"], washer["reason"]) == ("accepted", "drain_washer", "crushed once")
    assert washer["quantity"] == 8  # four plugs, two of them each
    assert (wrong["verdict"], wrong["position"], wrong["quantity"]) == ("rejected", "spark_plug", 4)
    assert wrong["headline"]
    assert washer["with_part"]["number"] == "4410-12"
    assert Check.objects.count() == before


def test_it_says_at_which_version_it_was_decided_and_at_which_the_check_was(desk: Desk) -> None:
    check = desk.answer(demo_question("accepted"))
    desk.changed(plug(), {"needs": [WASHER]})
    told = needed(desk, check)
    assert told["checked_at_version"] == check["catalogue_version"]
    assert told["catalogue_version"] == CatalogueState.objects.get().version > check["catalogue_version"]


def test_what_was_told_of_the_engine_holds_for_what_is_needed(desk: Desk) -> None:
    """The plate alone settles no fuel; that it still holds was told of the engine, and not of the plug."""
    question = deepcopy(demo_question("accepted"))
    question["application"]["fuel_records"] = []
    told_fact = {"about": "application", "attribute": "plate_holds", "value": True, "how": "told"}
    desk.changed(plug(), {"needs": [{"part": {"maker": "VRD", "number": "4410-07"}}]})
    untold, told = (needed(desk, desk.answer({**question, "facts": facts})) for facts in ([], [told_fact]))
    assert [row["verdict"] for row in untold["results"]] == ["undetermined"]
    assert [row["verdict"] for row in told["results"]] == ["rejected"]


def test_nothing_is_needed_with_a_part_that_is_rejected(desk: Desk) -> None:
    desk.changed(plug(), {"needs": [WASHER]})
    wrong = {**demo_question("accepted"), "candidate": {"maker": "TSK", "number": "4470"}}
    desk.changed(f"/parts/{Part.objects.get(maker__code='TSK', number='4470').pk}/", {"needs": [WASHER]})
    told = needed(desk, desk.answer(wrong))
    assert (told["verdict"], told["results"]) == ("rejected", [])
    assert "rejected" in told["text"]


def test_a_needed_part_that_is_withdrawn_is_a_problem_of_its_own(desk: Desk) -> None:
    desk.changed(plug(), {"needs": [WASHER, WRONG_PLUG]})
    check = desk.answer(demo_question("accepted"))
    washer = Part.objects.get(maker__code="VRD", number="1001")
    desk.changed(f"/parts/{washer.pk}/", {"status": "withdrawn"})
    rows = {row["part"]["number"]: row for row in needed(desk, check)["results"]}
    assert (rows["1001"]["verdict"], rows["1001"]["problem"]["code"]) == (None, "part_withdrawn")
    assert (rows["4470"]["verdict"], rows["4470"]["problem"]) == ("rejected", None)


def test_a_check_of_a_machine_asks_about_the_machine(desk: Desk) -> None:
    desk.changed(plug(), {"needs": [WASHER]})
    question = demo_question("accepted")
    application = dict(question["application"])
    records = application.pop("fuel_records")
    machine = desk.made("/machines/", {"name": "Truck 70", **application})["id"]
    desk.made(f"/machines/{machine}/fuel-records/", records[0])
    check = desk.answer({"candidate": question["candidate"], "position": "spark_plug", "machine": machine})
    assert check["verdict"] == "accepted"
    assert [row["verdict"] for row in needed(desk, check)["results"]] == ["accepted"]


def test_where_nothing_is_needed_it_says_so(desk: Desk) -> None:
    told = needed(desk, desk.answer(demo_question("accepted")))
    assert (told["results"], told["text"]) == ([], "Nothing is recorded as needed with it.")


def test_another_dealers_check_is_not_found(desk: Desk, other_desk: Desk) -> None:
    check = desk.answer(demo_question("accepted"))
    assert other_desk.get(f"/checks/{check['id']}/also-needed/").status_code == 404


def test_looking_needs_no_more_than_reading(tallis_bridge: Any, desk: Desk) -> None:
    reader = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ])
    assert reader.get(f"/checks/{desk.answer(demo_question('accepted'))['id']}/also-needed/").status_code == 200


def test_more_needed_parts_cost_no_more_queries(desk: Desk) -> None:
    def queries(check: dict[str, Any]) -> int:
        with CaptureQueriesContext(connection) as made:
            needed(desk, check)
        return len(made)

    check = desk.answer(demo_question("accepted"))
    desk.changed(plug(), {"needs": [WASHER]})
    one = queries(check)
    more = [{"part": {"maker": "VRD", "number": number}} for number in ("4410-07", "4410-20")]
    desk.changed(plug(), {"needs": [WASHER, WRONG_PLUG, *more]})
    assert queries(check) == one
