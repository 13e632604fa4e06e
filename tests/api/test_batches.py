"""Many questions at once: in order, each with its answer or its problem, and each decided as it would be alone."""

from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from catalog.models import Check
from tests.api.world import Desk, demo_question

pytestmark = pytest.mark.db

LOST_ZERO = {"candidate": {"maker": "VRD", "number": "04410-12"}}
BAD_SHAPE = {"candidate": 5, "colour": "red"}
VERDICTS = ("accepted", "conditional", "rejected", "undetermined")


def mixed(count: int) -> list[dict[str, Any]]:
    """Good and bad questions in turn."""
    kinds = [*(demo_question(verdict) for verdict in VERDICTS), LOST_ZERO, BAD_SHAPE]
    return [kinds[index % len(kinds)] for index in range(count)]


def test_a_thousand_questions_keep_their_order_and_each_its_own_verdict_or_problem(desk: Desk) -> None:
    response = desk.post("/checks/batch/", {"items": mixed(1_000)})
    assert response.status_code == 200
    results = response.json()["results"]
    assert [row["index"] for row in results] == list(range(1_000))
    expected = [*VERDICTS, "possible_lost_zero", "invalid"]
    found = [row.get("verdict") or row["problem"]["code"] for row in results]
    assert found == [expected[index % len(expected)] for index in range(1_000)]
    assert Check.objects.count() == sum("verdict" in row for row in results)


def test_the_problem_of_a_question_points_into_the_body_as_it_was_sent(desk: Desk) -> None:
    results = desk.post("/checks/batch/", {"items": [demo_question("accepted"), BAD_SHAPE]}).json()["results"]
    pointers = {entry["pointer"] for entry in results[1]["problem"]["errors"]}
    assert pointers == {"#/items/1/candidate", "#/items/1/colour"}


def test_a_question_in_a_batch_has_the_digest_and_findings_it_has_alone(desk: Desk) -> None:
    bodies = [demo_question(verdict) for verdict in VERDICTS]
    without_position = demo_question("rejected")
    del without_position["position"]
    bodies.append(without_position)
    together = desk.post("/checks/batch/", {"items": bodies}).json()["results"]
    alone = [desk.answer(body) for body in bodies]
    for name in ("verdict", "digest", "findings", "missing", "conflicts", "alternatives"):
        assert [row[name] for row in together] == [row[name] for row in alone]


def test_the_statements_do_not_grow_with_the_questions_but_for_the_rows_added(
    desk: Desk, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    desk.get("/categories/")  # the key's last use and the rulebook are out of the way
    for count in (6, 300):
        with django_assert_max_num_queries(14 + count // 100):
            desk.post("/checks/batch/", {"items": mixed(count)})


@pytest.mark.parametrize(
    "body", [{}, {"items": []}, {"items": "all"}, {"items": [{}] * 1_001}, [], {"items": [], "x": 1}]
)
def test_a_batch_that_is_no_list_of_questions_is_refused_whole(desk: Desk, body: Any) -> None:
    response = desk.post("/checks/batch/", body)
    assert response.status_code == 400
    assert response.json()["errors"]
    assert not Check.objects.exists()


def test_a_repeated_batch_is_answered_once(desk: Desk) -> None:
    first, again = (
        desk.post("/checks/batch/", {"items": [demo_question("accepted")]}, Idempotency_Key="b-1") for _ in range(2)
    )
    assert again.content == first.content
    assert Check.objects.count() == 1
