"""Approvals: who may give one, what it is for, when it applies, and who relied on it.

Roles and licences: common practice, no source.
"""

import json
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from catalog.models import Approval, Check
from service.operations.models import Dealer, Person, Role, Scope
from service.operations.people import create_person
from tests.api.approving import (
    approve,
    approved,
    confirm_conversion,
    gas_hose,
    machine_named,
    newest_change,
    plug_on,
    refused,
    set_gap,
)
from tests.api.world import Desk
from tests.desks import Clock

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]
MEMBERS = {
    "id", "check", "machine", "position", "parts", "conditions", "person", "role", "licence", "from", "until",
    "work_order", "reason", "approved_at", "entered_by", "withdrawn", "applies", "why_not",
}  # fmt: skip


def test_an_approval_is_kept_as_it_was_given(desk: Desk) -> None:
    check = set_gap(desk)
    assert (check["approvable"], check["approval"]) == (True, None)
    created = approve(desk, check)
    assert created.status_code == 201
    answer = created.json()
    assert set(answer) == MEMBERS
    assert (answer["check"], answer["machine"]) == (check["id"], machine_named(desk, "Truck 7"))
    assert answer["conditions"] == check["conditions"]
    assert (answer["person"]["name"], answer["role"], answer["licence"]) == ("R. Tarnick", "service_manager", None)
    assert (answer["from"], answer["until"]) == ("2026-03-09", "2026-04-09")
    assert (answer["applies"], answer["why_not"]) == (True, None)
    assert desk.get(f"/approvals/{answer['id']}/").json() == answer
    assert created.headers["Location"] == f"/api/v1/approvals/{answer['id']}/"
    assert desk.get(f"/checks/{check['id']}/approvals/").json()["results"] == [answer]


def test_the_check_shows_the_approval_that_applies_and_is_otherwise_as_it_was(desk: Desk) -> None:
    check = set_gap(desk)
    before = desk.get(f"/checks/{check['id']}/")
    answer = approved(desk, check)
    after = desk.get(f"/checks/{check['id']}/")
    assert after.json() == {**check, "approval": answer}
    assert after.headers["ETag"] != before.headers["ETag"]
    again = set_gap(desk)
    assert (again["verdict"], again["digest"], again["approval"]) == ("conditional", check["digest"], answer)
    batch = desk.post("/checks/batch/", {"items": [_question(check)]}).json()["results"]
    assert batch[0]["approval"] == answer


def _question(check: dict[str, Any]) -> Any:
    return json.loads(Check.objects.get(pk=check["id"]).question)


def test_it_is_for_nothing_but_what_was_approved(desk: Desk) -> None:
    check = set_gap(desk)
    approved(desk, check)
    asked = _question(check)
    other_gap = {**asked, "candidate": _described_with(asked["candidate"], "gap", {"value": "0.9", "unit": "mm"})}
    elsewhere = {**asked, "machine": machine_named(desk, "Resurfacer 1")}
    for body in (other_gap, elsewhere):
        assert desk.answer(body)["approval"] is None
    assert desk.answer(asked)["approval"] is not None


def test_fewer_of_the_same_part_is_something_else(desk: Desk) -> None:
    confirm_conversion(desk)
    check = plug_on(desk, "Genset South")
    approved(desk, check)
    part = {"maker": "TSK", "number": "4475"}
    counts = {6: True, 2: False}  # the engine has six that are replaced together
    for quantity, applies in counts.items():
        answer = desk.answer({**_question(check), "candidate": [{"part": part, "quantity": quantity}]})
        assert (answer["verdict"], answer["approval"] is not None) == ("conditional", applies)


def _described_with(candidate: dict[str, Any], attribute: str, value: Any) -> dict[str, Any]:
    described = candidate["described"]
    changed = [
        {**entry, "value": value} if entry["attribute"] == attribute else entry for entry in described["attributes"]
    ]
    return {"described": {**described, "attributes": changed}}


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


def test_a_later_record_that_nobody_confirmed_ends_the_approval_of_a_conversion(desk: Desk) -> None:
    confirm_conversion(desk)
    check = plug_on(desk, "Genset South")
    answer = approved(desk, check)
    confirm_conversion(desk, found_on="2026-03-08", confirmed_by=None)
    read = desk.get(f"/approvals/{answer['id']}/").json()
    assert (read["applies"], read["why_not"]) == (False, "found_otherwise")
    assert desk.get(f"/checks/{check['id']}/").json()["approval"] is None
    assert refused(approve(desk, check)) == (409, "conversion_not_confirmed")


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


def test_it_applies_on_both_of_its_days_in_the_dealers_zone(desk: Desk, clock: Clock) -> None:
    check = set_gap(desk)
    answer = approved(desk, check, **{"from": "2026-03-10"})
    moments = {
        "2026-03-09T23:59:59+01:00": "not_yet",
        "2026-03-10T00:00:00+01:00": None,
        "2026-04-09T23:59:59+02:00": None,
        "2026-04-10T00:00:00+02:00": "over",
    }
    for moment, why_not in moments.items():
        clock.at(moment)
        assert desk.get(f"/approvals/{answer['id']}/").json()["why_not"] == why_not
        for shown in (set_gap(desk), desk.get(f"/checks/{check['id']}/").json()):
            assert (shown["approval"] is None) == (why_not is not None)


def test_of_several_the_one_that_lasts_longest_is_shown(desk: Desk) -> None:
    check = set_gap(desk)
    longest = [approved(desk, check, until=day)["id"] for day in ("2026-03-12", "2026-04-09", "2026-03-20")][1]
    assert desk.get(f"/checks/{check['id']}/").json()["approval"]["id"] == longest


