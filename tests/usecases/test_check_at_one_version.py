"""A check takes a fixed number of statements, and is decided and recorded at one version of the catalogue."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog import loading
from catalog.domain.answers import Verdict
from catalog.models import CatalogueState, Check, Maker, Part
from catalog.usecases.catalogue_writes import catalogue_write
from catalog.usecases.one_version import FREE_TRIES
from service.operations.models import Dealer
from tests.api.world import NOW, Desk, demo_question
from tests.statements import own_statements

pytestmark = pytest.mark.db
MOST_STATEMENTS = 8


def statements_of(desk: Desk, question: dict[str, Any]) -> list[str]:
    """The SQL of one check of which the process remembers nothing, but for transaction control and the key's limit."""
    loading.forget()
    with CaptureQueriesContext(connection) as captured:
        desk.answer(question)
    return own_statements(captured)


def more_parts(count: int) -> None:
    """Parts of the candidate's own kind and maker, up to `count` in all."""
    like = Part.objects.get(maker__code="VRD", number="4410-12")
    parts = [
        Part(maker=like.maker, number=f"7{number:05}-12", category=like.category, facts=like.facts)
        for number in range(Part.objects.count(), count)
    ]
    for part in parts:
        part.derive_keys()
    Part.objects.bulk_create(parts, batch_size=500)


def test_a_check_takes_at_most_eight_statements_however_large_the_catalogue(desk: Desk, tallis_bridge: Dealer) -> None:
    questions = [demo_question(verdict.value) for verdict in Verdict]
    desk.answer(questions[0])  # compiles the rulebook, once a process
    more_parts(100)
    first_use = statements_of(Desk.of(tallis_bridge), questions[0])
    small = [len(statements_of(desk, question)) for question in questions]
    more_parts(10_000)
    large = [len(statements_of(desk, question)) for question in questions]
    assert large == small
    assert max(small) < MOST_STATEMENTS
    # Once an hour a key's last use is written down.
    assert len(first_use) == small[0] + 1 <= MOST_STATEMENTS


def test_a_check_of_what_is_remembered_takes_fewer(desk: Desk) -> None:
    question = demo_question("rejected")
    cold = statements_of(desk, question)
    with CaptureQueriesContext(connection) as captured:
        desk.answer(question)
    assert len(captured) < len(cold)


def test_what_rests_on_the_catalogue_alone_is_recorded_in_one_statement_that_looks_at_its_version(desk: Desk) -> None:
    with CaptureQueriesContext(connection) as captured:
        answer = desk.answer(demo_question("rejected"))
    looked = [query["sql"] for query in captured if '"catalog_cataloguestate"' in query["sql"]]
    assert [sql.split()[0] for sql in looked] == ["INSERT"]
    assert not any(query["sql"].startswith(("BEGIN", "SAVEPOINT")) for query in captured)
    assert Check.objects.get().pk.hex == answer["id"].replace("-", "")


def moving(when: Callable[[str], bool]) -> AbstractContextManager[None]:
    """Another writer moves the catalogue right after each statement that `when` picks."""

    def wrapper(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        answer = execute(sql, params, many, context)
        if when(sql):
            with catalogue_write(NOW) as write:
                write.begin()
        return answer

    return connection.execute_wrapper(wrapper)


def loads_statements(sql: str) -> bool:
    return sql.startswith("SELECT") and 'FROM "catalog_statement"' in sql


def test_a_catalogue_that_moves_while_a_check_is_decided_is_read_again(desk: Desk) -> None:
    before = CatalogueState.objects.get().version
    once = iter([True])
    loading.forget()
    with moving(lambda sql: loads_statements(sql) and next(once, False)):
        answer = desk.answer(demo_question("accepted"))
    assert answer["catalogue_version"] == before + 1
    assert Check.objects.count() == 1


def test_what_is_decided_before_the_catalogue_moves_is_not_recorded_with_it(desk: Desk) -> None:
    stamp = loading.standing().stamp
    desk.answer(demo_question("accepted"))
    check = Check.objects.get()
    again = Check(**{field.attname: getattr(check, field.attname) for field in Check._meta.concrete_fields})
    again.pk = uuid4()
    with catalogue_write(NOW) as write:
        write.begin()
    assert not again.record_at(stamp)
    assert Check.objects.count() == 1
    assert again.record_at(loading.standing().stamp)
    assert Check.objects.get(pk=again.pk).answer == check.answer


def test_a_catalogue_that_moves_every_time_is_kept_still_for_the_last(desk: Desk) -> None:
    before = CatalogueState.objects.get().version
    moves = iter([True] * FREE_TRIES)
    loading.forget()
    with moving(lambda sql: loads_statements(sql) and next(moves, False)):
        answer = desk.answer(demo_question("accepted"))
    assert answer["catalogue_version"] == before + FREE_TRIES
    assert Check.objects.count() == 1


def test_equal_digest_is_equal_verdict_whoever_asks_and_whatever_else_changed(desk: Desk, other_desk: Desk) -> None:
    question = demo_question("conditional")
    first = desk.answer(question)
    with catalogue_write(NOW) as write:
        write.begin()
        Maker.objects.create(code="QQQ", name="Another maker")
    again = other_desk.answer(question)
    assert again["catalogue_version"] > first["catalogue_version"]
    assert (again["digest"], again["verdict"]) == (first["digest"], first["verdict"])


def test_another_fact_is_another_digest(desk: Desk, tallis_bridge: Dealer) -> None:
    question = demo_question("conditional")
    digests = {desk.answer(question)["digest"]}
    for changed in ({"place_of_use": "indoor"}, {"serial": "61391"}, {"certified": True}):
        digests.add(desk.answer({**question, "application": {**question["application"], **changed}})["digest"])
    question["facts"] = [
        {"about": "candidate", "attribute": "gap", "value": {"value": "0.4", "unit": "mm"}, "how": "measured"}
    ]
    digests.add(desk.answer(question)["digest"])
    assert len(digests) == 5
