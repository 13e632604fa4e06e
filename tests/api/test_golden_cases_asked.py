"""Every golden case asked over HTTP: the rows of the demo catalogue come to what the files say, as the core does."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.api.world import Desk
from tests.domain.test_golden_cases import CASES, read

# What is decided from equal rows depends on no database, and the rows are compared on both elsewhere.
pytestmark = [pytest.mark.once, pytest.mark.django_db]
FACETS = ("attribute", "slot", "outcome")


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_golden_case_is_answered_as_written(desk: Desk, path: Path) -> None:
    case = read(path)
    # The core is asked about the number itself; over HTTP it is first resolved to what replaces it today.
    expected, answer = case.get("expected_where_superseded", case["expected"]), desk.answer(body(case["question"]))
    assert answer["verdict"] == expected["verdict"], answer["headline"]
    assert all(words in answer["headline"] for words in expected.get("headline_has", ()))
    texts = [finding["text"] for finding in answer["findings"]]
    assert all(any(words in text for text in texts) for words in expected.get("finding_texts_have", ()))
    found = [{facet: finding[facet] for facet in FACETS} for finding in answer["findings"]]
    assert [row for row in expected.get("findings", ()) if row not in found] == []


def body(question: dict[str, Any]) -> dict[str, Any]:
    """The question as it is sent: that the plate still holds is a fact told of the application."""
    application = dict(question.get("application", {}))
    told = application.pop("told_as_plate", None)
    if told is None:
        return question
    fact = {"about": "application", "attribute": "plate_holds", "value": told, "how": "told"}
    return {**question, "application": application, "facts": [*question.get("facts", ()), fact]}
