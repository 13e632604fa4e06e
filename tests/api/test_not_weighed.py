"""What is stated and nothing weighs is said with the answer, and told to whoever keeps the catalogue."""

from typing import Any

import pytest

from tests.api.world import Desk, demo_question

pytestmark = pytest.mark.db
MAKER = {"kind": "maker", "citation": "engine sheet, invented"}
# A hose is weighed by its working pressure; a need of another name never reached it.
PRESSURE = {
    "attribute": "max_pressure", "value": {"value": "310", "unit": "kPa", "reference": "gauge"}, "source": MAKER,
}  # fmt: skip
HOSE = {"code": "hose", "name": "feed hose", "category": "fuel_hose", "quantity": 1, "demands": [PRESSURE]}


def notes(answer: dict[str, Any], attribute: str) -> list[str]:
    return [row["text"] for row in answer["findings"] if row["attribute"] == attribute and row["effect"] == "note"]


def test_a_need_that_no_rule_reads_is_said_and_is_an_error_of_the_data(desk: Desk) -> None:
    """Common practice, no source: whoever recorded it believes that it counts."""
    desk.made("/engine-specs/", {"maker": "OLM", "model": "OLM-T1", "spec": "1", "positions": [HOSE]})
    engine = {"spec": {"model": "OLM-T1", "spec": "1"}}
    asked = {"candidate": {"described": {"category": "fuel_hose"}}, "position": "hose", "application": engine}
    answer = desk.answer(asked)
    (said,) = notes(answer, "max_pressure")
    assert "feed hose asks for maximum pressure 310 kPa gauge" in said
    assert answer["catalogue_errors"] == [said]


def test_what_was_told_and_nothing_reads_is_said_and_changes_no_verdict(desk: Desk) -> None:
    question = demo_question("accepted")
    told: list[dict[str, Any]] = [
        {"about": "candidate", "attribute": "supply_voltage", "value": {"min": "9", "max": "16", "unit": "V"}},
        {"about": "position", "attribute": "fuel_service", "slot": "inlet", "value": ["LPG-LI"]},
    ]
    answer = desk.answer({**question, "facts": [{**fact, "how": "label"} for fact in told]})
    assert (answer["verdict"], answer["catalogue_errors"]) == ("accepted", [])
    for attribute in ("supply_voltage", "fuel_service"):
        assert ["not weighed" in text for text in notes(answer, attribute)] == [True]
