"""Asking about the service of machines of the demo dealership."""

from __future__ import annotations

from typing import Any

from tests.api.approving import machine_named
from tests.api.world import Desk


def due_on(desk: Desk, machine: str, as_of: str, **more: int) -> dict[str, Any]:
    """The due list of a machine as of a day."""
    asked = "".join(f"&{name}={value}" for name, value in more.items())
    response = desk.get(f"/machines/{machine}/due/?as_of={as_of}{asked}")
    assert response.status_code == 200, response.content
    answer: dict[str, Any] = response.json()
    return answer


def task(due: dict[str, Any], code: str) -> dict[str, Any]:
    found: dict[str, Any] = next(entry for entry in due["tasks"] if entry["task"]["code"] == code)
    return found


def new_machine(desk: Desk, name: str, *, spec: tuple[str, str] = ("VRD-H40", "S-118"), **more: Any) -> str:
    """A machine of this dealer's of which nothing is on file."""
    body = {"name": name, "spec": {"model": spec[0], "spec": spec[1]}, "plate_fuels": ["lpg_liquid"], **more}
    made: str = desk.made("/machines/", body)["id"]
    return made


__all__ = ["due_on", "machine_named", "new_machine", "task"]