def test_it_ends_with_its_work_order_whatever_its_last_day(desk: Desk) -> None:
    check = set_gap(desk)
    order = desk.made("/work-orders/", {"number": "J9", "machine": check["machine"]})
    answer = approved(desk, check, work_order="J9")
    assert answer["work_order"] == {"id": order["id"], "number": "J9"}
    assert set_gap(desk)["approval"] == answer, "the question need not name it"
    desk.changed(f"/work-orders/{order['id']}/", {"state": "closed"})
    assert set_gap(desk)["approval"] is None
    assert desk.get(f"/approvals/{answer['id']}/").json()["why_not"] == "work_order_ended"
    assert refused(approve(desk, check, work_order="J9")) == (409, "work_order_ended")


def test_a_work_order_has_to_be_ones_own_and_on_the_machine(desk: Desk, other_desk: Desk) -> None:
    check = set_gap(desk)
    theirs = other_desk.made("/work-orders/", {"number": "J9"})
    for named in ("J9", theirs["id"]):
        assert refused(approve(desk, check, work_order=named)) == (404, "unknown_work_order")
    desk.made("/work-orders/", {"number": "J10", "machine": machine_named(desk, "Resurfacer 1")})
    desk.made("/work-orders/", {"number": "J11"})
    for named in ("J10", "J11"):
        assert refused(approve(desk, check, work_order=named)) == (409, "work_order_elsewhere")


def test_withdrawing_is_for_good_and_told_in_the_feed(desk: Desk) -> None:
    check = set_gap(desk)
    answer = approved(desk, check)
    since = newest_change()
    assert desk.post(f"/approvals/{answer['id']}/withdraw/", {}).status_code == 400
    withdrawn = desk.post(f"/approvals/{answer['id']}/withdraw/", {"reason": "regulator found leaking"})
    assert withdrawn.status_code == 200
    assert (withdrawn.json()["applies"], withdrawn.json()["why_not"]) == (False, "withdrawn")
    assert withdrawn.json()["withdrawn"]["reason"] == "regulator found leaking"
    assert set_gap(desk)["approval"] is None
    assert desk.get(f"/checks/{check['id']}/").json() == check
    again = desk.post(f"/approvals/{answer['id']}/withdraw/", {"reason": "twice"})
    assert refused(again) == (409, "already_withdrawn")
    told = [
        row for row in desk.get(f"/changes/?since={since}").json()["results"] if row["kind"] == "approval.withdrawn"
    ]
    assert [row["object_id"] for row in told] == [answer["id"]]


def test_who_relied_on_it_is_found(desk: Desk, clock: Clock) -> None:
    first = set_gap(desk)
    clock.at("2026-03-10T09:00:00+01:00")
    before = set_gap(desk)
    clock.at("2026-03-10T10:00:00+01:00")
    answer = approved(desk, before)
    clock.at("2026-03-11T10:00:00+01:00")
    relied, other = set_gap(desk), plug_on(desk, "Genset South")
    clock.at("2026-03-12T10:00:00+01:00")
    desk.post(f"/approvals/{answer['id']}/withdraw/", {"reason": "found out"})
    clock.at("2026-03-13T10:00:00+01:00")
    after = set_gap(desk)
    found = [row["id"] for row in desk.get(f"/approvals/{answer['id']}/checks/").json()["results"]]
    assert found == [relied["id"], before["id"]]
    assert not {first["id"], other["id"], after["id"]} & set(found)
    listed = desk.get("/approvals/?withdrawn=true").json()["results"]
    assert [row["id"] for row in listed] == [answer["id"]]
    assert desk.get("/approvals/?withdrawn=false").json()["results"] == []


def test_another_dealer_finds_nothing_of_it(desk: Desk, other_desk: Desk) -> None:
    check = set_gap(desk)
    answer = approved(desk, check)["id"]
    assert approve(other_desk, check).status_code == 404
    for address in (f"/checks/{check['id']}/approvals/", f"/approvals/{answer}/", f"/approvals/{answer}/checks/"):
        assert other_desk.get(address).status_code == 404
    assert other_desk.post(f"/approvals/{answer}/withdraw/", {"reason": "x"}).status_code == 404
    assert other_desk.get("/approvals/").json()["results"] == []
    assert desk.get(f"/approvals/{answer}/").json()["applies"] is True


def test_nothing_is_approved_for_a_withdrawn_machine(desk: Desk) -> None:
    check = set_gap(desk)
    desk.changed(f"/machines/{check['machine']}/", {"status": "withdrawn"})
    assert refused(approve(desk, check)) == (410, "machine_withdrawn")


def test_an_approval_can_not_be_changed_and_the_database_keeps_its_rules(desk: Desk) -> None:
    row = Approval.objects.get(pk=approved(desk, set_gap(desk))["id"])
    row.reason = "another"
    for change in (row.save, row.delete, lambda: Approval.objects.update(reason="x"), Approval.objects.all().delete):
        with pytest.raises(RuntimeError, match="never changed"):
            change()
    row.refresh_from_db()
    row.pk, row._state.adding = None, True
    for broken in (
        {"last": "2026-03-08"},
        {"reason": ""},
        {"role": "owner"},
        {"role": "gas_technician"},
        {"withdrawn_by": "nobody"},
    ):
        other = Approval(**{**_columns(row), **broken})
        with pytest.raises(IntegrityError), transaction.atomic():
            other.save()


def _columns(row: Approval) -> dict[str, Any]:
    return {field.attname: getattr(row, field.attname) for field in row._meta.fields if field.attname != "id"}
