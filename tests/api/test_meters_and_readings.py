"""Meters and readings over HTTP: typed as they stand on the meter, held where they cannot be believed."""

from typing import Any

import pytest

from service.operations.models import Branch, Dealer, Scope
from tests.acceptance.service_desk import due_on, machine_named, new_machine
from tests.api.approving import refused
from tests.api.world import Desk
from tests.desks import Clock

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]

M1 = {"code": "M1", "unit": "hours", "counts": "engine", "start": "0"}


@pytest.fixture
def machine(desk: Desk, clock: Clock) -> str:
    return new_machine(desk, "Resurfacer 9")


@pytest.fixture
def metered(desk: Desk, machine: str) -> str:
    desk.made(f"/machines/{machine}/meters/", M1)
    return f"/machines/{machine}"


def errors(response: Any) -> set[tuple[str, str]]:
    return {(error["pointer"], error["code"]) for error in response.json()["errors"]}


def read(desk: Desk, address: str, value: str, on: str, **more: Any) -> dict[str, Any]:
    return desk.made(f"{address}/readings/", {"value": value, "on": on, **more})


def test_a_meter_is_added_read_and_taken_off_by_who_has_read_the_record(desk: Desk, metered: str) -> None:
    address = f"{metered}/meters/M1/"
    removal = {"removed_on": "2026-02-03", "removed_at": "7842", "removed_by": "J. Haverill"}
    assert desk.patch(address, removal).status_code == 428
    assert desk.patch(address, removal, If_Match='"9-x"').status_code == 412
    off = desk.changed(address, removal)
    assert {name: off[name] for name in removal} == removal
    assert off == desk.get(address).json() == desk.get(f"{metered}/meters/").json()["results"][0]
    assert refused(desk.get(f"{metered}/meters/M2/")) == (404, "unknown_meter")


def test_a_backdated_reading_that_contradicts_the_record_is_held_and_moves_nothing(
    desk: Desk, metered: str, clock: Clock
) -> None:
    """A slip of the finger days later, in a logbook's reading of January, held all that were read since (common
    practice, no source: what contradicts the record is held for somebody to look at)."""
    for minute, (value, on) in enumerate(
        [("4310", "2026-01-12"), ("4368", "2026-01-26"), ("4422", "2026-02-09"), ("4529", "2026-03-09")]
    ):
        clock.at(f"2026-03-09T10:{minute:02d}:00+01:00")
        read(desk, metered, value, on)
    before = desk.get(f"{metered}/due/").json()["lifetime"]
    clock.at("2026-03-09T10:30:00+01:00")
    slip = read(desk, metered, "4600", "2026-01-30")
    assert slip["held"] == {
        "reason": "backdated",
        "words": "4600 h on 2026-01-30 is more than the 4422 h of 2026-02-09, which stood on file before; which is "
        "right?",
    }
    held = [one for one in desk.get(f"{metered}/readings/").json()["results"] if one["held"]]
    assert [one["value"] for one in held] == ["4600"]
    assert desk.get(f"{metered}/due/").json()["lifetime"] == before == {"on": "2026-03-09", "hours": "4529",
                                                                         "age_days": 0}  # fmt: skip
    clock.at("2026-03-09T10:31:00+01:00")
    right = read(desk, metered, "4390", "2026-01-30")
    assert right["held"] is None
    confirmed = desk.post(f"{metered}/readings/{slip['id']}/review/", {"review": "confirmed"})
    assert confirmed.status_code == 200, confirmed.content
    assert desk.get(f"{metered}/due/").json()["lifetime"]["hours"] == "4600"


