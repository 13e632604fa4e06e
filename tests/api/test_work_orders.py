"""A dealer's work orders: numbered once, ended for good, seen by nobody else."""

from uuid import uuid4

import pytest

from service.operations.models import Dealer, Scope
from tests.api.approving import machine_named, refused
from tests.api.world import Desk

pytestmark = pytest.mark.db


def test_an_order_is_opened_read_and_found(desk: Desk) -> None:
    machine = machine_named(desk, "Genset South")
    created = desk.post("/work-orders/", {"number": "J9", "machine": machine})
    assert created.status_code == 201
    order = created.json()
    assert order == {"id": order["id"], "number": "J9", "machine": machine, "state": "open", "planned_on": None}
    read = desk.get(f"/work-orders/{order['id']}/")
    assert (read.json(), read.headers["ETag"]) == (order, created.headers["ETag"])
    for wanted in ("number=J9", f"machine={machine}", "state=open"):
        assert desk.get(f"/work-orders/?{wanted}").json()["results"] == [order]
    assert desk.get("/work-orders/?state=closed").json()["results"] == []


def test_a_number_is_given_once_a_dealer_and_its_machine_is_ones_own(desk: Desk, other_desk: Desk) -> None:
    desk.made("/work-orders/", {"number": "J9"})
    assert refused(desk.post("/work-orders/", {"number": "J9"})) == (409, "taken")
    other_desk.made("/work-orders/", {"number": "J9"})
    theirs = {"number": "J10", "machine": machine_named(desk, "Genset South")}
    refusal = other_desk.post("/work-orders/", theirs)
    assert (refused(refusal), refusal.json()["errors"][0]["pointer"]) == ((404, "unknown_machine"), "#/machine")


def test_it_is_closed_or_cancelled_for_good_by_who_has_read_it(desk: Desk) -> None:
    address = f"/work-orders/{desk.made('/work-orders/', {'number': 'J9'})['id']}/"
    assert desk.patch(address, {"state": "closed"}).status_code == 428
    assert desk.patch(address, {"state": "closed"}, If_Match='"7-x"').status_code == 412
    assert desk.changed(address, {"state": "closed"})["state"] == "closed"
    tag = desk.get(address).headers["ETag"]
    for state in ("open", "cancelled"):
        assert refused(desk.patch(address, {"state": state}, If_Match=tag)) == (409, "work_order_ended")
    assert desk.patch(address, {"number": "J10"}, If_Match=tag).status_code == 400


def test_another_dealer_never_sees_it_and_writing_takes_the_scope(
    desk: Desk, other_desk: Desk, tallis_bridge: Dealer
) -> None:
    address = f"/work-orders/{desk.made('/work-orders/', {'number': 'J9'})['id']}/"
    assert other_desk.get(address).status_code == 404
    assert other_desk.patch(address, {"state": "closed"}, If_Match="*").status_code == 404
    assert other_desk.get("/work-orders/").json()["results"] == []
    assert desk.get(f"/work-orders/{uuid4()}/").status_code == 404
    reader = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ])
    assert reader.post("/work-orders/", {"number": "J10"}).status_code == 403
