"""Who may not approve, and what cannot be approved: each refusal says what was expected.

Roles and licences: common practice, no source.
"""

from typing import Any

import pytest
from django.test import Client

from catalog.models import Approval
from service.operations.models import Dealer, Person, Role, Scope
from service.operations.people import create_person
from tests.api.approving import (
    approve,
    approved,
    confirm_conversion,
    gas_hose,
    machine_named,
    plug_on,
    refused,
    set_gap,
)
from tests.api.world import JSON, Desk

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]


def test_a_check_that_is_not_conditional_can_not_be_approved(desk: Desk) -> None:
    refusal = approve(desk, plug_on(desk, "Genset South", "4470"))
    assert refused(refusal) == (409, "not_approvable")
    assert "hard no" in refusal.json()["detail"]
    accepted = plug_on(desk, "Genset North")
    assert (accepted["verdict"], accepted["approvable"]) == ("accepted", False)
    assert refused(approve(desk, accepted)) == (409, "not_approvable")


def test_a_check_without_a_machine_can_not_be_approved(desk: Desk) -> None:
    body = {
        "candidate": {"maker": "TSK", "number": "4475"},
        "position": "spark_plug",
        "application": {
            "spec": {"model": "TSK-R60", "spec": "N-43"}, "serial": "61390", "plate_fuels": ["natural_gas"],
            "fuel_records": [{"fuels": ["lpg_vapour"], "mode": "only_fuel", "found_on": "2024-05-06"}],
            "place_of_use": "outdoor",
        },
    }  # fmt: skip
    check = desk.answer(body)
    assert (check["verdict"], check["approvable"]) == ("conditional", False)
    refusal = approve(desk, check)
    assert refused(refusal) == (409, "not_approvable")
    assert "machine" in refusal.json()["detail"]


def test_a_conversion_that_nobody_confirmed_can_not_be_approved(desk: Desk) -> None:
    check = plug_on(desk, "Genset South")
    assert (check["verdict"], check["approvable"], check["approvable_by"]) == ("conditional", True, "service_manager")
    refusal = approve(desk, check)
    assert refused(refusal) == (409, "conversion_not_confirmed")
    assert refusal.json()["missing"] == ["confirmed_by"]
    confirm_conversion(desk)
    assert approve(desk, check).status_code == 201


def test_an_answer_that_would_be_another_now_is_not_approved(desk: Desk) -> None:
    """Architecture, 8: what has changed shows on the next ask, never by editing the check."""
    check = set_gap(desk)
    records = f"/machines/{check['machine']}/fuel-records/"
    desk.made(records, {"fuels": ["gasoline"], "mode": "only_fuel", "found_on": "2026-03-09"})
    refusal = approve(desk, check)
    assert refused(refusal) == (409, "not_approvable")
    assert "asked again" in refusal.json()["detail"].lower()
    assert desk.get(f"/checks/{check['id']}/").json() == check


@pytest.mark.parametrize("person", ["w.osk", "a.tarle"])
def test_what_asks_for_a_service_manager_is_approved_by_nobody_else(desk: Desk, person: str) -> None:
    refusal = approve(desk, set_gap(desk), person=person)
    assert refused(refusal) == (403, "not_an_approver")
    assert refusal.json()["role"] == "service_manager"


def test_what_carries_gas_is_approved_by_a_technician_whose_licence_is_in_force(desk: Desk) -> None:
    check = gas_hose(desk)
    assert refused(approve(desk, check, person="r.tarnick")) == (403, "not_an_approver")
    assert refused(approve(desk, check, person="a.tarle", licence="G-115")) == (409, "licence_not_in_force")
    answer = approved(desk, check, person="a.tarle", licence="G-114")
    assert (answer["role"], answer["licence"]["number"], answer["licence"]["area"]) == (
        "gas_technician", "G-114", "north",
    )  # fmt: skip
    # What is kept is how it was that day.
    Role.objects.filter(person__username="a.tarle").update(licence_number="G-200")
    assert desk.get(f"/approvals/{answer['id']}/").json() == answer


@pytest.mark.parametrize(
    "on_file",
    [
        {"licence_number": "", "licence_area": "", "licence_expires": None},
        {"licence_area": ""},
        {"licence_expires": None},
        {"licence_expires": "2026-03-08"},
    ],
    ids=["none", "no area", "no expiry", "over"],
)
def test_a_licence_that_is_not_whole_or_not_in_force_carries_no_approval(desk: Desk, on_file: dict[str, Any]) -> None:
    Role.objects.filter(person__username="a.tarle").update(**on_file)
    assert refused(approve(desk, gas_hose(desk), person="a.tarle")) == (409, "licence_not_in_force")
    assert not Approval.objects.exists()


def test_a_licence_is_in_force_on_its_last_day(desk: Desk) -> None:
    Role.objects.filter(person__username="a.tarle").update(licence_expires="2026-03-09")
    assert approve(desk, gas_hose(desk), person="a.tarle").status_code == 201


