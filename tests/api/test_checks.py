"""A check is answered, kept as it was given, and shown to its own dealer alone."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from catalog.models import Check
from service.operations.keys import issue_key, revoke
from service.operations.models import Dealer, Scope
from tests.api.approving import machine_named
from tests.api.world import Desk, demo_question, read

pytestmark = pytest.mark.db

FIELDS = {
    "id", "verdict", "headline", "machine", "position", "use", "chain", "catalogue_errors", "findings", "conditions",
    "missing", "conflicts", "cautions", "alternatives", "approvable", "approvable_by", "approval", "digest",
    "catalogue_version", "rulebook", "checked_at", "checked_by",
}  # fmt: skip
FINDING = {"attribute", "slot", "outcome", "effect", "demand", "offer", "margin", "text", "source"}


@pytest.mark.parametrize("entry", read("demo", "checks.json"), ids=lambda entry: str(entry["verdict"]))
def test_each_question_of_the_demo_has_the_verdict_it_should_have(desk: Desk, entry: dict[str, Any]) -> None:
    answer = desk.answer(entry["body"])
    assert answer["verdict"] == entry["verdict"]
    assert answer["headline"]


def test_an_answer_has_the_members_of_the_contract_and_no_others(desk: Desk) -> None:
    answer = desk.answer(demo_question("rejected"))
    assert set(answer) == FIELDS
    assert all(set(finding) == FINDING for finding in answer["findings"])
    assert all(set(finding["source"]) == {"kind", "citation"} for finding in answer["findings"])
    assert answer["checked_at"].endswith("Z")
    assert answer["catalogue_version"] > 0
    assert answer["rulebook"] == 1
    assert answer["checked_by"].startswith("counter (")


def test_a_check_is_kept_and_read_back_byte_by_byte(desk: Desk) -> None:
    created = desk.check(demo_question("conditional"))
    assert created.headers["Location"] == f"/api/v1/checks/{created.json()['id']}/"
    again = desk.client.get(created.headers["Location"], headers={"Authorization": f"Bearer {desk.key}"})
    assert again.status_code == 200
    assert again.content == created.content


def test_a_check_that_is_known_already_is_not_sent_again(desk: Desk) -> None:
    number = desk.answer(demo_question("accepted"))["id"]
    first = desk.get(f"/checks/{number}/")
    again = desk.get(f"/checks/{number}/", If_None_Match=first.headers["ETag"])
    assert (again.status_code, again.content) == (304, b"")
    # Shown in other units it is another text.
    assert desk.get(f"/checks/{number}/?units=us", If_None_Match=first.headers["ETag"]).status_code == 200


def test_in_other_units_the_verdict_is_the_same_and_the_measures_are_converted(desk: Desk) -> None:
    body = demo_question("accepted")
    given = desk.answer(body)
    shown = desk.get(f"/checks/{given['id']}/?units=us").json()
    assert {name: shown[name] for name in ("verdict", "digest", "use", "checked_at")} == {
        name: given[name] for name in ("verdict", "digest", "use", "checked_at")
    }
    units = {finding["attribute"]: _unit(finding) for finding in shown["findings"] if _unit(finding)}
    assert "in" in units.values()
    assert "mm" not in units.values()
    posted = desk.post("/checks/?units=us", body).json()
    assert posted["findings"] == shown["findings"]
    # What is kept is as it was given, whatever the asker wanted to see.
    assert desk.get(f"/checks/{posted['id']}/").json()["findings"] == given["findings"]


def _unit(finding: dict[str, Any]) -> str | None:
    value = (finding["offer"] or {}).get("value")
    return value.get("unit") if isinstance(value, dict) else None


def test_another_dealer_never_sees_a_check(desk: Desk, other_desk: Desk) -> None:
    number = desk.answer(demo_question("accepted"))["id"]
    theirs, nobodys = other_desk.get(f"/checks/{number}/"), other_desk.get(f"/checks/{uuid4()}/")
    assert theirs.status_code == nobodys.status_code == 404
    assert theirs.json()["detail"] == nobodys.json()["detail"]
    assert other_desk.get("/checks/").json()["results"] == []
    assert [row["id"] for row in desk.get("/checks/").json()["results"]] == [number]


def test_checks_are_listed_newest_first_in_pages_and_by_verdict(desk: Desk) -> None:
    asked = [desk.answer(demo_question(verdict))["id"] for verdict in ("accepted", "rejected", "accepted")]
    first = desk.get("/checks/?page_size=2").json()
    rest = desk.client.get(first["next"], headers={"Authorization": f"Bearer {desk.key}"}).json()
    assert [row["id"] for row in (*first["results"], *rest["results"])] == asked[::-1]
    assert rest["next"] is None
    rejected = desk.get("/checks/?verdict=rejected").json()["results"]
    assert [row["id"] for row in rejected] == [asked[1]]
    later = (timezone.now() + timedelta(hours=1)).isoformat()
    assert desk.client.get(
        "/api/v1/checks/", {"since": later}, headers={"Authorization": f"Bearer {desk.key}"}
    ).json()["results"] == []  # fmt: skip


@pytest.mark.parametrize("parameter", ["verdict=maybe", "since=yesterday", "page_size=0", "colour=red", "cursor=zzz"])
def test_a_list_refuses_parameters_it_cannot_take(desk: Desk, parameter: str) -> None:
    response = desk.get(f"/checks/?{parameter}")
    assert response.status_code == 400
    assert response.json()["errors"][0]["parameter"] == parameter.split("=", maxsplit=1)[0]


def test_without_a_good_key_nothing_is_answered_or_kept(desk: Desk, tallis_bridge: Dealer) -> None:
    now = timezone.now()
    expired = issue_key(
        dealer=tallis_bridge, name="old", live=True, scopes=Scope.values, now=now - timedelta(days=2),
        expires_at=now - timedelta(days=1),
    ).text  # fmt: skip
    revoked = issue_key(dealer=tallis_bridge, name="gone", live=True, scopes=Scope.values, now=now)
    revoke(revoked.key, now - timedelta(minutes=1))
    wrong = desk.key[:-1] + ("a" if desk.key[-1] != "a" else "b")
    for key in (expired, revoked.text, wrong, "nonsense", ""):
        response = Desk(desk.client, key).check(demo_question("accepted"))
        assert response.status_code == 401
        assert "Bearer" in response.headers["WWW-Authenticate"]
    assert not Check.objects.exists()


def test_a_key_without_the_scope_may_not_ask(tallis_bridge: Dealer) -> None:
    reader = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ])
    assert reader.check(demo_question("accepted")).status_code == 403
    assert reader.post("/checks/batch/", {"items": [demo_question("accepted")]}).status_code == 403
    asker = Desk.of(tallis_bridge, scopes=[Scope.CHECKS_WRITE])
    assert asker.get("/parts/").status_code == 403
    assert not Check.objects.exists()


def test_a_repeated_request_with_its_key_gets_the_first_answer_and_asks_once(desk: Desk) -> None:
    body = demo_question("accepted")
    first, again = (desk.check(body, Idempotency_Key="k-1") for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 201)
    assert again.content == first.content
    assert again.headers["Location"] == first.headers["Location"]
    assert again.headers["Idempotency-Replayed"] == "true"
    assert Check.objects.count() == 1


def test_the_same_key_for_another_question_is_refused(desk: Desk, other_desk: Desk) -> None:
    desk.check(demo_question("accepted"), Idempotency_Key="k-1")
    other = desk.check(demo_question("rejected"), Idempotency_Key="k-1")
    assert other.status_code == 422
    assert other.json()["code"] == "idempotency_key_reused"
    # A key is the dealer's own.
    assert other_desk.check(demo_question("rejected"), Idempotency_Key="k-1").status_code == 201


def test_a_question_that_could_not_be_read_leaves_its_key_free(desk: Desk) -> None:
    assert desk.check({"candidate": 5}, Idempotency_Key="k-2").status_code == 400
    # Another body, and so another request: the key was given back.
    assert desk.check(demo_question("accepted"), Idempotency_Key="k-2").status_code == 201


def test_a_recorded_check_can_not_be_changed(desk: Desk) -> None:
    check = Check.objects.get(pk=desk.answer(demo_question("accepted"))["id"])
    check.verdict = "rejected"
    with pytest.raises(RuntimeError, match="never changed"):
        check.save()
    with pytest.raises(RuntimeError, match="never changed"):
        Check.objects.update(verdict="rejected")
    check.refresh_from_db()
    assert check.verdict == "accepted"


def test_without_an_engine_a_part_is_set_beside_the_other_and_never_accepted(desk: Desk) -> None:
    answer = desk.answer(
        {"candidate": {"maker": "VRD", "number": "4410-12"}, "replaces": {"maker": "VRD", "number": "4410-07"}}
    )
    assert answer["verdict"] in {"undetermined", "rejected"}
    assert answer["position"] is None
    assert answer["alternatives"] == []


def test_without_a_position_the_only_one_meant_is_taken_and_shown(desk: Desk) -> None:
    body = demo_question("accepted")
    del body["position"]
    assert desk.answer(body)["position"] == "spark_plug"


def test_a_serial_in_no_block_is_an_answer_and_no_problem(desk: Desk) -> None:
    body = demo_question("accepted")
    body["application"]["serial"] = "K131077"
    assert desk.check(body).status_code == 201


def test_a_spark_plug_for_a_diesel_is_refused_though_no_position_takes_one(desk: Desk) -> None:
    """It is made for fuels that the engine does not burn; common practice, no source."""
    pump = machine_named(desk, "Pump 3")
    answer = desk.answer({"candidate": {"maker": "VRD", "number": "4410-12"}, "machine": pump})
    assert (answer["verdict"], answer["position"], answer["missing"]) == ("rejected", None, [])
    assert "this engine burns diesel (found 2026-01-12)" in answer["headline"]
    assert [(found["attribute"], found["effect"]) for found in answer["findings"]] == [("fuels", "reject")]
    named = desk.check({"candidate": {"maker": "VRD", "number": "4410-12"}, "machine": pump, "position": "spark_plug"})
    assert named.status_code == 404, "a position that the engine has not is a mistake in the question"
