"""A number typed with the maker's code in front and spaces for dashes."""

from urllib.parse import urlencode

import pytest

from tests.api.world import Desk

pytestmark = pytest.mark.db

SURE = {"exact", "normalised", "barcode"}


@pytest.mark.parametrize("typed", ["vrd 0021 460", "VRD0021460", "VRD-0021.460", "vrd 0021\u2013460", " 0021 460 "])
def test_scenario_01_the_number_is_the_one_sure_hit_whatever_separates_it(desk: Desk, typed: str) -> None:
    results = desk.get(f"/parts/lookup/?{urlencode({'q': typed})}").json()["results"]
    sure = [hit for hit in results if hit["matched_by"] in SURE]
    assert [(hit["part"]["maker"], hit["part"]["number"]) for hit in sure] == [("VRD", "0021-460")]
    assert sure[0]["rank"] == 1
    assert sure[0]["note"] == "same number, different punctuation"


def test_scenario_01_as_printed_it_is_found_exactly(desk: Desk) -> None:
    (hit,) = desk.get("/parts/lookup/?q=VRD%200021-460").json()["results"]
    assert (hit["part"]["number"], hit["matched_by"]) == ("0021-460", "exact")
