"""What a counter answer is refused for: each with its field, and nothing recorded (trade practice, no source)."""

from typing import Any
from uuid import uuid4

import pytest

from catalog.models import Check
from kits.models import StockBatch
from service.operations.models import Branch, ClosedDate, Dealer, Scope
from tests.acceptance.chains import RESURFACER_1
from tests.api.world import Desk
from tests.counter.counter_cast import NEW, asked, filter_named, on_shelf
from tests.stock.rows import main_branch, other_branch

pytestmark = pytest.mark.db
BODY: dict[str, Any] = {"candidate": {"maker": "VRD", "number": NEW}, "application": RESURFACER_1}


def problems(response: Any) -> set[tuple[str, str]]:
    return {(entry["pointer"], entry["code"]) for entry in response.json()["errors"]}


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ({"quantity": 0}, {("#/quantity", "min_value")}),
        ({"quantity": "2"}, {("#/quantity", "invalid")}),
        ({"candidate": [{"part": {"maker": "VRD", "number": NEW}, "quantity": 1}], "quantity": 2},
         {("#/quantity", "several_parts")}),
        ({"candidate": {"maker": "VRD", "number": NEW, "quantity": 1}, "quantity": 2}, {("#/quantity", "given_twice")}),
        ({"offer_first": "new", "colour": 1, "position": 5},
         {("#/offer_first", "invalid_choice"), ("#/colour", "unknown_field"), ("#/position", "invalid")}),
        ({"branch": ""}, {("#/branch", "blank")}),
    ],
)  # fmt: skip
def test_every_problem_of_the_body_is_named_at_once_and_nothing_recorded(
    desk: Desk, more: dict[str, Any], expected: set[tuple[str, str]]
) -> None:
    response = desk.post("/counter-answers/", {**BODY, **more})
    assert (response.status_code, problems(response)) == (400, expected)
    assert not Check.objects.exists()


def test_of_several_branches_one_has_to_be_named(desk: Desk, tallis_bridge: Dealer) -> None:
    other_branch(tallis_bridge)
    response = desk.post("/counter-answers/", BODY)
    assert (response.status_code, response.json()["code"]) == (400, "which_branch")
    assert problems(response) == {("#/branch", "which_branch")}
    assert "main, quay" in response.json()["detail"]
    assert desk.post("/counter-answers/", {**BODY, "branch": "quay"}).status_code == 201
    number = Check.objects.get().pk
    again = desk.get(f"/counter-answers/{number}/")
    assert (again.status_code, again.json()["code"]) == (400, "which_branch")
    assert desk.get(f"/counter-answers/{number}/?branch=main").status_code == 200


def test_a_branch_that_is_none_of_yours_is_not_found(desk: Desk, tallis_bridge: Dealer, weir_lane: Dealer) -> None:
    other_branch(weir_lane)
    response = desk.post("/counter-answers/", {**BODY, "branch": "quay"})
    assert (response.status_code, response.json()["code"]) == (404, "unknown_branch")
    assert "yours: main" in response.json()["detail"]
    assert not Check.objects.exists()


def test_without_any_branch_there_is_no_shelf_to_look_on(other_desk: Desk) -> None:
    response = other_desk.post("/counter-answers/", BODY)
    assert (response.status_code, response.json()["code"]) == (409, "no_branch")


@pytest.mark.parametrize("lacks", [Scope.CHECKS_WRITE, Scope.STOCK_READ])
def test_asking_takes_both_scopes(tallis_bridge: Dealer, lacks: Scope) -> None:
    both = {Scope.CHECKS_WRITE, Scope.STOCK_READ}
    assert Desk.of(tallis_bridge, scopes=both).post("/counter-answers/", BODY).status_code == 201
    response = Desk.of(tallis_bridge, scopes=both - {lacks}).post("/counter-answers/", BODY)
    assert (response.status_code, response.json()["code"]) == (403, "missing_scope")
    assert response.json()["scope"] == lacks
    assert Check.objects.count() == 1


@pytest.mark.parametrize("lacks", [Scope.CATALOGUE_READ, Scope.STOCK_READ])
def test_reading_takes_both_scopes(tallis_bridge: Dealer, desk: Desk, lacks: Scope) -> None:
    address = f"/counter-answers/{asked(desk)['check']['id']}/"
    both = {Scope.CATALOGUE_READ, Scope.STOCK_READ}
    assert Desk.of(tallis_bridge, scopes=both).get(address).status_code == 200
    assert Desk.of(tallis_bridge, scopes=both - {lacks}).get(address).status_code == 403


def test_another_dealers_check_is_not_found(desk: Desk, other_desk: Desk, weir_lane: Dealer) -> None:
    other_branch(weir_lane)
    theirs = other_desk.get(f"/counter-answers/{asked(desk)['check']['id']}/")
    assert (theirs.status_code, desk.get(f"/counter-answers/{uuid4()}/").status_code) == (404, 404)


@pytest.mark.parametrize("query", ["colour=red", "offer_first=new", "branch=", "units=furlong"])
def test_a_parameter_that_cannot_be_taken_is_named(desk: Desk, query: str) -> None:
    response = desk.get(f"/counter-answers/{asked(desk)['check']['id']}/?{query}")
    assert response.status_code == 400
    assert response.json()["errors"][0]["parameter"] == query.split("=", maxsplit=1)[0]


def test_what_the_check_cannot_mean_is_told_as_the_check_tells_it(desk: Desk) -> None:
    body = {**BODY, "candidate": {"maker": "VRD", "number": "9-9-9"}}
    ours, theirs = desk.post("/counter-answers/", body), desk.check(body)
    assert (ours.status_code, ours.json()["code"], problems(ours)) == (404, "unknown_part", problems(theirs))
    assert desk.get("/counter-answers/").status_code == 405


def test_a_repeated_request_gets_the_first_answer_whatever_lies_here_now(desk: Desk, tallis_bridge: Dealer) -> None:
    held = on_shelf(main_branch(tallis_bridge), filter_named(NEW), 5)
    first = desk.post("/counter-answers/", BODY, Idempotency_Key="c-1")
    StockBatch.objects.filter(item=held).update(reserved=5)
    again = desk.post("/counter-answers/", BODY, Idempotency_Key="c-1")
    assert (first.status_code, again.status_code) == (201, 201)
    assert (again.json(), again.headers["Location"]) == (first.json(), first.headers["Location"])
    assert again.headers["Idempotency-Replayed"] == "true"
    assert Check.objects.count() == 1
    other = desk.post("/counter-answers/", {**BODY, "quantity": 2}, Idempotency_Key="c-1")
    assert (other.status_code, other.json()["code"]) == (422, "idempotency_key_reused")


def test_where_the_branch_is_missing_its_key_is_given_back(desk: Desk, tallis_bridge: Dealer) -> None:
    quay = other_branch(tallis_bridge)
    assert desk.post("/counter-answers/", BODY, Idempotency_Key="c-2").status_code == 400
    ClosedDate.objects.filter(branch=quay).delete()
    Branch.objects.filter(pk=quay.pk).delete()
    assert desk.post("/counter-answers/", BODY, Idempotency_Key="c-2").status_code == 201
