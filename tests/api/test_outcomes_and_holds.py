"""What became of a part: a report puts it on hold for its dealer, and for all when an editor confirms it."""

from typing import Any
from uuid import uuid4

import pytest

from catalog.models import CatalogueState, Hold, Outcome
from service.operations.models import Dealer, Scope
from service.operations.people import create_person
from tests.acceptance.chains import PUMP_3
from tests.api.approving import approve, approved, confirm_conversion, newest_change, plug_on, refused, set_gap
from tests.api.world import Desk, demo_question
from tests.desks import Clock

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]
SAID = "on hold: did not fit, reported 2026-03-09"


def report(desk: Desk, check: dict[str, Any], kind: str = "did_not_fit", **more: Any) -> dict[str, Any]:
    return desk.made(f"/checks/{check['id']}/outcomes/", {"kind": kind, **more})


@pytest.fixture
def editor(tallis_bridge: Dealer) -> Desk:
    person = create_person(username="p.aldous", name="P. Aldous", roles=["catalogue_editor"], dealer=tallis_bridge)
    return Desk.of(tallis_bridge, person=person)


def test_a_part_that_did_not_fit_is_on_hold_and_no_yes_until_it_is_settled(desk: Desk, editor: Desk) -> None:
    body = demo_question("accepted")
    before = desk.answer(body)
    reported = report(desk, before, note="hexagon fouls the shroud")
    assert [hold["state"] for hold in reported["holds"]] == ["own"]
    held = desk.answer(body)
    assert held["verdict"] == "undetermined"
    assert SAID in held["headline"]
    assert "report on hold" in [entry["fact"] for entry in held["missing"]]
    assert held["digest"] != before["digest"], "a fact of the check"
    assert desk.get(f"/checks/{before['id']}/").json() == before
    closed = editor.post(f"/holds/{reported['holds'][0]['id']}/close/", {"reason": "shroud bent on that engine alone"})
    assert (closed.status_code, closed.json()["state"], closed.json()["closed"]["by"]) == (200, "closed", "P. Aldous")
    after = desk.answer(body)
    assert (after["verdict"], after["digest"]) == ("accepted", before["digest"])
    assert desk.get(f"/checks/{held['id']}/").json() == held


def test_what_was_on_hold_when_it_was_asked_is_shown_in_other_units_too(desk: Desk) -> None:
    body = demo_question("accepted")
    report(desk, desk.answer(body))
    held = desk.answer(body)
    assert SAID in desk.get(f"/checks/{held['id']}/?units=us").json()["headline"]


def test_a_part_that_fitted_is_not_put_on_hold(desk: Desk) -> None:
    body = demo_question("accepted")
    before = desk.answer(body)
    version = CatalogueState.objects.get().version
    assert report(desk, before, "fitted")["holds"] == []
    assert desk.answer(body)["digest"] == before["digest"]
    assert CatalogueState.objects.get().version == version


@pytest.mark.parametrize(("kind", "words"), [("failed", "failed"), ("returned", "was returned")])
def test_every_other_report_says_what_it_was_and_when(desk: Desk, kind: str, words: str) -> None:
    body = demo_question("accepted")
    report(desk, desk.answer(body), kind, reported_on="2026-03-05")
    assert f"on hold: {words}, reported 2026-03-05" in desk.answer(body)["headline"]


def test_a_refusal_stays_a_refusal_and_an_alternative_on_hold_is_not_offered(desk: Desk) -> None:
    offered = plug_on(desk, "Genset South", "4470")["alternatives"]
    assert [entry["part"]["number"] for entry in offered] == ["4475"]
    report(desk, plug_on(desk, "Genset South", "4475"))
    report(desk, plug_on(desk, "Genset South", "4470"))
    refusal = plug_on(desk, "Genset South", "4470")
    assert (refusal["verdict"], refusal["alternatives"]) == ("rejected", [])


