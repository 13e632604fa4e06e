"""Scenario 35: last night's numbers had their leading zeros and tonight's have not, so the file is held."""

import pytest

from kits.models import ImportState
from service.operations.models import Dealer, Person
from tests.api.world import Desk
from tests.stock.rows import part
from tests.stock.sending import Sent, loaded, on_hand, outcome, stock_file

pytestmark = pytest.mark.db
ZEROS = 312
NUMBERS = [f"0{n:03d}-77" for n in range(ZEROS)]
LAST_NIGHT = dict.fromkeys(NUMBERS, 7)
TONIGHT = {number.lstrip("0"): 3 for number in NUMBERS}


@pytest.fixture
def held(desk: Desk) -> Sent:
    for number in NUMBERS:
        part("VRD", number)
    first = loaded(desk, stock_file(LAST_NIGHT), table="stock", supplied_on="2026-03-08")
    assert first.row.state == ImportState.APPLIED
    assert first.counts == (ZEROS, 0, 0)
    return loaded(desk, stock_file(TONIGHT), table="stock", supplied_on="2026-03-09")


def test_the_file_is_held_for_the_zeros_and_last_nights_stock_stays_in_force(desk: Desk, held: Sent) -> None:
    assert held.row.state == ImportState.HELD
    assert held.reasons == ["leading_zeros_lost"]
    shown = desk.get(f"/stock-imports/{held.row.pk}/").json()
    assert shown["state"] == "held"
    assert "leading zeros lost: 312" in shown["held_for"][0]["detail"]
    assert {on_hand(number) for number in NUMBERS} == {7}


def test_each_number_is_told_as_one_that_may_have_lost_a_zero_and_none_is_matched(held: Sent) -> None:
    assert {code for _, _, code in held.problems} == {"possible_lost_zero"}
    assert len(held.problems) == ZEROS
    assert "0000-77" in held.told("possible_lost_zero")


def test_only_a_person_decides_and_what_was_decided_is_written_down(tallis_bridge: Dealer, held: Sent) -> None:
    address = f"/imports/{held.row.pk}/reject/"
    nobody = Desk.of(tallis_bridge).post(address, {"reason": "opened in a spreadsheet"})
    assert (nobody.status_code, nobody.json()["code"]) == (403, "nobody_decides")
    person = Person.objects.get(username="r.tarnick")
    answer = Desk.of(tallis_bridge, person=person).post(address, {"reason": "opened in a spreadsheet"})
    assert answer.status_code == 200, answer.content
    assert answer.json()["state"] == "rejected"
    assert (answer.json()["decided"]["by"], answer.json()["decided"]["why"]) == (
        "R. Tarnick", "opened in a spreadsheet"
    )  # fmt: skip
    again = Desk.of(tallis_bridge, person=person).post(f"/imports/{held.row.pk}/release/", {"reason": "after all"})
    assert (again.status_code, again.json()["code"]) == (409, "not_held")
    assert outcome(str(held.row.pk)).row.state == ImportState.REJECTED


def test_another_dealers_file_is_not_there(other_desk: Desk, held: Sent) -> None:
    assert other_desk.get(f"/stock-imports/{held.row.pk}/").status_code == 404
    assert other_desk.post(f"/imports/{held.row.pk}/release/", {"reason": "x"}).status_code == 404
