"""Barcodes scanned: the item, a misread digit, and one number in three lengths. GTINs of the acceptance page."""

import pytest

from tests.api.world import Desk

pytestmark = pytest.mark.db


def found(desk: Desk, scan: str) -> list[tuple[str, str, str, int | None]]:
    results = desk.get(f"/parts/lookup/?q={scan}").json()["results"]
    return [(hit["part"]["maker"], hit["part"]["number"], hit["matched_by"], hit["pack_quantity"]) for hit in results]


def test_scenario_04_a_scan_finds_the_item_on_whose_package_it_is(desk: Desk) -> None:
    assert found(desk, "9520000021467") == [("VRD", "0021-460", "barcode", 1)]
    assert found(desk, "19520000021464") == [("VRD", "0021-460", "barcode", 12)]


@pytest.mark.parametrize("scan", ["9520000021468", "%5DC10109520000021468", "%5DE09520000021468"])
def test_scenario_04_a_wrong_check_digit_is_refused_and_nothing_is_offered(desk: Desk, scan: str) -> None:
    response = desk.get(f"/parts/lookup/?q={scan}")
    problem = response.json()
    assert response.status_code == 400
    assert problem["type"] == "/problems/wrong-check-digit/"
    assert "check digit should be 7" in problem["detail"]
    assert problem["check_digit"] == "7"
    assert [error["parameter"] for error in problem["errors"]] == ["q"]
    assert "results" not in problem
    assert "suggestions" not in problem


@pytest.mark.parametrize("scan", ["412345002142", "0412345002142", "00412345002142"])
def test_scenario_04_one_item_number_in_every_length_is_one_item(desk: Desk, scan: str) -> None:
    assert found(desk, scan) == [("VRD", "2051", "barcode", 1)]
