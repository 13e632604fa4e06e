"""Every acceptable part for a position, as the reference engine has it, the best first; and when nothing is said."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.loading.category_columns import forget_columns
from catalog.models import Part
from catalog.usecases.reading import published
from catalog.usecases.supersessions import read_supersessions, save_supersessions
from tests.api.world import NOW, Desk

pytestmark = pytest.mark.db
TRUCK = (
    "model=VRD-H40&spec=S-131&serial=131077&plate_fuels=lpg_liquid:HD-5&found_fuels=lpg_liquid:HD-5"
    "&found_mode=only_fuel&found_on=2026-01-12&place_of_use=indoor&certified=false"
)
RECORD = {"fuels": ["lpg_liquid:HD-5"], "mode": "only_fuel", "found_on": "2026-01-12"}
APPLICATION = {
    "spec": {"model": "VRD-H40", "spec": "S-131"}, "serial": "131077", "plate_fuels": ["lpg_liquid:HD-5"],
    "fuel_records": [RECORD], "place_of_use": "indoor", "certified": False,
}  # fmt: skip
POSITIONS = ("spark_plug", "lock_off", "oil_filter", "vaporiser", "hose_container_lockoff", "injector")


@pytest.fixture(autouse=True)
def _nothing_kept() -> None:
    forget_columns()


def number(maker: str, printed: str) -> int:
    return Part.objects.get(maker__code=maker, number=printed).pk


def asked(desk: Desk, part: int, query: str = "", status: int = 200) -> dict[str, Any]:
    response = desk.get(f"/parts/{part}/substitutes/?{TRUCK}&{query}")
    assert response.status_code == status, response.content
    found: dict[str, Any] = response.json()
    return found


def names(entries: list[dict[str, Any]]) -> list[str]:
    return [f"{entry['part']['maker']} {entry['part']['number']}" for entry in entries]


@pytest.mark.parametrize("position", POSITIONS)
def test_what_is_offered_is_what_checks_say_one_by_one(desk: Desk, position: str) -> None:
    """The columns against the reference engine, over the whole demo catalogue of one category."""
    first = asked(desk, number("TSK", "H-410"), f"position={position}&limit=100&include=undetermined,rejected")
    told = {entry["part"]["id"]: entry["verdict"] for entry in first["results"]}
    told |= {entry["part"]["id"]: entry["verdict"] for entry in first["undetermined"]}
    parts = list(Part.objects.filter(category=first["category"], status="active", in_chain=False))
    items = [{"candidate": {"id": part.pk}, "position": position, "application": APPLICATION} for part in parts]
    results = desk.post("/checks/batch/", {"items": items}).json()["results"]
    for part, result in zip(parts, results, strict=True):
        expected = result["verdict"] if part.number != "H-410" else told.get(part.pk, "rejected")
        assert told.get(part.pk, "rejected") == expected, (part.shown, result["headline"])


def test_the_specified_part_stands_first_and_the_rest_by_verdict(desk: Desk) -> None:
    found = asked(desk, number("TSK", "L-612"), "position=lock_off")
    assert found["results"][0]["specified"]
    assert names(found["results"])[0] == "VRD 6600"
    verdicts = [entry["verdict"] for entry in found["results"]]
    assert verdicts == sorted(verdicts)  # accepted before conditional
    assert "TSK L-612" not in names(found["results"])


def test_a_number_that_is_replaced_here_is_no_substitute(desk: Desk) -> None:
    """On serial 131077 VRD 0021-450 is 0021-460: only that is offered."""
    offered = names(asked(desk, number("OLM", "1161"), "position=oil_filter")["results"])
    assert "VRD 0021-460" in offered
    assert not {"VRD 0021-440", "VRD 0021-450"} & set(offered)
    counts = asked(desk, number("OLM", "1161"), "position=oil_filter")["counts"]
    assert counts["accepted"] + counts["conditional"] == len(offered)


def test_the_nearest_rejected_say_what_blocks_them_and_the_open_ones_what_to_find_out(desk: Desk) -> None:
    found = asked(desk, number("VRD", "6600"), "position=lock_off&include=rejected,undetermined")
    assert found["rejected"]
    assert all(entry["verdict"] == "rejected" and entry["blocked_by"] for entry in found["rejected"])
    counts = [len(entry["blocked_by"]) for entry in found["rejected"]]
    assert counts[0] == min(counts)
    assert all(entry["missing"] for entry in found["undetermined"])


def test_a_part_that_changes_is_judged_as_it_is_now(desk: Desk) -> None:
    part = number("VRD", "6605")
    before = names(asked(desk, number("VRD", "6600"), "position=lock_off")["results"])
    assert "VRD 6605" in before
    desk.changed(f"/parts/{part}/", {"status": "withdrawn"})
    assert "VRD 6605" not in names(asked(desk, number("VRD", "6600"), "position=lock_off")["results"])
    desk.changed(f"/parts/{part}/", {"status": "active"})
    assert names(asked(desk, number("VRD", "6600"), "position=lock_off")["results"]) == before


def test_a_second_ask_takes_as_few_statements_however_large_the_category(desk: Desk) -> None:
    part = number("VRD", "6600")
    asked(desk, part, "position=lock_off")

    def taken() -> int:
        with CaptureQueriesContext(connection) as captured:
            asked(desk, part, "position=lock_off")
        return len(captured)

    before = taken()
    desk.made("/parts/", {"maker": "TSK", "number": "L-999", "category": "lock_off", "attributes": []})
    asked(desk, part, "position=lock_off")
    assert taken() == before


def test_bad_questions_are_refused_by_their_parameter(desk: Desk) -> None:
    part = number("VRD", "6600")
    for query, code in (
        ("include=everything", "invalid_choice"), ("limit=0", "min_value"), ("colour=red", "unknown_parameter"),
        ("position=nowhere", "unknown_position"),
    ):  # fmt: skip
        response = desk.get(f"/parts/{part}/substitutes/?{TRUCK}&{query}")
        assert response.status_code in (400, 404), query
        document = response.json()
        assert code in {document["code"], *(fault["code"] for fault in document.get("errors", ()))}, document
    bare = desk.get(f"/parts/{part}/substitutes/")
    assert (bare.status_code, bare.json()["code"]) == (400, "engine_needed")
    for nobody in (999_999_999, 2**70):
        asked(desk, nobody, "position=lock_off", status=404)


@pytest.mark.parametrize("half", ["found_on=2026-01-12", "found_mode=only_fuel"])
def test_half_a_fuel_record_is_refused_and_not_left_out(desk: Desk, half: str) -> None:
    response = desk.get(f"/parts/{number('VRD', '6600')}/substitutes/?model=VRD-H40&spec=S-131&{half}")
    assert response.status_code == 400
    assert [fault["parameter"] for fault in response.json()["errors"]] == ["found_fuels"], response.json()


def test_which_position_is_asked_where_several_could_be_meant(desk: Desk) -> None:
    plug = number("VRD", "4410-12")
    assert asked(desk, plug)["position"] == "spark_plug"


def test_a_part_on_hold_here_is_not_offered(desk: Desk) -> None:
    question = {"candidate": {"maker": "VRD", "number": "6605"}, "position": "lock_off", "application": APPLICATION}
    check = desk.answer(question)
    assert check["verdict"] == "accepted"
    part = number("VRD", "6600")
    assert "VRD 6605" in names(asked(desk, part, "position=lock_off")["results"])
    told = desk.post(f"/checks/{check['id']}/outcomes/", {"kind": "did_not_fit", "note": "the bracket is in the way"})
    assert told.status_code == 201, told.content
    assert "VRD 6605" not in names(asked(desk, part, "position=lock_off")["results"])
    assert desk.answer(question)["verdict"] == "undetermined"


def replaced_by(old: str, new: str, *, both_ways: bool = False) -> None:
    sides = {side: [{"part": {"maker": "VRD", "number": one}}] for side, one in (("from", old), ("to", new))}
    source = {"kind": "maker", "citation": "change sheet, invented"}
    row = {"kind": "one_for_one", **sides, "both_ways": both_ways, "source": source}
    save_supersessions(read_supersessions([row], published().rulebook), NOW)


@pytest.mark.parametrize("back", [False, True])
def test_a_number_is_no_substitute_where_its_own_chain_says_so(desk: Desk, back: bool) -> None:
    """VRD 6605 is named by nobody here; it is replaced by a number, or by one that it replaces itself."""
    desk.made("/parts/", {"maker": "VRD", "number": "6605-N", "category": "lock_off", "attributes": []})
    part = number("VRD", "6600")
    assert "VRD 6605" in names(asked(desk, part, "position=lock_off")["results"])
    replaced_by("6605", "6605-N")
    if back:
        replaced_by("6605-N", "6605")
    question = {"candidate": {"maker": "VRD", "number": "6605"}, "position": "lock_off", "application": APPLICATION}
    assert desk.answer(question)["verdict"] == "undetermined"
    assert "VRD 6605" not in names(asked(desk, part, "position=lock_off")["results"])


def test_a_number_that_may_still_be_used_up_is_a_substitute(desk: Desk) -> None:
    desk.made("/parts/", {"maker": "VRD", "number": "6605-N", "category": "lock_off", "attributes": []})
    replaced_by("6605", "6605-N", both_ways=True)
    assert "VRD 6605" in names(asked(desk, number("VRD", "6600"), "position=lock_off")["results"])