def test_readings_of_a_new_meter_that_nobody_told_of_do_not_outweigh_the_old(
    desk: Desk, metered: str, clock: Clock
) -> None:
    """Lower ones would put the work off by years; trade notes, section 4: hold, ask, never let it move a forecast."""
    for minute, (value, on) in enumerate(
        [
            ("7800", "2026-01-12"),
            ("7842", "2026-01-26"),
            ("3", "2026-02-09"),
            ("40", "2026-02-20"),
            ("90", "2026-03-09"),
        ]
    ):
        clock.at(f"2026-03-09T10:{minute:02d}:00+01:00")
        read(desk, metered, value, on)
    assert desk.get(f"{metered}/due/").json()["lifetime"]["hours"] == "7842"


def test_every_problem_of_a_meter_is_told_at_once(desk: Desk, metered: str) -> None:
    body = {
        "code": "M2", "unit": "tenths", "counts": "engine", "fitted_on": "2026-03-10", "start": "12.5",
        "replaces": {"meter": "M9"},
    }  # fmt: skip
    assert errors(desk.post(f"{metered}/meters/", body)) == {
        ("#/fitted_on", "in_the_future"), ("#/start", "hours_unreadable"), ("#/replaces/meter", "unknown_meter"),
    }  # fmt: skip
    assert refused(desk.post(f"{metered}/meters/", M1)) == (409, "taken")
    assert errors(desk.post(f"{metered}/meters/", {**M1, "code": "a/b"})) == {("#/code", "invalid")}


@pytest.mark.parametrize(
    ("patch", "pointer", "code"),
    [
        ({"removed_at": "12"}, "#/removed_on", "required"),
        ({"fitted_on": "2026-02-03", "removed_on": "2026-02-02"}, "#/removed_on", "order"),
        ({"start": "50", "removed_on": "2026-02-02", "removed_at": "49"}, "#/removed_at", "order"),
        ({"removed_on": "2026-03-10"}, "#/removed_on", "in_the_future"),
    ],
)
def test_what_a_meter_cannot_have_done_is_refused(
    desk: Desk, metered: str, patch: dict[str, str], pointer: str, code: str
) -> None:
    response = desk.patch(f"{metered}/meters/M1/", patch, If_Match="*")
    assert (response.status_code, errors(response)) == (400, {(pointer, code)})
    assert desk.get(f"{metered}/meters/M1/").json()["removed_on"] is None


def test_a_meter_is_off_by_the_day_on_which_the_one_in_its_place_is_fitted(desk: Desk, metered: str) -> None:
    """Both would count the days between, and the engine would seem to have run more than it has."""
    new = {**M1, "code": "M2", "fitted_on": "2026-02-03", "start": "0"}
    late = {"meter": "M1", "removed_on": "2026-02-13", "removed_at": "1200"}
    response = desk.post(f"{metered}/meters/", {**new, "replaces": late})
    assert (response.status_code, errors(response)) == (400, {("#/replaces/removed_on", "order")})
    desk.made(f"{metered}/meters/", {**new, "replaces": {**late, "removed_on": "2026-02-02"}})
    desk.changed(f"{metered}/meters/M1/", {"removed_on": "2026-02-13"})
    cautions = due_on(desk, metered.split("/")[2], "2026-03-09")["cautions"]
    assert [caution["text"] for caution in cautions if caution["code"] == "meter_overlap"] == [
        "Meters M1 and M2 both ran from 2026-02-03 to 2026-02-13; what they ran then counts twice."
    ]


def test_a_meter_that_is_off_is_not_replaced_again_and_keeps_its_unit(desk: Desk, metered: str) -> None:
    read(desk, metered, "10", "2026-01-05")
    assert refused(desk.patch(f"{metered}/meters/M1/", {"unit": "tenths"}, If_Match="*")) == (409, "meter_in_use")
    new = {**M1, "code": "M2", "fitted_on": "2026-02-03", "replaces": {"meter": "M1", "removed_at": "20"}}
    desk.made(f"{metered}/meters/", new)
    assert desk.get(f"{metered}/meters/M1/").json()["removed_on"] == "2026-02-03"
    response = desk.post(f"{metered}/meters/", {**new, "code": "M3"})
    assert refused(response) == (409, "meter_removed")


