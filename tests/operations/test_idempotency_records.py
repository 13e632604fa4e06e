from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from django.db import transaction

from service.operations import idempotency
from service.operations.idempotency import Answer, IdempotencyClaim, KeyedRequest, NoClaim, claim
from service.operations.models import Change, Dealer, IdempotencyRecord
from tests.operations.workers import at_once

pytestmark = pytest.mark.db


@pytest.fixture
def order(tallis_bridge: Dealer) -> KeyedRequest:
    return KeyedRequest(dealer=tallis_bridge, method="POST", path="/orders/", key="K1", fingerprint="a" * 64)


def claimed(wanted: KeyedRequest, now: datetime) -> IdempotencyClaim:
    found = claim(wanted, now)
    assert isinstance(found, IdempotencyClaim)
    return found


def answered(wanted: KeyedRequest, now: datetime) -> None:
    with transaction.atomic():
        claimed(wanted, now).complete(201, {"b": 1, "a": "ü"}, {"Location": "/orders/7/"})


def order_and_answer(held: IdempotencyClaim, now: datetime) -> None:
    with transaction.atomic():
        Change.objects.create(kind="made", object_type="order", object_id="late", at=now)
        held.complete(201, {})


def test_a_repeat_gets_the_first_answer(order: KeyedRequest, now: datetime) -> None:
    answered(order, now)
    repeat = claim(order, now + timedelta(hours=23))
    assert repeat == Answer(201, {"b": 1, "a": "ü"}, {"Location": "/orders/7/"})
    assert isinstance(repeat, Answer)
    assert list(repeat.body) == ["b", "a"]


def test_the_key_with_another_payload_is_refused_whether_answered_or_not(order: KeyedRequest, now: datetime) -> None:
    other = replace(order, fingerprint="b" * 64)
    claimed(order, now)
    with pytest.raises(idempotency.KeyReused):
        claim(other, now)


def test_a_repeat_while_the_first_runs_is_told_to_wait(order: KeyedRequest, now: datetime) -> None:
    claimed(order, now)
    with pytest.raises(idempotency.StillRunning) as refused:
        claim(order, now)
    assert refused.value.context["retry_after"] == 5


def test_another_dealer_method_or_path_is_another_request(
    order: KeyedRequest, weir_lane: Dealer, now: datetime
) -> None:
    claimed(order, now)
    for other in (
        replace(order, dealer=weir_lane),
        replace(order, dealer=None),
        replace(order, method="PUT"),
        replace(order, path="/kits/"),
    ):
        claimed(other, now)


def test_the_key_is_one_without_a_dealer_too(order: KeyedRequest, now: datetime) -> None:
    shared = replace(order, dealer=None)
    answered(shared, now)
    assert isinstance(claim(shared, now), Answer)
    assert IdempotencyRecord.objects.count() == 1


def test_a_claim_whose_holder_died_is_taken_over_and_the_late_holder_undoes_its_effect(
    order: KeyedRequest, now: datetime
) -> None:
    late = claimed(order, now)
    now += idempotency.LEASE
    second = claimed(order, now)
    with pytest.raises(idempotency.ClaimLost):
        order_and_answer(late, now)
    assert not Change.objects.exists()
    with transaction.atomic():
        second.complete(201, {"order": 2})
    assert isinstance(claim(order, now), Answer)


def test_a_released_key_can_be_used_again_at_once(order: KeyedRequest, now: datetime) -> None:
    claimed(order, now).release()
    claimed(order, now)


def test_an_answer_is_not_released(order: KeyedRequest, now: datetime) -> None:
    held = claimed(order, now)
    with transaction.atomic():
        held.complete(201, {})
    held.release()
    assert isinstance(claim(order, now), Answer)


def test_after_a_day_the_key_starts_afresh(order: KeyedRequest, now: datetime) -> None:
    answered(order, now)
    claimed(replace(order, fingerprint="b" * 64), now + idempotency.KEPT_FOR)


def test_expired_records_are_cleared(order: KeyedRequest, now: datetime) -> None:
    answered(order, now)
    answered(replace(order, key="K2"), now + timedelta(hours=1))
    assert idempotency.clear_expired(now + idempotency.KEPT_FOR) == 1
    assert IdempotencyRecord.objects.get().key == "K2"


@pytest.mark.django_db(transaction=True)
def test_an_answer_outside_the_transaction_of_its_effect_is_refused(order: KeyedRequest, now: datetime) -> None:
    with pytest.raises(RuntimeError, match="atomic"):
        claimed(order, now).complete(201, {})


def test_without_a_key_the_answer_is_kept_in_memory_alone() -> None:
    none = NoClaim()
    none.complete(201, {"a": 1})
    assert none.answer == Answer(201, {"a": 1}, {})


@pytest.mark.django_db(transaction=True)
def test_of_several_claims_at_once_one_wins_and_the_others_are_told_to_wait(order: KeyedRequest, now: datetime) -> None:
    def work(_number: int) -> str:
        try:
            return type(claim(order, now)).__name__
        except idempotency.StillRunning:
            return "wait"

    assert sorted(at_once(4, work)) == ["IdempotencyClaim", "wait", "wait", "wait"]


@pytest.mark.django_db(transaction=True)
def test_of_several_that_take_over_a_dead_claim_at_once_one_wins(order: KeyedRequest, now: datetime) -> None:
    dead = [replace(order, key=f"K{number}") for number in range(15)]
    for wanted in dead:
        claimed(wanted, now)

    def work(_number: int) -> list[str]:
        return [won for wanted in dead if (won := taken_over(wanted, now + idempotency.LEASE))]

    winners = [key for keys in at_once(4, work) for key in keys]
    assert sorted(winners) == sorted(wanted.key for wanted in dead)


def taken_over(wanted: KeyedRequest, now: datetime) -> str | None:
    try:
        claim(wanted, now)
    except idempotency.StillRunning:
        return None
    return wanted.key
