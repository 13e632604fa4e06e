"""A reading at 02:30 on 25 October 2026, Europe/Paris, could be of two instants; nobody picks one."""

import pytest

from tests.acceptance.service_desk import machine_named
from tests.api.world import Desk
from tests.desks import Clock

pytestmark = pytest.mark.db


def test_scenario_42_a_time_that_comes_twice_is_refused_and_both_offsets_are_named(desk: Desk, clock: Clock) -> None:
    clock.at("2026-10-26T09:00:00+01:00")
    address = f"/machines/{machine_named(desk, 'Truck 7')}/readings/"
    response = desk.post(address, {"value": "5200", "at": "2026-10-25T02:30"})
    told = response.json()
    assert (response.status_code, told["code"], told["type"]) == (
        400, "instant_ambiguous", "/problems/instant-ambiguous/",
    )  # fmt: skip
    assert told["errors"][0]["pointer"] == "#/at"
    assert told["offsets"] == ["+02:00", "+01:00"]
    assert not any(entry["on"] == "2026-10-25" for entry in desk.get(address).json()["results"])


@pytest.mark.parametrize(("offset", "instant"), [("+02:00", "00:30"), ("+01:00", "01:30")])
def test_scenario_42_with_its_offset_it_is_kept(desk: Desk, clock: Clock, offset: str, instant: str) -> None:
    clock.at("2026-10-26T09:00:00+01:00")
    address = f"/machines/{machine_named(desk, 'Truck 7')}/readings/"
    kept = desk.made(address, {"value": "5200", "at": f"2026-10-25T02:30:00{offset}"})
    assert (kept["on"], kept["at"]) == ("2026-10-25", f"2026-10-25T{instant}:00Z")