def test_it_is_the_dealers_own_until_an_editor_confirms_it(desk: Desk, other_desk: Desk, editor: Desk) -> None:
    body = demo_question("accepted")
    hold = report(desk, desk.answer(body))["holds"][0]["id"]
    assert other_desk.answer(body)["verdict"] == "accepted"
    confirmed = editor.post(f"/holds/{hold}/confirm/", {})
    assert (confirmed.status_code, confirmed.json()["state"]) == (200, "all")
    assert SAID in other_desk.answer(body)["headline"]
    assert refused(editor.post(f"/holds/{hold}/confirm/", {})) == (409, "hold_confirmed")
    assert editor.post(f"/holds/{hold}/close/", {}).status_code == 400
    assert editor.post(f"/holds/{hold}/close/", {"reason": "data put right"}).status_code == 200
    assert other_desk.answer(body)["verdict"] == desk.answer(body)["verdict"] == "accepted"
    for again in ("confirm", "close"):
        body = {"reason": "again"} if again == "close" else {}
        assert refused(editor.post(f"/holds/{hold}/{again}/", body)) == (409, "hold_closed")


def test_it_holds_at_that_position_of_that_specification_alone(desk: Desk) -> None:
    on_s131 = demo_question("accepted")
    on_s118 = {
        **on_s131,
        "application": {**on_s131["application"], "spec": {"model": "VRD-H40", "spec": "S-118"}, "serial": "118402"},
    }
    before = desk.answer(on_s118)
    report(desk, desk.answer(on_s131))
    assert desk.answer(on_s118)["digest"] == before["digest"]


@pytest.mark.parametrize("place", [{}, {"position": "manifold_gasket"}])
@pytest.mark.parametrize("reported", ["7701", "7702"])
def test_a_set_is_on_hold_with_what_was_reported_of_it_and_of_any_of_its_pieces(
    desk: Desk, reported: str, place: dict[str, str]
) -> None:
    """OLM 7701 is now 7702 and 7703, of which each has a place of its own besides the gasket's."""
    whole = {"candidate": {"maker": "OLM", "number": "7701"}, "application": PUMP_3, **place}
    assert desk.answer(whole)["verdict"] == "accepted"
    report(desk, desk.answer({"candidate": {"maker": "OLM", "number": reported}, "application": PUMP_3}))
    held = desk.answer(whole)
    assert (held["verdict"], SAID in held["headline"]) == ("undetermined", True)


def test_two_reports_are_both_said_and_both_have_to_be_settled(desk: Desk, editor: Desk) -> None:
    body = demo_question("accepted")
    check = desk.answer(body)
    holds = [report(desk, check, kind)["holds"][0]["id"] for kind in ("did_not_fit", "failed")]
    assert "did not fit" in desk.answer(body)["headline"]
    assert "failed" in desk.answer(body)["headline"]
    editor.post(f"/holds/{holds[0]}/close/", {"reason": "wrong drawer"})
    assert desk.answer(body)["verdict"] == "undetermined"
    editor.post(f"/holds/{holds[1]}/close/", {"reason": "misfuelled"})
    assert desk.answer(body)["verdict"] == "accepted"


def test_an_approval_does_not_apply_while_the_part_is_on_hold(desk: Desk, editor: Desk) -> None:
    confirm_conversion(desk)
    check = plug_on(desk, "Genset South")
    answer = approved(desk, check)
    hold = report(desk, check)["holds"][0]["id"]
    assert desk.get(f"/approvals/{answer['id']}/").json()["why_not"] == "on_hold"
    assert desk.get(f"/checks/{check['id']}/").json()["approval"] is None
    refusal = approve(desk, check)
    assert refused(refusal) == (409, "not_approvable")
    assert "on hold" in refusal.json()["detail"]
    editor.post(f"/holds/{hold}/close/", {"reason": "wrong drawer"})
    assert plug_on(desk, "Genset South")["approval"]["id"] == answer["id"]


