"""What the tests of approvals share: the demo's machines, a confirmed conversion, and asking with an own key each."""

from __future__ import annotations

from copy import deepcopy
from itertools import count
from typing import Any

from service.operations.models import Change
from tests.api.world import Desk, read

NUMBERS = count(1)
CONFIRMED = {"name": "A. Tarle", "licence": "G-114", "area": "north", "expires": "2026-12-31", "on": "2026-03-02"}
FOUND: dict[str, Any] = {
    "fuels": ["lpg_vapour"], "mode": "only_fuel", "found_on": "2026-03-02", "by": "A. Tarle", "confirmed_by": CONFIRMED,
}  # fmt: skip
YES = {"person": "r.tarnick", "until": "2026-04-09", "reason": "confirmed on 2026-03-02"}


def machine_named(desk: Desk, name: str) -> str:
    found: str = desk.get(f"/machines/?name={name}").json()["results"][0]["id"]
    return found


def plug_on(desk: Desk, name: str, number: str = "4475") -> dict[str, Any]:
    """The answer about a plug on one of the demo's gensets."""
    return desk.answer(
        {
            "candidate": {"maker": "TSK", "number": number},
            "position": "spark_plug",
            "machine": machine_named(desk, name),
        }
    )


def confirm_conversion(desk: Desk, name: str = "Genset South", **more: Any) -> dict[str, Any]:
    return desk.made(f"/machines/{machine_named(desk, name)}/fuel-records/", {**FOUND, **more})


def case_on(desk: Desk, case: str, name: str) -> dict[str, Any]:
    """A golden case's candidate at its position, asked for one of the demo's machines."""
    question = read("cases", f"{case}.json")["question"]
    body = {"candidate": deepcopy(question["candidate"]), "position": question["position"]}
    return desk.answer({**body, "machine": machine_named(desk, name)})


def gas_hose(desk: Desk) -> dict[str, Any]:
    """Conditional, and for a licensed gas technician to approve."""
    answer = case_on(desk, "longer-gas-hose-if-it-can-be-laid", "Resurfacer 1")
    assert (answer["verdict"], answer["approvable_by"]) == ("conditional", "gas_technician"), answer["headline"]
    return answer


def set_gap(desk: Desk) -> dict[str, Any]:
    """Conditional, and for a service manager to approve, with no conversion in it."""
    _know_the_grade(desk)
    answer = case_on(desk, "plug-gap-that-can-be-set", "Truck 7")
    assert (answer["verdict"], answer["approvable_by"]) == ("conditional", "service_manager"), answer["headline"]
    return answer


def _know_the_grade(desk: Desk) -> None:
    """Somebody has read the grade of the gas on Truck 7: a grade assumed is a condition nobody approves."""
    records = f"/machines/{machine_named(desk, 'Truck 7')}/fuel-records/"
    known = {"fuels": ["lpg_liquid:HD-5"], "mode": "only_fuel", "found_on": "2026-03-08"}
    if all(row["fuels"] != known["fuels"] for row in desk.get(records).json()["results"]):
        desk.made(records, known)


def newest_change() -> int:
    """Where the feed stands, for what comes after."""
    return Change.objects.latest("seq").seq


def approve(desk: Desk, check: dict[str, Any], **body: Any) -> Any:
    """The response to an approval under a key of its own; None takes a member of the body away."""
    sent = {name: value for name, value in {**YES, **body}.items() if value is not None}
    return desk.post(f"/checks/{check['id']}/approvals/", sent, Idempotency_Key=f"approval-{next(NUMBERS)}")


def approved(desk: Desk, check: dict[str, Any], **body: Any) -> dict[str, Any]:
    response = approve(desk, check, **body)
    assert response.status_code == 201, response.content
    answer: dict[str, Any] = response.json()
    return answer


def refused(response: Any) -> tuple[int, str]:
    return response.status_code, response.json()["code"]
