"""What replaced numbers cost a check: nothing where no part is in a chain, as little for many questions as for one."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog import loading
from catalog.models import Part
from tests.acceptance.chains import PUMP_3, TRUCK_7
from tests.api.world import Desk
from tests.usecases.test_kits_and_machines_in_checks import statements

pytestmark = pytest.mark.db
OLD = {"candidate": {"maker": "VRD", "number": "0021-440"}, "application": TRUCK_7}
SEAL = {"candidate": {"maker": "OLM", "number": "8812-1"}, "position": "lift_pump_seal_upper", "application": PUMP_3}


def test_every_part_that_a_replacement_names_says_so() -> None:
    named = set(Part.objects.filter(supersession_members__isnull=False).values_list("pk", flat=True))
    assert named == set(Part.objects.filter(in_chain=True).values_list("pk", flat=True))


@pytest.fixture(autouse=True)
def _loaded(desk: Desk) -> None:
    desk.answer(OLD)


def test_a_part_in_no_chain_costs_no_statement_more(desk: Desk) -> None:
    plug = {"candidate": {"maker": "VRD", "number": "4410-12"}, "position": "spark_plug", "application": TRUCK_7}
    assert statements(desk, plug) < 8


def test_many_questions_about_replaced_numbers_take_no_more_statements_than_one(desk: Desk) -> None:
    def taken(count: int) -> int:
        loading.forget()
        with CaptureQueriesContext(connection) as captured:
            answer: Any = desk.post("/checks/batch/", {"items": [OLD] * count})
        assert {result["verdict"] for result in answer.json()["results"]} == {"accepted"}
        return len(captured)

    assert taken(1) == taken(20)


def test_a_longer_chain_takes_a_statement_a_step(desk: Desk) -> None:
    """Two steps from the old filter to the new one; one from the seal to its successor."""
    assert statements(desk, OLD) == statements(desk, SEAL) + 1


def test_a_check_of_a_replaced_number_reads_the_same_in_other_units(desk: Desk) -> None:
    first = desk.answer(OLD)
    again = desk.get(f"/checks/{first['id']}/?units=us").json()
    assert (again["verdict"], again["headline"], again["chain"]) == (
        first["verdict"],
        first["headline"],
        first["chain"],
    )
