"""What the catalogue tells of parts and of the published rules."""

from typing import Any

import pytest

from catalog.models import CatalogueState, Part
from service.operations.models import Dealer
from tests.api.world import Desk

pytestmark = pytest.mark.db


def test_a_category_tells_its_attributes_with_how_they_are_compared_and_from_where(desk: Desk) -> None:
    category = desk.get("/categories/spark_plug/").json()
    assert category["fuel_role"] == "combustion"
    attributes = {row["attribute"]: row for row in category["attributes"]}
    reach = attributes["reach"]
    assert (reach["kind"], reach["unit"], reach["slots"]) == ("quantity", "mm", [None])
    assert reach["comparison"]
    assert reach["when_not_met"] == "reject"
    assert reach["when_unknown"] == "undetermined"
    assert reach["taken_over"] == "same"
    assert reach["source"]["kind"]
    assert attributes["fuels"]["vocabulary"]
    assert (category["rulebook"], category["catalogue_version"] > 0) == (1, True)


def test_every_category_listed_can_be_read(desk: Desk) -> None:
    listed = desk.get("/categories/").json()["results"]
    assert {row["code"] for row in listed} >= {"spark_plug", "injector", "fuel_hose"}
    for row in listed:
        assert desk.get(f"/categories/{row['code']}/").json()["ports"] == row["ports"]


def test_an_unknown_category_is_not_found_and_the_known_ones_are_named(desk: Desk) -> None:
    response = desk.get("/categories/widget/")
    assert response.status_code == 404
    assert "spark_plug" in response.json()["detail"]


@pytest.mark.parametrize("address", ["/fuels/", "/fuel-services/"])
def test_published_lists_give_each_row_its_source(desk: Desk, address: str) -> None:
    rows = desk.get(address).json()["results"]
    assert rows
    assert all(row["source"]["kind"] for row in rows)


def test_parts_are_listed_by_maker_number_category_and_status(desk: Desk) -> None:
    def numbers(query: str) -> list[str]:
        found: list[dict[str, Any]] = desk.get(f"/parts/?{query}").json()["results"]
        return [f"{row['maker']} {row['number']}" for row in found]

    assert numbers("maker=vrd&number=441012") == ["VRD 4410-12"]
    assert set(numbers("number=3140")) == {"VRD 3140", "OLM 3140"}
    assert all(row.startswith("TSK ") for row in numbers("maker=TSK"))
    assert "VRD 4410-07" in numbers("category=spark_plug&status=active")
    assert numbers("status=withdrawn") == []


def test_parts_come_in_pages_that_neither_skip_nor_repeat(desk: Desk) -> None:
    seen, address = [], "/api/v1/parts/?page_size=7"
    while address:
        page = desk.client.get(address, headers={"Authorization": f"Bearer {desk.key}"}).json()
        seen += [row["id"] for row in page["results"]]
        address = page["next"]
    assert sorted(seen) == sorted(Part.objects.values_list("pk", flat=True))


def test_a_part_tells_every_value_with_its_state_and_source(desk: Desk) -> None:
    part = Part.objects.get(maker__code="VRD", number="4410-12")
    response = desk.get(f"/parts/{part.pk}/")
    told = response.json()
    reach = next(row for row in told["attributes"] if row["attribute"] == "reach")
    assert reach["state"] == "value"
    assert reach["value"] == {"value": "19", "unit": "mm"}
    assert reach["source"]["kind"] == "maker"
    in_inches = desk.get(f"/parts/{part.pk}/?units=us").json()
    assert next(row for row in in_inches["attributes"] if row["attribute"] == "reach")["value"]["unit"] == "in"
    assert desk.get(f"/parts/{part.pk}/", If_None_Match=response.headers["ETag"]).status_code == 304


@pytest.mark.parametrize("address", ["/parts/999999/", f"/parts/{2**63}/", "/parts/0/"])
def test_a_part_that_is_not_there_is_not_found(desk: Desk, address: str) -> None:
    assert desk.get(address).status_code == 404


@pytest.mark.parametrize("query", ["colour=red", "status=lost", "page_size=many", "attr__gap=1"])
def test_a_parameter_that_the_list_does_not_have_is_a_problem(desk: Desk, query: str) -> None:
    response = desk.get(f"/parts/?{query}")
    assert response.status_code == 400
    assert response.json()["errors"][0]["parameter"] == query.split("=", maxsplit=1)[0]


def test_before_a_rulebook_is_published_a_question_is_refused_with_the_reason(db: None) -> None:
    dealer = Dealer.objects.create(code="new", name="New", zone="UTC")
    desk = Desk.of(dealer)
    CatalogueState.objects.all().delete()
    for response in (desk.check({"candidate": "1"}), desk.get("/categories/")):
        assert response.status_code == 409
        assert response.json()["type"] == "/problems/no-rulebook/"