@pytest.mark.parametrize(
    ("unit", "typed", "lifetime"),
    [("hours", "1234.5", "1234.5"), ("tenths", "12345", "1234.5"), ("kwh", "12345", None)],
)
def test_a_reading_is_taken_and_shown_as_it_is_typed(
    desk: Desk, machine: str, unit: str, typed: str, lifetime: str | None
) -> None:
    desk.made(f"/machines/{machine}/meters/", {**M1, "unit": unit})
    kept = read(desk, f"/machines/{machine}", typed, "2026-03-09", note="seen by the driver")
    assert (kept["value"], kept["unit"], kept["held"], kept["note"]) == (typed, unit, None, "seen by the driver")
    due = due_on(desk, machine, "2026-03-09")
    assert (due["lifetime"] or {}).get("hours") == lifetime
    asked = [fact["fact"] for fact in due["missing"]]
    assert asked == ([] if lifetime else ["engine hour meter"])  # no reading of energy is taken for hours


@pytest.mark.parametrize("value", ["12,5", "12.55", "-3", "1e3", "", "twelve"])
def test_what_no_meter_shows_is_refused(desk: Desk, metered: str, value: str) -> None:
    response = desk.post(f"{metered}/readings/", {"value": value, "on": "2026-03-09"})
    assert (response.status_code, [error["pointer"] for error in response.json()["errors"]]) == (400, ["#/value"])


def test_a_reading_that_cannot_be_believed_is_kept_held_and_moves_nothing(desk: Desk, metered: str) -> None:
    """Lower than the last, or more than 24 h a day since: held (common practice, no source)."""
    read(desk, metered, "100", "2026-02-02")
    read(desk, metered, "150", "2026-02-16")
    back = read(desk, metered, "15", "2026-02-20")
    jump = read(desk, metered, "900", "2026-02-23")
    assert (back["held"]["reason"], jump["held"]["reason"]) == ("rollback", "jump")
    listed = desk.get(f"{metered}/readings/").json()["results"]
    assert [(row["value"], row["held"] and row["held"]["reason"]) for row in listed] == [
        ("100", None), ("150", None), ("15", "rollback"), ("900", "jump"),
    ]  # fmt: skip
    due = due_on(desk, metered.split("/")[2], "2026-03-09")
    assert (due["lifetime"]["hours"], [held["value"] for held in due["held"]]) == ("150", ["15", "900"])
    assert "readings_held" in [caution["code"] for caution in due["cautions"]]


def test_a_reading_is_reviewed_once(desk: Desk, metered: str) -> None:
    read(desk, metered, "150", "2026-02-16")
    kept = read(desk, metered, "15", "2026-02-20")
    address = f"{metered}/readings/{kept['id']}/"
    assert desk.post(f"{address}review/", {"review": "maybe"}).status_code == 400
    said = desk.post(f"{address}review/", {"review": "rejected"})
    assert (said.status_code, said.json()["review"], said.json()["reviewed_at"]) == (
        200, "rejected", "2026-03-09T09:15:00Z",
    )  # fmt: skip
    assert desk.get(address).json() == said.json()
    assert refused(desk.post(f"{address}review/", {"review": "confirmed"})) == (409, "already_reviewed")


def test_the_meter_and_the_day_are_asked_for_where_they_cannot_be_told(desk: Desk, machine: str, metered: str) -> None:
    desk.made(f"{metered}/meters/", {**M1, "code": "key", "counts": "key_on"})
    address = f"{metered}/readings/"
    assert errors(desk.post(address, {"value": "1", "on": "2026-03-09"})) == {("#/meter", "required")}
    assert errors(desk.post(address, {"value": "x", "meter": "M1", "on": "2026-03-10"})) == {
        ("#/value", "hours_unreadable"), ("#/on", "in_the_future"),
    }  # fmt: skip
    both = {"value": "1", "meter": "M1", "on": "2026-03-09", "at": "2026-03-09T09:00"}
    assert errors(desk.post(address, both)) == {("#/on", "day_or_instant")}
    assert errors(desk.post(address, {"value": "1", "meter": "M1"})) == {("#/on", "day_or_instant")}
    far = {"value": "1", "meter": "M1", "at": "2026-03-09T09:00", "branch": "moon"}
    assert errors(desk.post(address, far)) == {("#/branch", "unknown_branch")}