def test_goods_that_are_in_no_catalogue_are_reported_and_put_on_no_hold(desk: Desk) -> None:
    assert report(desk, set_gap(desk))["holds"] == []


def test_without_an_engine_there_is_no_position_to_hold(desk: Desk) -> None:
    check = desk.answer(
        {"candidate": {"maker": "VRD", "number": "4410-12"}, "replaces": {"maker": "VRD", "number": "4410-07"}}
    )
    assert report(desk, check)["holds"] == []


def test_reports_are_listed_in_order_with_what_came_of_them(desk: Desk, clock: Clock) -> None:
    check = desk.answer(demo_question("accepted"))
    first = report(desk, check, "fitted")
    clock.at("2026-03-20T10:00:00+01:00")
    second = report(desk, check, "failed", note="misfires")
    assert desk.get(f"/checks/{check['id']}/outcomes/").json()["results"] == [first, second]
    assert (first["by"][:9], second["reported_on"], second["note"]) == ("counter (", "2026-03-20", "misfires")


@pytest.mark.parametrize(
    "body", [{}, {"kind": "lost"}, {"kind": "failed", "reported_on": "2026-03-10"}, {"kind": "failed", "x": 1}], ids=str
)
def test_a_report_that_can_not_be_taken_leaves_nothing(desk: Desk, body: dict[str, Any]) -> None:
    check = desk.answer(demo_question("accepted"))
    assert desk.post(f"/checks/{check['id']}/outcomes/", body).status_code == 400
    assert not Outcome.objects.exists()
    assert not Hold.objects.exists()


def test_a_repeated_report_is_kept_once(desk: Desk) -> None:
    address = f"/checks/{desk.answer(demo_question('accepted'))['id']}/outcomes/"
    first, again = (desk.post(address, {"kind": "failed"}, Idempotency_Key="r-1") for _ in range(2))
    assert (first.status_code, again.content) == (201, first.content)
    assert Hold.objects.count() == 1


def test_another_dealers_check_takes_no_report(desk: Desk, other_desk: Desk) -> None:
    address = f"/checks/{desk.answer(demo_question('accepted'))['id']}/outcomes/"
    assert other_desk.post(address, {"kind": "failed"}).status_code == 404
    assert other_desk.get(address).status_code == 404
    assert desk.post(f"/checks/{uuid4()}/outcomes/", {"kind": "failed"}).status_code == 404


def test_holds_are_the_editors_to_see_and_settle(desk: Desk, tallis_bridge: Dealer, editor: Desk) -> None:
    hold = report(desk, desk.answer(demo_question("accepted")), note="fouls")["holds"][0]
    assert editor.get("/holds/").json()["results"] == [hold]
    assert [editor.get(f"/holds/?state={state}").json()["results"] for state in ("own", "all", "closed")] == [
        [hold], [], [],
    ]  # fmt: skip
    counter = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ, Scope.CHECKS_WRITE, Scope.APPROVALS_WRITE])
    assert counter.get("/holds/").status_code == 403
    for call, body in (("confirm", {}), ("close", {"reason": "x"})):
        assert counter.post(f"/holds/{hold['id']}/{call}/", body).status_code == 403
        assert editor.post(f"/holds/{hold['id'] + 1000}/{call}/", body).status_code == 404


def test_the_feed_tells_a_hold_to_its_dealer_and_once_confirmed_to_all(
    desk: Desk, other_desk: Desk, editor: Desk
) -> None:
    since = newest_change()
    hold = report(desk, desk.answer(demo_question("accepted")))["holds"][0]["id"]

    def told(to: Desk) -> list[str]:
        return [row["kind"] for row in to.get(f"/changes/?since={since}").json()["results"]]

    assert told(desk) == ["outcome.reported", "hold.opened"]
    assert told(other_desk) == []
    editor.post(f"/holds/{hold}/confirm/", {})
    editor.post(f"/holds/{hold}/close/", {"reason": "put right"})
    assert told(other_desk) == ["hold.confirmed", "hold.closed"]
