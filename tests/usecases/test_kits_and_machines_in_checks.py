"""What a kit holds and how a machine stands reach the decision, in as many statements whatever there is of either."""

import json
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from catalog import loading
from catalog.models import Check, Machine, Part, PartContent
from catalog.models.facts import by_itself
from service.operations.models import Dealer
from tests.api.world import Desk
from tests.statements import own_statements

pytestmark = pytest.mark.db
SEALS = {
    "position": "injector_seals",
    "application": {
        "spec": {"model": "VRD-H40", "spec": "S-118"},
        "serial": "118402",
        "plate_fuels": ["lpg_liquid"],
        "fuel_records": [{"fuels": ["lpg_liquid"], "mode": "only_fuel", "found_on": "2026-01-12"}],
        "place_of_use": "indoor",
        "certified": False,
    },
}
SOURCE = {"kind": "record", "citation": "looked at on 2026-01-12"}


def address(desk: Desk, maker: str, number: str) -> str:
    return f"/parts/{desk.get(f'/parts/?maker={maker}&number={number}').json()['results'][0]['id']}/"


def kit(desk: Desk, number: str) -> dict[str, Any]:
    return desk.answer({**SEALS, "candidate": {"maker": "VRD", "number": number}})


def statements(desk: Desk, question: dict[str, Any]) -> int:
    loading.forget()
    with CaptureQueriesContext(connection) as captured:
        desk.answer(question)
    return len(own_statements(captured))


def test_a_kit_is_judged_by_what_it_holds(desk: Desk) -> None:
    """Architecture, rule 7: one accepted member for each place, in number."""
    short = kit(desk, "6510-H")
    assert short["verdict"] == "rejected"
    assert any("3 of 4" in finding["text"] for finding in short["findings"])
    whole = kit(desk, "6510-K")
    assert whole["verdict"] != "rejected"
    assert not any(finding["attribute"] == "contents" for finding in whole["findings"] if finding["outcome"] != "met")


def test_a_piece_that_changes_changes_the_kit_that_holds_it(desk: Desk) -> None:
    before = kit(desk, "6510-K")
    container = Part.objects.get(maker__code="VRD", number="6510-K")
    desk.changed(address(desk, "VRD", "8801"), {"attributes": []})
    changed = Part.objects.get(pk=container.pk)
    assert changed.changed_in > container.changed_in
    after = kit(desk, "6510-K")
    assert after["digest"] != before["digest"]
    assert after["verdict"] == "undetermined"


def test_a_kit_whose_text_was_written_before_contents_were_kept_is_still_read(desk: Desk) -> None:
    container = Part.objects.get(maker__code="VRD", number="6510-K")
    old = by_itself(container.facts)
    assert old != container.facts
    assert "contains" not in json.loads(old)
    Part.objects.filter(pk=container.pk).update(facts=old)
    loading.forget()
    assert kit(desk, "6510-K")["verdict"] in ("undetermined", "accepted", "conditional")


def test_a_kit_takes_no_statement_more_however_much_it_holds(desk: Desk) -> None:
    plain = {**SEALS, "candidate": {"maker": "OLM", "number": "6511"}}
    desk.answer(plain)
    assert statements(desk, {**SEALS, "candidate": {"maker": "VRD", "number": "6510-K"}}) == statements(desk, plain) < 8


def test_a_piece_of_a_matched_set_is_not_judged_alone(desk: Desk) -> None:
    pieces = [{"part": {"maker": "VRD", "number": number}, "quantity": 4} for number in ("8801", "8802")]
    body = {"maker": "VRD", "number": "SET-1", "category": "injector_seal_set", "matched_set": True, "contains": pieces}
    made = desk.made("/parts/", body)
    assert json.loads(Part.objects.get(number="8801").facts)["member_of"] == ["SET-1", [["VRD", "8801", 4],
                                                                                       ["VRD", "8802", 4]]]  # fmt: skip
    # A set that is held whole asks for nothing more.
    held = json.loads(Part.objects.get(number="SET-1").facts)["contains"]
    assert not any("member_of" in inner for inner, _ in held)
    desk.changed(f"/parts/{made['id']}/", {"contains": []})
    assert "member_of" not in json.loads(Part.objects.get(number="8801").facts)


