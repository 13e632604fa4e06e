"""A rulebook is published once, whole, under the next number; what is looser at the gate is not published."""

from copy import deepcopy
from typing import Any

import pytest

from catalog.loading import standing
from catalog.models import RulebookVersion
from catalog.usecases.rulebooks import current_rulebook_number, publish_rulebook
from service.errors import Problems
from service.operations.models import Change, Dealer
from tests.api.world import NOW, Desk, demo_question, reference_document

pytestmark = pytest.mark.db


def draft() -> dict[str, Any]:
    return deepcopy(reference_document())


def test_the_same_document_is_published_once(tallis_bridge: Dealer) -> None:
    before = standing()
    again = publish_rulebook(draft(), NOW)
    assert (again.number, again.new) == (1, False)
    assert standing() == before


def test_a_changed_document_gets_the_next_number_and_decides_from_then_on(desk: Desk) -> None:
    before, old = standing(), desk.answer(demo_question("accepted"))
    document = draft()
    document["cautions"]["hot_exhaust"]["text"] += " Mind the wind."
    published = publish_rulebook(document, NOW)
    assert (published.number, published.new, current_rulebook_number()) == (2, True, 2)
    assert standing().version == before.version + 1
    change = Change.objects.order_by("seq").last()
    assert change is not None
    assert (change.kind, change.object_id) == ("rulebook.published", "2")
    new = desk.answer(demo_question("accepted"))
    assert (old["rulebook"], new["rulebook"]) == (1, 2)
    assert new["digest"] != old["digest"]
    # The old answer stays what it was, in whatever units it is read.
    assert desk.get(f"/checks/{old['id']}/").json() == old
    assert desk.get(f"/checks/{old['id']}/?units=us").json()["cautions"] == old["cautions"]


def test_a_document_that_rests_on_what_it_does_not_hold_is_refused_and_nothing_is_kept(tallis_bridge: Dealer) -> None:
    document = draft()
    del document["attributes"]["reach"]
    before = standing()
    with pytest.raises(Problems) as refused:
        publish_rulebook(document, NOW)
    assert refused.value.problems
    assert (standing(), RulebookVersion.objects.count()) == (before, 1)


def test_what_would_open_the_gate_wider_than_the_shipped_document_is_refused(tallis_bridge: Dealer) -> None:
    document = draft()
    recorded = document["covers"][0]["recorded"]
    classes = set(document["service_classes"])
    covered = {code for row in document["covers"] if row["recorded"] == recorded for code in row["covers"]}
    document["covers"][0]["covers"].append(min(classes - covered - {recorded}))
    with pytest.raises(Problems):
        publish_rulebook(document, NOW, shipped=reference_document())
    assert current_rulebook_number() == 1
