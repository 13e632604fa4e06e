"""The editors' view of the catalogue: what is missing where it decides, most wanted first, and what contradicts."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.domain.quality import critical_places
from catalog.domain.rules import Category, FuelRole, Rulebook
from catalog.models import EngineSpecification, Position
from catalog.usecases.quality import quality
from catalog.usecases.reading import published
from service.operations.models import Dealer, Scope
from tests.api.world import Desk, demo_question
from tests.demo_world import rulebook

pytestmark = pytest.mark.db

SHEET = {"kind": "maker", "citation": "data sheet 2026, invented"}
OTHER_SHEET = {"kind": "maker", "citation": "price list 2026, invented"}
NOW = datetime(2026, 3, 9, 9, 15, tzinfo=UTC)


def told(desk: Desk, category: str = "spark_plug") -> dict[str, Any]:
    response = desk.get(f"/quality/?category={category}")
    assert response.status_code == 200, response.content
    answer: dict[str, Any] = response.json()
    return answer


def gap(answer: dict[str, Any], attribute: str, slot: str | None = None) -> dict[str, Any] | None:
    rows = [row for row in answer["missing"] if (row["attribute"], row["slot"]) == (attribute, slot)]
    return rows[0] if rows else None


def plug(desk: Desk, number: str, *attributes: dict[str, Any]) -> int:
    body = {"maker": "VRD", "number": number, "category": "spark_plug", "attributes": list(attributes)}
    made: int = desk.made("/parts/", body)["id"]
    return made


def value(attribute: str, stated: Any, source: dict[str, str] = SHEET) -> dict[str, Any]:
    return {"attribute": attribute, "value": stated, "source": source}


def mm(text: str) -> dict[str, str]:
    return {"value": text, "unit": "mm"}


def lacking(answer: dict[str, Any], attribute: str, slot: str | None = None) -> int:
    row = gap(answer, attribute, slot)
    return 0 if row is None else row["parts_lacking"]


def test_a_part_without_what_decides_is_counted_until_it_is_recorded(desk: Desk) -> None:
    before = lacking(told(desk), "reach")
    number = plug(desk, "4410-X", value("fuels", ["gasoline"]))
    answer = told(desk)
    assert lacking(answer, "reach") == before + 1
    row = gap(answer, "reach")
    assert row is not None
    assert (row["rules"], row["positions"]) == (["reach"], Position.objects.filter(category="spark_plug").count())
    desk.changed(f"/parts/{number}/", {"attributes": [value("reach", {"state": "known_none"})]})
    assert lacking(told(desk), "reach") == before
    assert lacking(told(desk), "fuels") == lacking(answer, "fuels") + 1
    desk.changed(f"/parts/{number}/", {"status": "withdrawn"})
    assert lacking(told(desk), "fuels") == lacking(answer, "fuels")


def test_two_sources_of_one_part_count_once(desk: Desk) -> None:
    before = lacking(told(desk), "reach")
    plug(desk, "4410-Y", value("reach", mm("19")), value("reach", mm("19"), OTHER_SHEET))
    plug(desk, "4410-Z")
    assert lacking(told(desk), "reach") == before + 1


def test_what_only_condition_or_note_depends_on_is_not_counted(desk: Desk) -> None:
    plug(desk, "4410-X")
    assert gap(told(desk), "plug_hex") is None  # advisory: well clearance


def test_a_withdrawn_specification_asks_for_nothing(desk: Desk) -> None:
    plug(desk, "4410-X")
    spec = EngineSpecification.objects.get(model="VRD-H40", spec="S-131")
    before = gap(told(desk), "reach")
    desk.changed(f"/engine-specs/{spec.pk}/", {"status": "withdrawn"})
    after = gap(told(desk), "reach")
    assert before is not None
    assert after is not None
    assert after["positions"] == before["positions"] - 1


def test_the_positions_come_first_and_recent_checks_decide_between_equals(desk: Desk, other_desk: Desk) -> None:
    plug(desk, "4410-X", value("fuels", ["lpg_liquid"]), value("plug_thread", "M14x1.25"))
    question = {**demo_question("accepted"), "candidate": {"maker": "VRD", "number": "4410-X"}}
    assert "candidate: reach" in {fact["fact"] for fact in desk.answer(question)["missing"]}
    other_desk.answer(question)
    answer = told(desk)
    row = gap(answer, "reach")
    assert row is not None
    assert row["recent_checks"] == 2
    assert answer["undetermined_checks"] == answer["undetermined_checks_read"] == 2
    order = [(-row["positions"], -row["recent_checks"]) for row in answer["missing"]]
    assert order == sorted(order)
    everything = [(-row["positions"], -row["recent_checks"]) for row in desk.get("/quality/").json()["missing"]]
    assert everything == sorted(everything)
    assert "tallis" not in str(answer).casefold()


def test_only_recent_checks_count(tallis_bridge: Dealer, desk: Desk) -> None:
    plug(desk, "4410-X", value("fuels", ["lpg_liquid"]))
    body = {**demo_question("accepted"), "candidate": {"maker": "VRD", "number": "4410-X"}}
    desk.answer({**body, "position": "spark_plug"})
    book = published().rulebook
    ages = {days: quality(book, datetime.now(UTC) + timedelta(days=days), category="spark_plug") for days in (29, 31)}
    assert [ages[days]["undetermined_checks"] for days in (29, 31)] == [1, 0]
    assert [gap(ages[days], "reach")["recent_checks"] for days in (29, 31)] == [1, 0]  # type: ignore[index]
    assert tallis_bridge.checks.count() == 1


def test_sources_that_disagree_are_told_with_what_each_says(desk: Desk) -> None:
    number = plug(desk, "4410-X", value("reach", mm("19")), value("reach", mm("17.5"), OTHER_SHEET),
                  value("gap", mm("0.6")), value("gap", mm("0.6"), OTHER_SHEET))  # fmt: skip
    found = [row for row in told(desk)["contradictions"] if row["part"]["id"] == number]
    assert [(row["attribute"], row["critical"]) for row in found] == [("reach", True)]
    assert [(said["value"], said["source"]) for said in found[0]["values"]] == [
        (mm("19"), SHEET), (mm("17.5"), OTHER_SHEET),
    ]  # fmt: skip
    desk.changed(f"/parts/{number}/", {"attributes": [value("reach", mm("19"))]})
    assert number not in {row["part"]["id"] for row in told(desk)["contradictions"]}


DISAGREEING: dict[str, tuple[str, Any, Any]] = {
    "codes": ("fuels", ["gasoline"], ["natural_gas"]),
    "one code and two": ("fuels", ["gasoline"], ["gasoline", "natural_gas"]),
    "a flag": ("resistor", True, False),
    "a value and none": ("reach", mm("19"), {"state": "known_none"}),
    "none and no meaning": ("reach", {"state": "known_none"}, {"state": "not_applicable"}),
    "a figure and its limits": ("reach", mm("19"), {"min": "18.9", "max": "19.1", "unit": "mm"}),
    "an open end": ("reach", {"min": "18.9", "unit": "mm"}, {"min": "18.9", "max": "19.1", "unit": "mm"}),
}


@pytest.mark.parametrize("name", DISAGREEING)
def test_every_kind_of_disagreement_is_seen(desk: Desk, name: str) -> None:
    attribute, one, other = DISAGREEING[name]
    number = plug(desk, "4410-X", value(attribute, one), value(attribute, other, OTHER_SHEET))
    assert [row["attribute"] for row in told(desk)["contradictions"] if row["part"]["id"] == number] == [attribute]


def test_the_number_of_queries_does_not_grow_with_the_catalogue(desk: Desk) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as made:
            told(desk)
        return len(made)

    def add(number: str) -> None:
        plug(desk, number, value("reach", mm("19")), value("reach", mm("17.5"), OTHER_SHEET))
        desk.answer({**demo_question("accepted"), "candidate": {"maker": "VRD", "number": number}})

    add("4410-A")
    told(desk)
    few = queries()
    for number in ("4410-B", "4410-C", "4410-D"):
        add(number)
    assert queries() == few <= 12


def test_it_is_for_editors(tallis_bridge: Dealer) -> None:
    reader = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ])
    assert reader.get("/quality/").status_code == 403


def test_an_unknown_category_is_a_problem(desk: Desk) -> None:
    response = desk.get("/quality/?category=nonsense")
    assert (response.status_code, response.json()["errors"][0]["parameter"]) == (400, "category")


def test_every_category_that_is_judged_by_fuel_asks_for_it_at_its_gate() -> None:
    """Architecture: metering and wetted by class at each port, combustion and control by fuel, none not at all."""
    book = rulebook()
    for category in book.categories.values():
        asked = {critical.place for critical in critical_places(category, book) if "gate" in critical.rules}
        assert asked == expected_at_the_gate(category), category.code


def expected_at_the_gate(category: Category) -> set[tuple[str, str | None]]:
    by_class = category.fuel_role in (FuelRole.METERING, FuelRole.WETTED)
    if by_class and not (category.loose_seal or category.not_made_for_fuel):
        return {("fuel_service", port) for port in category.ports}
    return {("fuels", None)} if category.fuel_role in (FuelRole.COMBUSTION, FuelRole.CONTROL) else set()


def test_an_empty_rulebook_misses_nothing(db: None) -> None:
    assert quality(Rulebook(), NOW)["missing"] == []
