"""Several kits want the last piece at the same moment: it is promised once."""

import json

import pytest

from catalog.models import Machine
from kits.models import Reservation, StockBatch
from service.operations.models import Dealer
from tests.api.kit_cast import built, key, shelve
from tests.api.world import Desk
from tests.operations.workers import at_once

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
KITS = 4


def test_the_last_piece_is_promised_to_one_kit_and_the_others_are_told_it_is_short(
    tallis_bridge: Dealer, desk: Desk
) -> None:
    shelve(tallis_bridge, "2051", 1)
    kits = [built(desk, tasks=["air_element"]) for _ in range(KITS)]
    keys = [key() for _ in range(KITS)]
    answers = at_once(KITS, lambda one: desk.post(f"/kits/{kits[one]['id']}/reserve/", {}, **keys[one]))
    assert [answer.status_code for answer in answers] == [200] * KITS
    found = [json.loads(answer.content) for answer in answers]
    assert sorted(kit["state"] for kit in found) == ["built"] * (KITS - 1) + ["reserved"]
    assert sorted(len(kit["short"]) for kit in found) == [0] + [1] * (KITS - 1)
    (batch,) = StockBatch.objects.filter(item__part__number="2051")
    assert (batch.on_hand, batch.reserved, Reservation.objects.count()) == (1, 1, 1)


def test_kits_built_at_once_get_numbers_of_their_own(desk: Desk) -> None:
    machine = str(Machine.objects.get(name="Resurfacer 1").pk)
    keys = [key() for _ in range(KITS)]
    body = {"machine": machine, "tasks": ["air_element"]}
    answers = at_once(KITS, lambda one: desk.post("/kits/", body, **keys[one]))
    assert sorted(json.loads(answer.content)["number"] for answer in answers) == list(range(1, KITS + 1))
