"""Approvals: who may give one, what it is for, when it applies, and who relied on it.

Roles and licences: common practice, no source.
"""

import json
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from catalog.models import Approval, Check
from tests.api.approving import (
    approve,
    approved,
    confirm_conversion,
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


def test_a_later_record_that_nobody_confirmed_ends_the_approval_of_a_conversion(desk: Desk) -> None:
    confirm_conversion(desk)
    check = plug_on(desk, "Genset South")
    answer = approved(desk, check)
    confirm_conversion(desk, found_on="2026-03-08", confirmed_by=None)
    read = desk.get(f"/approvals/{answer['id']}/").json()
    assert (read["applies"], read["why_not"]) == (False, "found_otherwise")
    assert desk.get(f"/checks/{check['id']}/").json()["approval"] is None
    assert refused(approve(desk, check)) == (409, "conversion_not_confirmed")


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