def test_a_time_without_an_offset_is_read_in_the_zone_of_the_branch(
    desk: Desk, metered: str, tallis_bridge: Dealer
) -> None:
    Branch.objects.create(dealer=tallis_bridge, code="east", name="East", zone="Asia/Tokyo", currency="JPY")
    address = f"{metered}/readings/"
    here = desk.made(address, {"value": "10", "at": "2026-03-09T01:00"})
    there = desk.made(address, {"value": "10", "at": "2026-03-09T01:00", "branch": "east"})
    assert (here["at"], there["at"]) == ("2026-03-09T00:00:00Z", "2026-03-08T16:00:00Z")
    assert (here["on"], there["on"]) == ("2026-03-09", "2026-03-09")  # each the day at the branch


def test_a_time_that_never_comes_is_refused_by_name(desk: Desk, metered: str, clock: Clock) -> None:
    clock.at("2026-03-30T09:00:00+02:00")
    response = desk.post(f"{metered}/readings/", {"value": "10", "at": "2026-03-29T02:30"})
    assert (refused(response), response.json()["offsets"]) == ((400, "instant_skipped"), ["+01:00", "+02:00"])


@pytest.mark.parametrize("at", ["0001-01-01T00:00+14:00", "9999-12-31T23:59:59-12:00", "2026-02-30T10:00", "noon"])
def test_a_time_of_no_calendar_is_refused(desk: Desk, metered: str, at: str) -> None:
    assert errors(desk.post(f"{metered}/readings/", {"value": "10", "at": at})) == {("#/at", "invalid")}


def test_hours_behind_a_meter_whose_end_nobody_wrote_down_are_asked_for(desk: Desk, metered: str) -> None:
    read(desk, metered, "150", "2026-01-16")
    desk.made(
        f"{metered}/meters/", {**M1, "code": "M2", "fitted_on": "2026-02-03", "replaces": {"meter": "M1"}}
    )  # fmt: skip
    read(desk, metered, "40", "2026-03-02")
    machine = metered.split("/")[2]
    due = due_on(desk, machine, "2026-03-09")
    assert (due["lifetime"], [fact["fact"] for fact in due["missing"]]) == (None, ["meter removal reading"])
    desk.changed(f"{metered}/meters/M1/", {"removed_at": "200"})
    assert due_on(desk, machine, "2026-03-09")["lifetime"]["hours"] == "240"


def test_another_dealer_finds_nothing_and_a_reader_writes_nothing(
    desk: Desk, other_desk: Desk, tallis_bridge: Dealer
) -> None:
    machine = machine_named(desk, "Truck 7")
    reading = desk.get(f"/machines/{machine}/readings/").json()["results"][0]["id"]
    addresses = (
        "service-file", "meters", "meters/M1", "readings", f"readings/{reading}", "use-profiles", "services-done",
        "observations", "due",
    )  # fmt: skip
    for address in addresses:
        assert desk.get(f"/machines/{machine}/{address}/").status_code == 200, address
        assert refused(other_desk.get(f"/machines/{machine}/{address}/")) == (404, "unknown_machine")
    assert other_desk.post(f"/machines/{machine}/readings/", {"value": "1", "on": "2026-03-09"}).status_code == 404
    reader = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ])
    assert reader.post(f"/machines/{machine}/readings/", {"value": "1", "on": "2026-03-09"}).status_code == 403
    elsewhere = machine_named(desk, "Pump 3")
    assert refused(desk.get(f"/machines/{elsewhere}/readings/{reading}/")) == (404, "unknown_reading")
