"""The editors' list: an error in the data is on it once, whoever comes upon it, and is closed with a reason."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.domain.data_errors import DataErrorKind
from catalog.models import DataError, Part
from catalog.usecases.data_errors import error_key, tell_data_error
from service.operations.models import Scope
from tests.api.world import Desk, demo_question

pytestmark = pytest.mark.db

NOW = datetime(2026, 3, 9, 9, 15, tzinfo=UTC)
SOURCE = {"kind": "maker", "citation": "data sheet 2026, invented"}


@pytest.fixture
def misread_plug(desk: Desk) -> dict[str, Any]:
    """Veredin's LP-gas plug, which they specify for Truck 7, is recorded as a gasoline plug."""
    part = Part.objects.get(maker__code="VRD", number="4410-12")
    desk.changed(
        f"/parts/{part.pk}/", {"attributes": [{"attribute": "fuels", "value": ["gasoline"], "source": SOURCE}]}
    )
    return demo_question("accepted")


def listed(desk: Desk, query: str = "") -> list[dict[str, Any]]:
    response = desk.get(f"/data-errors/{query}")
    assert response.status_code == 200, response.content
    found: list[dict[str, Any]] = response.json()["results"]
    return found


def test_a_contradiction_that_a_check_comes_upon_is_on_the_list_once(
    desk: Desk, other_desk: Desk, misread_plug: dict[str, Any]
) -> None:
    answer = desk.answer(misread_plug)
    assert answer["verdict"] == "undetermined"
    (error,) = listed(desk)
    assert (error["kind"], error["state"], error["times_seen"]) == ("contradiction", "open", 1)
    assert error["words"] == f"VRD-H40 S-131: {answer['catalogue_errors'][0]}"
    assert [(part["maker"], part["number"]) for part in error["parts"]] == [("VRD", "4410-12")]
    desk.answer(misread_plug)
    other_desk.answer(misread_plug)
    assert desk.post("/checks/batch/", {"items": [misread_plug] * 3}).status_code == 200
    assert listed(desk) == [error]


def test_a_check_that_finds_nothing_wrong_asks_the_list_nothing(desk: Desk) -> None:
    with CaptureQueriesContext(
        connection,
    ) as made:
        desk.answer(demo_question("accepted"))
    assert not [query for query in made if "dataerror" in query["sql"]]


def test_what_the_counter_measured_is_no_error_of_the_catalogue(desk: Desk, misread_plug: dict[str, Any]) -> None:
    told = {"about": "candidate", "attribute": "gap", "value": {"value": "0.9", "unit": "mm"}, "how": "measured"}
    assert desk.answer({**misread_plug, "facts": [told]})["catalogue_errors"]
    assert listed(desk) == []


def test_one_that_is_closed_says_why_and_opens_when_it_is_still_so(desk: Desk, misread_plug: dict[str, Any]) -> None:
    desk.answer(misread_plug)
    address = f"/data-errors/{listed(desk)[0]['id']}/"
    read = desk.get(address)
    closing = {"state": "closed", "reason": "a new data sheet is on its way"}
    assert desk.patch(address, closing).status_code == 428
    refused = desk.patch(address, {"state": "closed"}, If_Match=read.headers["ETag"])
    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (400, "#/reason")
    closed = desk.patch(address, closing, If_Match=read.headers["ETag"])
    assert closed.status_code == 200, closed.content
    assert (closed.json()["state"], closed.json()["reason"], closed.json()["closed_by"] is None) == (
        "closed", closing["reason"], False,
    )  # fmt: skip
    assert desk.patch(address, closing, If_Match=read.headers["ETag"]).status_code == 412
    assert (listed(desk, "?state=open"), len(listed(desk, "?state=closed"))) == ([], 1)
    desk.answer(misread_plug)
    (again,) = listed(desk, "?state=open&kind=contradiction")
    assert (again["times_seen"], again["closed_at"], again["reason"]) == (2, None, closing["reason"])


def test_an_editor_may_open_one_again_without_its_being_seen_again(desk: Desk, misread_plug: dict[str, Any]) -> None:
    desk.answer(misread_plug)
    address = f"/data-errors/{listed(desk)[0]['id']}/"
    desk.changed(address, {"state": "closed", "reason": "by mistake"})
    opened = desk.changed(address, {"state": "open"})
    assert (opened["state"], opened["times_seen"], opened["closed_at"]) == ("open", 1, None)


def test_two_engines_with_one_misread_part_are_two_errors(desk: Desk, misread_plug: dict[str, Any]) -> None:
    desk.answer(misread_plug)
    application = {**misread_plug["application"], "spec": {"model": "VRD-H40", "spec": "S-118"}, "serial": None}
    desk.answer({**misread_plug, "application": application})
    assert {row["words"].split(":")[0] for row in listed(desk)} == {"VRD-H40 S-131", "VRD-H40 S-118"}
    assert len({row["key"] for row in listed(desk)}) == 2


def test_the_list_is_for_editors(tallis_bridge: Any) -> None:
    reader = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ, Scope.CHECKS_WRITE])
    assert reader.get("/data-errors/").status_code == 403
    assert reader.get("/data-errors/1/").status_code == 403


def test_an_unknown_error_is_not_found_and_an_unknown_state_is_a_problem(desk: Desk) -> None:
    assert desk.get("/data-errors/999999/").status_code == 404
    assert desk.get("/data-errors/?state=lost").json()["errors"][0]["parameter"] == "state"


def tell(words: str = "3300-1 and 3300-2 replace each other.", *, after: timedelta = timedelta()) -> DataError:
    key = error_key(DataErrorKind.SUPERSESSION, [7, 8])
    tell_data_error(DataErrorKind.SUPERSESSION, key, words, [], NOW + after)
    return DataError.objects.get()


def test_telling_again_repeats_nothing_and_moves_the_last_time_by_the_hour(db: None) -> None:
    assert tell().last_seen == NOW
    assert tell(after=timedelta(minutes=59)).last_seen == NOW
    seen = tell(after=timedelta(hours=2))
    assert (seen.first_seen, seen.last_seen, seen.times_seen) == (NOW, NOW + timedelta(hours=2), 1)
    assert tell(after=timedelta(hours=-5)).last_seen == NOW + timedelta(hours=2)


def test_the_words_are_no_part_of_the_key(db: None) -> None:
    tell()
    assert tell("said otherwise", after=timedelta(hours=2)).words == "said otherwise"
    assert error_key("a", ["b"]) != error_key("a", "b")
