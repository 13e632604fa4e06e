"""Tallis Bridge's system has sixty calls a minute: the sixty-first waits, and a hundred checks at once cost ten."""

from typing import Any

import pytest
from django.core.management import call_command

from tests.api.world import Desk, demo_question
from tests.desks import Clock

pytestmark = pytest.mark.db

VERDICTS = ("accepted", "conditional", "rejected", "undetermined")


@pytest.fixture
def sixty(desk: Desk, clock: Clock, capsys: pytest.CaptureFixture[str]) -> Desk:
    call_command("limit_key", desk.key.split("_")[2], "--calls", "60")
    assert "has 60 calls a minute" in capsys.readouterr().out
    return desk


def hundred() -> list[dict[str, Any]]:
    kinds = [*(demo_question(verdict) for verdict in VERDICTS), {"candidate": 5}]
    return [kinds[index % len(kinds)] for index in range(100)]


def test_scenario_40_call_61_is_refused_with_a_wait_time(sixty: Desk, clock: Clock) -> None:
    answers = [sixty.get("/categories/") for _ in range(60)]
    assert {answer.status_code for answer in answers} == {200}
    assert answers[-1].headers["RateLimit"] == '"key";r=0;t=60'
    clock.at("2026-03-09T10:15:20+01:00")
    refused = sixty.get("/categories/")
    assert (refused.status_code, refused.headers["Retry-After"], refused.json()["retry_after"]) == (429, "40", 40)
    clock.at("2026-03-09T10:16:00+01:00")
    assert sixty.get("/categories/").status_code == 200


def test_scenario_40_a_batch_of_a_hundred_checks_counts_as_ten_calls(sixty: Desk) -> None:
    batch = sixty.post("/checks/batch/", {"items": hundred()})
    assert (batch.status_code, batch.headers["RateLimit"]) == (200, '"key";r=50;t=60')
    for index, (row, wanted) in enumerate(zip(batch.json()["results"], (*VERDICTS, "invalid") * 20, strict=True)):
        assert row["index"] == index
        assert (row.get("verdict") or row["problem"]["code"]) == wanted


def test_scenario_40_a_batch_for_which_too_little_is_left_is_refused_whole_and_a_smaller_one_is_not(
    sixty: Desk,
) -> None:
    for _ in range(51):
        sixty.get("/categories/")
    refused = sixty.post("/checks/batch/", {"items": hundred()})
    assert (refused.status_code, refused.json()["cost"], refused.json()["left"]) == (429, 10, 9)
    assert sixty.post("/checks/batch/", {"items": hundred()[:90]}).headers["RateLimit"] == '"key";r=0;t=60'


def test_scenario_40_a_batch_that_no_minute_has_room_for_is_told_so(sixty: Desk) -> None:
    refused = sixty.post("/checks/batch/", {"items": hundred() * 7})
    assert (refused.status_code, refused.json()["code"]) == (400, "costs_more_than_the_limit")
    assert (refused.json()["cost"], refused.json()["limit"]) == (70, 60)