def test_a_part_holds_neither_itself_nor_what_holds_it(desk: Desk) -> None:
    inner = address(desk, "VRD", "8801")
    tag = desk.get(inner).headers["ETag"]
    for number in ("8801", "6510-K"):
        refused = desk.patch(inner, {"contains": [{"part": {"maker": "VRD", "number": number}}]}, If_Match=tag)
        assert refused.status_code == 400
        assert "contents_circular" in {entry["code"] for entry in refused.json()["errors"]}
    assert desk.get(inner).headers["ETag"] == tag
    part = Part.objects.get(maker__code="VRD", number="8801")
    with pytest.raises(IntegrityError), transaction.atomic():
        PartContent.objects.create(container=part, part=part)


def truck(desk: Desk) -> dict[str, Any]:
    machine: dict[str, Any] = desk.get("/machines/?name=Truck 7").json()["results"][0]
    return machine


def test_a_machine_takes_one_statement_more_whatever_is_recorded_of_it(desk: Desk) -> None:
    machine = truck(desk)
    question = {"candidate": {"maker": "VRD", "number": "4410-12"}, "position": "spark_plug"}
    application = {name: machine[name] for name in ("spec", "serial", "plate_fuels")}
    desk.answer({**question, "application": application})
    described = statements(desk, {**question, "application": application})
    for number in range(5):
        record = {"fuels": ["lpg_liquid"], "mode": "burns_today", "found_on": f"2026-02-0{number + 1}"}
        desk.made(f"/machines/{machine['id']}/fuel-records/", record)
    assert statements(desk, {**question, "machine": machine["id"]}) == described + 1


def test_a_machine_that_changes_while_it_is_asked_about_is_read_again(desk: Desk) -> None:
    machine, once, day = truck(desk), iter([True]), "2026-02-01"
    record = {"fuels": ["lpg_liquid"], "mode": "burns_today", "found_on": day}

    def looked_at(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        answer = execute(sql, params, many, context)
        if sql.startswith("SELECT") and 'FROM "catalog_machine"' in sql and next(once, False):
            desk.made(f"/machines/{machine['id']}/fuel-records/", record)
        return answer

    question = {"candidate": {"maker": "VRD", "number": "4410-12"}, "machine": machine["id"], "position": "spark_plug"}
    with connection.execute_wrapper(looked_at):
        desk.answer(question)
    assert day in Check.objects.get().facts


def test_an_as_built_position_takes_the_place_of_the_specifications(desk: Desk) -> None:
    machine = truck(desk)
    question = {"candidate": {"maker": "VRD", "number": "4410-12"}, "machine": machine["id"], "position": "spark_plug"}
    assert desk.answer(question)["verdict"] == "accepted"
    rebuilt = {"position": "spark_plug", "category": "spark_plug", "source": SOURCE}
    desk.made(f"/machines/{machine['id']}/as-built/", rebuilt)
    # Nothing that the engine's maker says of the position is known to hold of what was built there since.
    answer = desk.answer(question)
    assert answer["verdict"] == "undetermined"
    facts = json.loads(Check.objects.get(pk=answer["id"]).facts)
    assert [(position["code"], position["as_built"]) for position in facts["positions"]] == [("spark_plug", True)]
    assert all(said["says"][1] == "excluded" for said in facts["rest"]["engine"]["statements"])


def test_a_position_that_was_removed_is_not_there_any_more(desk: Desk) -> None:
    machine = truck(desk)
    desk.made(f"/machines/{machine['id']}/as-built/", {"position": "spark_plug", "removed": True, "source": SOURCE})
    asked = desk.check({"candidate": {"maker": "VRD", "number": "4410-12"}, "machine": machine["id"],
                        "position": "spark_plug"})  # fmt: skip
    assert (asked.status_code, asked.json()["code"]) == (404, "position_removed")


def test_a_machine_that_moves_while_it_is_decided_about_is_read_again(desk: Desk, tallis_bridge: Dealer) -> None:
    machine, once = truck(desk), iter([True])

    def moving(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        answer = execute(sql, params, many, context)
        if 'FROM "catalog_machine"' in sql and "facts" in sql and next(once, False):
            row = Machine.objects.get(pk=machine["id"])
            text = row.facts.replace('"serial":"131077"', '"serial":"131078"')
            Machine.objects.filter(pk=row.pk).update(serial="131078", facts=text, version=row.version + 1)
        return answer

    loading.forget()
    with connection.execute_wrapper(moving):
        answer = desk.answer({"candidate": {"maker": "VRD", "number": "4410-12"}, "machine": machine["id"]})
    facts = json.loads(Check.objects.get(pk=answer["id"]).facts)
    assert facts["rest"]["application"]["serial"] == ["", 131078]
    assert Check.objects.filter(machine=machine["id"], dealer=tallis_bridge).count() == 1