def test_a_person_is_named_by_user_name_or_id_and_belongs_to_the_dealer(desk: Desk, weir_lane: Dealer) -> None:
    create_person(username="theirs", name="M. Strand", roles=["service_manager"], dealer=weir_lane)
    check = set_gap(desk)
    for stranger in ("theirs", "nobody", 2**40):
        assert refused(approve(desk, check, person=stranger)) == (404, "unknown_person")
    number = Person.objects.get(username="r.tarnick").pk
    assert approved(desk, check, person=number)["person"]["id"] == number
    Person.objects.filter(pk=number).update(is_active=False)
    assert refused(approve(desk, check)) == (404, "unknown_person")


def test_a_key_bound_to_a_person_approves_in_no_other_name(desk: Desk, tallis_bridge: Dealer) -> None:
    check = set_gap(desk)
    counter = Desk.of(tallis_bridge, person=Person.objects.get(username="w.osk"))
    assert refused(approve(counter, check, person="r.tarnick")) == (403, "another_person")
    assert refused(approve(counter, check, person=None)) == (403, "not_an_approver")
    manager = Desk.of(tallis_bridge, person=Person.objects.get(username="r.tarnick"))
    assert approved(manager, check, person=None)["entered_by"] == "R. Tarnick"
    refusal = approve(desk, check, person=None)
    assert (refused(refusal), refusal.json()["errors"][0]["pointer"]) == ((400, "required"), "#/person")


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"until": "2026-03-08"}, "#/until"),
        ({"from": "2026-03-08"}, "#/from"),
        ({"from": "2026-04-10"}, "#/until"),
        ({"until": None}, "#/until"),
        ({"until": "soon"}, "#/until"),
        ({"reason": ""}, "#/reason"),
        ({"reason": None}, "#/reason"),
        ({"person": True}, "#/person"),
        ({"person": []}, "#/person"),
        ({"verdict": "accepted"}, "#/verdict"),
    ],
    ids=str,
)
def test_a_body_that_can_not_be_taken_is_refused_at_its_member(desk: Desk, body: dict[str, Any], pointer: str) -> None:
    response = approve(desk, set_gap(desk), **body)
    assert response.status_code == 400
    assert [error["pointer"] for error in response.json()["errors"]] == [pointer]
    assert not Approval.objects.exists()


def test_it_is_done_once_and_asks_for_a_key_and_a_scope(desk: Desk, tallis_bridge: Dealer) -> None:
    check = set_gap(desk)
    address = f"/checks/{check['id']}/approvals/"
    body = {"person": "r.tarnick", "until": "2026-04-09", "reason": "measured"}
    assert refused(desk.post(address, body)) == (400, "idempotency_key_missing")
    first, again = (desk.post(address, body, Idempotency_Key="once") for _ in range(2))
    assert (first.status_code, again.content) == (201, first.content)
    assert Approval.objects.count() == 1
    asker = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ, Scope.CHECKS_WRITE])
    assert refused(asker.post(address, body, Idempotency_Key="other")) == (403, "missing_scope")
    assert refused(asker.post(f"/approvals/{first.json()['id']}/withdraw/", {"reason": "x"})) == (403, "missing_scope")


def test_a_work_order_has_to_be_ones_own_and_on_the_machine(desk: Desk, other_desk: Desk) -> None:
    check = set_gap(desk)
    theirs = other_desk.made("/work-orders/", {"number": "J9"})
    for named in ("J9", theirs["id"]):
        assert refused(approve(desk, check, work_order=named)) == (404, "unknown_work_order")
    desk.made("/work-orders/", {"number": "J10", "machine": machine_named(desk, "Resurfacer 1")})
    desk.made("/work-orders/", {"number": "J11"})
    for named in ("J10", "J11"):
        assert refused(approve(desk, check, work_order=named)) == (409, "work_order_elsewhere")


def test_nothing_is_approved_for_a_withdrawn_machine(desk: Desk) -> None:
    check = set_gap(desk)
    desk.changed(f"/machines/{check['machine']}/", {"status": "withdrawn"})
    assert refused(approve(desk, check)) == (410, "machine_withdrawn")


def test_somebody_signed_in_approves_in_their_own_name(desk: Desk) -> None:
    address = f"/api/v1/checks/{set_gap(desk)['id']}/approvals/"
    body, client = {"until": "2026-04-09", "reason": "measured"}, Client()
    client.force_login(Person.objects.get(username="w.osk"))
    assert client.post(address, body, content_type=JSON, headers={"Idempotency-Key": "s-1"}).status_code == 403
    client.force_login(Person.objects.get(username="r.tarnick"))
    given = client.post(address, body, content_type=JSON, headers={"Idempotency-Key": "s-2"})
    assert given.status_code == 201
    assert (given.json()["person"]["name"], given.json()["entered_by"]) == ("R. Tarnick", "R. Tarnick")
