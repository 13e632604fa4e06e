"""A rulebook is published once, whole, under the next number; what is looser at the gate is not published."""

import json
from copy import deepcopy
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from catalog.domain.rulebook_rows import split
from catalog.loading import standing
from catalog.models import RulebookVersion
from catalog.usecases.rulebook_drafting import Edit, find_row, keep_rows, put_row, start_draft
from catalog.usecases.rulebook_publishing import publish, rebase
from catalog.usecases.rulebook_reading import attention, find_draft, state
from catalog.usecases.rulebooks import current_rulebook_number, publish_rulebook
from service.errors import Conflict, Problems
from service.operations.idempotency import NoClaim
from service.operations.models import Change, Dealer
from tests.api.world import NOW, Desk, demo_question, reference_document
from tests.operations.workers import at_once

pytestmark = pytest.mark.db
Document = dict[str, Any]


def draft() -> Document:
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


def edited(change: str) -> Document:
    document = draft()
    document["cautions"]["hot_exhaust"]["text"] += change
    return document


def by_an_editor(document: Document, base: int = 1) -> int:
    """Publish a document as an editor does: all rows of it, from a draft."""
    claim = NoClaim()
    start_draft(name="trial", note="", based_on=base, by="Oda Wren", now=NOW, idempotency=claim)
    assert claim.answer is not None
    name = claim.answer.body["rulebook"]
    made = find_draft(name)
    made.rows.all().delete()
    keep_rows(made, split(document), made.revision)
    published = NoClaim()
    publish(name, by="Oda Wren", now=NOW, idempotency=published)
    assert published.answer is not None
    number: int = published.answer.body["number"]
    return number


def test_what_would_open_the_gate_wider_than_the_shipped_document_is_refused(tallis_bridge: Dealer) -> None:
    document = draft()
    recorded = document["covers"][0]["recorded"]
    classes = set(document["service_classes"])
    covered = {code for row in document["covers"] if row["recorded"] == recorded for code in row["covers"]}
    added = min(classes - covered - {recorded})
    document["covers"][0]["covers"].append(added)
    with pytest.raises(Conflict, match=f"{recorded} covers {added} is not in the shipped table"):
        by_an_editor(document)
    assert (current_rulebook_number(), RulebookVersion.objects.count()) == (1, 1)


def test_a_newer_shipped_document_takes_over_from_a_shipped_one(tallis_bridge: Dealer) -> None:
    published = publish_rulebook(edited(" Mind the wind."), NOW)
    assert (published.number, published.in_force, published.looser) == (2, 2, ())


def test_a_newer_shipped_document_leaves_an_editors_in_force_and_holds_drafts_to_its_gate(
    tallis_bridge: Dealer,
) -> None:
    assert by_an_editor(edited(" Mind the wind.")) == 2
    newer = draft()
    dropped = newer["covers"].pop(0)
    published = publish_rulebook(newer, NOW)
    assert (published.number, published.in_force, current_rulebook_number()) == (3, 2, 2)
    shown = f"{dropped['recorded']} covers {dropped['covers'][0]}"
    assert any(problem.detail.startswith(shown) for problem in published.looser)
    with pytest.raises(Conflict, match=shown):
        by_an_editor(edited(" Mind the rain."), base=2)
    said = attention(state())
    assert said is not None
    assert "rebase the draft onto 3" in said
    again = publish_rulebook(newer, NOW)
    assert (again.number, again.new, current_rulebook_number()) == (3, False, 2)


def test_an_editors_changes_are_carried_onto_a_newer_shipped_document(tallis_bridge: Dealer) -> None:
    by_an_editor(edited(" Mind the wind."))
    newer = draft()
    newer["covers"].pop(0)
    publish_rulebook(newer, NOW)
    claim = NoClaim()
    start_draft(name="carried over", note="", based_on=None, by="Oda Wren", now=NOW, idempotency=claim)
    assert claim.answer is not None
    made = find_draft(claim.answer.body["rulebook"])
    head = rebase(made, onto=None, prefer="", by="Oda Wren", now=NOW)
    assert head["based_on"] == 3
    publish(head["rulebook"], by="Oda Wren", now=NOW, idempotency=NoClaim())
    document = RulebookVersion.objects.get(number=4).document
    assert document["covers"] == newer["covers"]
    assert document["cautions"]["hot_exhaust"]["text"].endswith(" Mind the wind.")
    assert current_rulebook_number() == 4


def test_an_older_rulebook_that_is_looser_than_what_is_shipped_now_is_not_put_in_force_again(
    tallis_bridge: Dealer,
) -> None:
    newer = draft()
    newer["covers"].pop(0)
    publish_rulebook(newer, NOW)
    with pytest.raises(Conflict, match="is not in the shipped table"):
        publish("1", by="Oda Wren", now=NOW, idempotency=NoClaim())
    assert current_rulebook_number() == 2


def test_what_an_editor_published_and_is_shipped_later_becomes_what_drafts_are_held_to(tallis_bridge: Dealer) -> None:
    document = edited(" Mind the wind.")
    assert by_an_editor(document) == 2
    again = publish_rulebook(document, NOW)
    assert (again.number, again.new, again.in_force) == (2, False, 2)
    assert state().shipped.number == 2


def test_load_reference_says_what_it_left_in_force(tallis_bridge: Dealer, tmp_path: Path) -> None:
    by_an_editor(edited(" Mind the wind."))
    tmp_path.joinpath("all.json").write_text(json.dumps(edited(" Mind the rain.")), encoding="utf-8")
    out, err = StringIO(), StringIO()
    call_command("load_reference", folder=tmp_path, stdout=out, stderr=err)
    assert out.getvalue() == "Rulebook 3 published.\n"
    assert "Rulebook 2 was made by an editor and stays in force" in err.getvalue()
    assert current_rulebook_number() == 2


@pytest.mark.django_db(transaction=True)
def test_of_two_that_publish_one_draft_one_wins_and_of_many_drafts_numbers_have_no_gap(world: None) -> None:
    names = []
    for change in (" One.", " Two.", " Three."):
        claim = NoClaim()
        start_draft(name=change, note="", based_on=None, by="Oda Wren", now=NOW, idempotency=claim)
        assert claim.answer is not None
        names.append(claim.answer.body["rulebook"])
        row = find_row(find_draft(names[-1]), "cautions", "hot_exhaust")
        content = {**row.content, "text": row.content["text"] + change}
        put_row(Edit(row.draft, "cautions", "hot_exhaust", by="Oda Wren", now=NOW, seen=row.changed_in), content)

    def one(number: int) -> bool:
        try:
            publish(names[number % 3], by="Oda Wren", now=NOW, idempotency=NoClaim())
        except Conflict:
            return False
        return True

    won = at_once(6, one)
    numbers = list(RulebookVersion.objects.order_by("number").values_list("number", flat=True))
    # All were made from rulebook 1: whoever comes second would bury what the first published.
    assert (sum(won), numbers, current_rulebook_number()) == (1, [1, 2], 2)


@pytest.mark.django_db(transaction=True)
def test_of_many_shipped_at_once_each_gets_its_own_number(world: None) -> None:
    numbers = at_once(4, lambda number: publish_rulebook(edited(f" {number}."), NOW).number)
    assert sorted(numbers) == [2, 3, 4, 5]
