"""R. Tarnick approves the plug of scenario 16 for Genset South: for that engine and those days, and no further."""

from typing import Any

import pytest

from tests.api.approving import approve, approved, confirm_conversion, machine_named, plug_on
from tests.api.world import Desk
from tests.desks import Clock

pytestmark = pytest.mark.db

APPROVED_AT = "2026-03-09T10:15:00+01:00"
CONDITION = "a licensed person has confirmed the LP-gas equipment and the service manager records it"


@pytest.fixture
def check(desk: Desk, clock: Clock) -> dict[str, Any]:
    """The conditional answer of scenario 16, a licensed person's confirmation on record, and work order J9 open."""
    clock.at(APPROVED_AT)
    confirm_conversion(desk)
    desk.made("/work-orders/", {"number": "J9", "machine": machine_named(desk, "Genset South")})
    answer = plug_on(desk, "Genset South")
    assert (answer["verdict"], answer["approvable"], answer["approval"]) == ("conditional", True, None)
    return answer


@pytest.fixture
def approval(desk: Desk, check: dict[str, Any]) -> dict[str, Any]:
    return approved(desk, check, person="r.tarnick", work_order="J9", until="2026-04-09")


def test_scenario_22_it_applies_on_its_last_day_and_the_verdict_is_still_conditional(
    desk: Desk, clock: Clock, approval: dict[str, Any]
) -> None:
    assert (approval["person"]["name"], approval["approved_at"]) == ("R. Tarnick", "2026-03-09T09:15:00Z")
    for moment in (APPROVED_AT, "2026-04-09T00:00:00+02:00", "2026-04-09T23:59:59+02:00"):
        clock.at(moment)
        answer = plug_on(desk, "Genset South")
        assert (answer["verdict"], answer["approval"]["id"]) == ("conditional", approval["id"])
        assert answer["headline"].startswith(f"Use it only if {CONDITION}")


def test_scenario_22_it_does_not_apply_on_another_engine(desk: Desk, approval: dict[str, Any]) -> None:
    north = plug_on(desk, "Genset North")
    assert (north["approvable"], north["approval"]) == (False, None)


def test_scenario_22_it_does_not_apply_the_day_after(desk: Desk, clock: Clock, approval: dict[str, Any]) -> None:
    clock.at("2026-04-10T00:00:00+02:00")  # still 9 April in UTC
    assert plug_on(desk, "Genset South")["approval"] is None


def test_scenario_22_it_does_not_apply_after_withdrawal(desk: Desk, clock: Clock, approval: dict[str, Any]) -> None:
    clock.at("2026-03-20T10:00:00+01:00")
    withdrawn = desk.post(f"/approvals/{approval['id']}/withdraw/", {"reason": "the regulator leaks"})
    assert (withdrawn.status_code, withdrawn.json()["applies"]) == (200, False)
    for moment in ("2026-03-20T10:00:00+01:00", "2026-04-09T12:00:00+02:00"):
        clock.at(moment)
        assert plug_on(desk, "Genset South")["approval"] is None


def test_scenario_22_it_does_not_apply_once_the_work_order_is_closed(desk: Desk, approval: dict[str, Any]) -> None:
    desk.changed(f"/work-orders/{approval['work_order']['id']}/", {"state": "closed"})
    assert plug_on(desk, "Genset South")["approval"] is None


def test_scenario_22_the_old_answer_is_readable_with_its_facts_and_data_version(
    desk: Desk, clock: Clock, check: dict[str, Any], approval: dict[str, Any]
) -> None:
    desk.post(f"/approvals/{approval['id']}/withdraw/", {"reason": "the regulator leaks"})
    desk.made(f"/checks/{check['id']}/outcomes/", {"kind": "did_not_fit"})  # the catalogue moves on
    clock.at("2026-05-01T10:00:00+02:00")
    assert plug_on(desk, "Genset South")["verdict"] == "undetermined"
    assert desk.get(f"/checks/{check['id']}/").json() == check
    assert plug_on(desk, "Genset South")["catalogue_version"] > check["catalogue_version"]


def test_scenario_22_nobody_but_a_service_manager_approves_it(desk: Desk, check: dict[str, Any]) -> None:
    for person in ("w.osk", "a.tarle"):
        assert approve(desk, check, person=person).status_code == 403
