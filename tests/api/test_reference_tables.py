"""The published tables as the API tells them."""

from typing import Any

import pytest

from catalog.models import CatalogueState
from catalog.usecases.reference_tables import reference_table
from tests.api.world import Desk, reference_document

pytestmark = pytest.mark.db


def rows(desk: Desk, table: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = desk.get(f"/reference/{table}/").json()["results"]
    return found


def test_every_table_listed_can_be_read_and_each_row_has_its_source_or_its_tables(desk: Desk) -> None:
    listed = desk.get("/reference/").json()["results"]
    assert {row["code"] for row in listed} >= {"joints", "seal_material", "ring_sizes", "covers", "fuels", "units"}
    for head in listed:
        table = desk.get(f"/reference/{head['code']}/").json()
        assert len(table["results"]) == head["rows"]
        for row in table["results"]:
            source = row.get("source") or table["source"]
            assert source["kind"], (head["code"], row)
            assert source["citation"], (head["code"], row)


def test_a_rating_can_be_looked_up(desk: Desk) -> None:
    """EPDM in propane is 4 of 4 in the open data set of resistance ratings (check value CV20)."""
    graded = [row for row in rows(desk, "seal_material") if row.get("material") == "EPDM" and "grade" in row]
    assert {row["medium"]: row["grade"] for row in graded}["lpg_liquid"] == "4"


def test_units_tell_their_exact_factors(desk: Desk) -> None:
    """One inch is 0.0254 m exactly."""
    inch = next(row for row in rows(desk, "units") if row["code"] == "in")
    assert (inch["family"], inch["factor"]) == ("length", "127/5000")


def test_what_an_editor_changed_is_marked(desk: Desk) -> None:
    assert {row["origin"] for row in rows(desk, "covers")} == {"shipped"}
    state = CatalogueState.objects.select_related("rulebook", "shipped").get()
    assert state.rulebook is not None
    changed = {**reference_document()}
    fuels: Any = changed["fuels"]
    changed["fuels"] = {**fuels, "diesel": {**fuels["diesel"], "name": "diesel oil"}}
    state.rulebook.pk, state.rulebook.number, state.rulebook.digest = None, 99, "0" * 64
    state.rulebook.document = changed
    state.rulebook.save()
    CatalogueState.objects.update(rulebook=state.rulebook)
    origins = {row["code"]: row["origin"] for row in reference_table("fuels").rows}
    assert origins["diesel"] == "editor"
    assert origins["gasoline"] == "shipped"


def test_an_unknown_table_is_not_found_and_the_known_ones_are_named(desk: Desk) -> None:
    response = desk.get("/reference/widgets/")
    assert response.status_code == 404
    assert "seal_material" in response.json()["detail"]
