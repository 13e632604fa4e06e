"""A catalogue write moves the version once, stamps what it touched and tells the feed; no change is no write."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from catalog.domain.import_tables import Aggregate
from catalog.domain.rules import Rulebook
from catalog.loading import load_rulebook, standing
from catalog.models import (
    Barcode,
    CatalogueState,
    EngineSpecification,
    Part,
    PartAttribute,
    Position,
    Statement,
    Status,
)
from catalog.usecases.catalogue_writes import MOST_AGGREGATES, catalogue_write
from catalog.usecases.demo_dealership import load_demo
from catalog.usecases.part_writing import Written, save_parts
from catalog.usecases.reading_drafts import read_parts, read_specifications, read_statements
from catalog.usecases.refusals import NoneOfThese
from catalog.usecases.specification_writing import save_specifications
from catalog.usecases.statement_writing import save_statements
from service.errors import Problems
from service.operations.models import Branch, Change, Dealer
from tests.api.world import NOW, Desk, demo_catalogue, demo_question
from tests.demo_world import documents

pytestmark = pytest.mark.db
PLUG = {"maker": "VRD", "number": "4410-12"}


def rulebook() -> Rulebook:
    now = standing()
    return load_rulebook(now.rulebook, now.digest)


def demo_part(number: str) -> dict[str, Any]:
    return next(dict(row) for row in documents(Aggregate.PART) if (row["maker"], row["number"]) == ("VRD", number))


def save(*rows: dict[str, Any]) -> Written:
    return save_parts(read_parts(rows, rulebook()), NOW)


def test_the_demo_dealer_has_its_branch_zone_currency_and_closed_dates(tallis_bridge: Dealer) -> None:
    branch = Branch.objects.get(dealer=tallis_bridge)
    assert (tallis_bridge.name, branch.zone, branch.currency) == ("Tallis Bridge Power Service", "Europe/Paris", "USD")
    assert [closed.date for closed in branch.closed_dates.all()] == [date(2026, 4, 3), date(2026, 4, 6)]


def test_loading_the_demo_again_changes_nothing(tallis_bridge: Dealer) -> None:
    before, feed = standing(), Change.objects.count()
    rows = Part.objects.count(), PartAttribute.objects.count(), Position.objects.count(), Statement.objects.count()
    written = load_demo(demo_catalogue(), NOW)
    assert (written.added, written.changed) == (0, 0)
    assert written.unchanged > 0
    assert (standing(), Change.objects.count()) == (before, feed)
    assert rows == (
        Part.objects.count(), PartAttribute.objects.count(), Position.objects.count(), Statement.objects.count()
    )  # fmt: skip


def test_a_changed_part_moves_the_version_once_and_is_told_in_the_feed(tallis_bridge: Dealer) -> None:
    before = standing()
    assert save({**demo_part("4410-07"), "name": "plug, renamed"}, demo_part("4410-12")) == Written(0, 1, 1)
    after, part = standing(), Part.objects.get(maker__code="VRD", number="4410-07")
    assert after.version == before.version + 1
    assert after.stamp != before.stamp
    assert part.changed_in == after.version
    change = Change.objects.order_by("seq").last()
    assert change is not None
    assert (change.kind, change.object_type, change.object_id) == ("part.changed", "part", str(part.pk))
    assert change.payload == {"catalogue_version": after.version}
    untouched = Part.objects.get(maker__code="VRD", number="4410-12")
    assert untouched.changed_in < after.version


def test_a_value_that_changes_is_what_the_next_check_is_decided_from(desk: Desk) -> None:
    question = demo_question("accepted")
    assert desk.answer(question)["verdict"] == "accepted"
    row = demo_part("4410-12")
    row["attributes"] = [
        {**entry, "value": ["gasoline"]} if entry["attribute"] == "fuels" else entry for entry in row["attributes"]
    ]
    save(row)
    # The maker specifies it for the fuel burned and its record now says otherwise: an error in the data.
    assert desk.answer(question)["verdict"] == "undetermined"
    save(demo_part("4410-12"))
    assert desk.answer(question)["verdict"] == "accepted"


def test_a_part_that_is_added_answers_to_its_number_at_once(desk: Desk) -> None:
    question = {**demo_question("accepted"), "candidate": {"maker": "VRD", "number": "4410-99"}}
    assert desk.check(question).status_code == 404
    save({**demo_part("4410-12"), "number": "4410-99"})
    assert desk.check(question).status_code == 201


def test_barcodes_are_kept_with_their_pack_and_replaced_when_they_change(tallis_bridge: Dealer) -> None:
    save({**demo_part("4410-12"), "barcodes": [{"code": "9520000044121"}]})
    assert save(
        {**demo_part("4410-12"), "barcodes": [{"code": "19520000044128", "pack_quantity": 12}]}
    ) == Written(changed=1)  # fmt: skip
    own = Barcode.objects.filter(part__number="4410-12")
    assert list(own.values_list("code", "pack_quantity")) == [("19520000044128", 12)]


def test_no_version_touches_more_than_the_most_aggregates(tallis_bridge: Dealer) -> None:
    before = standing().version
    drafts = read_parts([demo_part("4410-12")], rulebook())
    many = [replace(drafts[0], number=f"M-{index}") for index in range(MOST_AGGREGATES + 1)]
    assert save_parts(many, NOW) == Written(added=MOST_AGGREGATES + 1)
    assert standing().version == before + 2
    assert Part.objects.filter(changed_in=before + 1).count() == MOST_AGGREGATES


def test_a_write_that_fails_leaves_version_feed_and_rows_as_they_were(tallis_bridge: Dealer) -> None:
    before, feed = standing(), Change.objects.count()

    def fail() -> None:
        with catalogue_write(NOW) as write:
            write.begin()
            Part.objects.filter(number="4410-12").update(name="half done")
            write.touched("part.changed", "part", 1)
            raise LookupError

    with pytest.raises(LookupError):
        fail()
    assert (standing(), Change.objects.count()) == (before, feed)
    assert not Part.objects.filter(name="half done").exists()


def test_a_bad_file_is_refused_with_every_problem_and_nothing_of_it_is_kept(tallis_bridge: Dealer) -> None:
    gap = {"attribute": "gap", "slot": None, "source": {"kind": "maker", "citation": ""}}
    rows = [
        {**demo_part("4410-12"), "number": "N-1", "category": "widget"},
        {**demo_part("4410-12"), "number": "N-2", "attributes": [{**gap, "value": {"value": "1", "unit": "kg"}}]},
        {**demo_part("4410-12"), "number": "N-3", "attributes": [{**gap, "attribute": "colour", "value": "red"}]},
    ]
    with pytest.raises(Problems) as refused:
        save(*rows)
    assert [(problem.pointer, problem.code) for problem in refused.value.problems] == [
        ("/0/category", "unknown_category"),
        ("/1/attributes/0/value/unit", "wrong_dimension"),
        ("/2/attributes/0/attribute", "unknown_attribute"),
    ]
    assert not Part.objects.filter(number__startswith="N-").exists()


def test_a_specification_that_changes_keeps_the_rows_of_positions_whose_code_stays(tallis_bridge: Dealer) -> None:
    rows = [dict(row) for row in documents(Aggregate.SPECIFICATION) if row["spec"] == "S-131"]
    kept = dict(Position.objects.filter(specification__spec="S-131").values_list("code", "pk"))
    extra = {"code": "spare_plug", "category": "spark_plug", "quantity": 1}
    rows[0]["positions"] = [{**entry, "quantity": 9} for entry in rows[0]["positions"]] + [extra]
    assert save_specifications(read_specifications(rows, rulebook()), NOW) == Written(changed=1)
    now = dict(Position.objects.filter(specification__spec="S-131").values_list("code", "pk"))
    assert {code: now[code] for code in kept} == kept
    assert set(now) - set(kept) == {"spare_plug"}
    specification = EngineSpecification.objects.get(spec="S-131")
    assert specification.changed_in == standing().version
    assert '"quantity":9' in specification.facts


def test_statements_of_unknown_parts_and_positions_are_refused_together(tallis_bridge: Dealer) -> None:
    row = dict(documents(Aggregate.STATEMENT)[0])
    bad = [{**row, "part": {"maker": "VRD", "number": "none"}}, {**row, "position": "nowhere"}]
    with pytest.raises(NoneOfThese) as refused:
        save_statements(read_statements(bad, rulebook()), NOW)
    assert [problem.pointer for problem in refused.value.problems] == ["/0/part", "/1/position"]


def test_a_withdrawn_part_answers_to_no_new_question_and_stays_readable(desk: Desk) -> None:
    with catalogue_write(NOW) as write:
        write.begin()
        Part.objects.filter(number="4410-12").update(status=Status.WITHDRAWN)
    response = desk.check(demo_question("accepted"))
    assert response.status_code == 410
    assert response.json()["code"] == "part_withdrawn"
    part = Part.objects.get(number="4410-12")
    assert desk.get(f"/parts/{part.pk}/").json()["status"] == "withdrawn"
    # It can still be what is taken off the engine, and it is offered to nobody.
    other = {**demo_question("accepted"), "candidate": {"maker": "VRD", "number": "4410-07"}, "replaces": PLUG}
    assert desk.answer(other)["alternatives"] == []


def test_a_withdrawn_specification_is_not_found(desk: Desk) -> None:
    with catalogue_write(NOW) as write:
        write.begin()
        EngineSpecification.objects.filter(spec="S-131").update(status=Status.WITHDRAWN)
    problem = desk.check(demo_question("accepted")).json()
    assert problem["code"] == "unknown_specification"
    assert {"model": "VRD-H40", "spec": "S-131"} not in problem["suggestions"]


def test_there_is_one_state_row(tallis_bridge: Dealer) -> None:
    assert CatalogueState.objects.count() == 1
