"""The job that works out what supply lines ask of their positions, and the part checks that hear it."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone

from catalog.models import CatalogueState, PositionDemand
from catalog.usecases import line_demanding
from service.operations import jobs
from tests.api.test_supply_checks import TRUCK
from tests.api.world import Desk, read

pytestmark = pytest.mark.db
LOW = {"maker": "TSK", "number": "7008"}


@pytest.fixture
def worked_out(desk: Desk) -> Desk:
    work_out()
    return desk


def work_out() -> None:
    line_demanding.plan(timezone.now())
    jobs.run_due(timezone.now)


def asked_of_the_vaporiser(desk: Desk) -> list[dict[str, Any]]:
    number = desk.get("/engine-specs/?model=VRD-H40&spec=S-131").json()["results"][0]["id"]
    positions = desk.get(f"/engine-specs/{number}/").json()["positions"]
    (vaporiser,) = (position for position in positions if position["code"] == "vaporiser")
    return [demand for demand in vaporiser["demands"] if demand["basis"] == "computed"]


def test_an_outlet_of_9_to_12_psi_is_refused_as_computed_for_the_line(worked_out: Desk) -> None:
    """Where the rail needs about 26 psi: common practice, no source."""
    question = {"candidate": LOW, "position": "vaporiser", "application": TRUCK["application"]}
    answer = worked_out.answer(question)
    assert answer["verdict"] == "rejected"
    (found,) = (entry for entry in answer["findings"] if entry["attribute"] == "outlet_pressure")
    assert found["outcome"] == "not_met"
    assert any(demand["attribute"] == "outlet_pressure" for demand in asked_of_the_vaporiser(worked_out))


def test_done_again_it_changes_nothing(worked_out: Desk) -> None:
    before = CatalogueState.objects.get().version
    demands = PositionDemand.objects.filter(basis="computed").count()
    assert demands > 0
    work_out()
    assert CatalogueState.objects.get().version == before
    assert PositionDemand.objects.filter(basis="computed").count() == demands


def test_a_changed_rail_is_asked_for_anew(worked_out: Desk) -> None:
    number = worked_out.get("/engine-specs/?model=VRD-H40&spec=S-131").json()["results"][0]["id"]
    stages = worked_out.get(f"/engine-specs/{number}/").json()["supply_stages"]
    for stage in stages:
        for value in stage["values"]:
            if value["attribute"] == "rail_pressure" and stage["fuel"] == "lpg_liquid":
                value["value"] = {"min": "9", "max": "12", "unit": "psi", "reference": "gauge"}
    worked_out.changed(f"/engine-specs/{number}/", {"supply_stages": stages})
    work_out()
    (window,) = (d["value"] for d in asked_of_the_vaporiser(worked_out) if d["attribute"] == "outlet_pressure")
    assert (window["min"], window["max"]) == ("9", "12")


def test_the_demo_answers_as_before(worked_out: Desk) -> None:
    for entry in read("demo", "checks.json"):
        assert worked_out.answer(entry["body"])["verdict"] == entry["verdict"]
