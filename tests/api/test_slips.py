"""The slip of a check over HTTP, and recorded checks as files. What stands on a slip: common practice, no source."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest
from python_calamine import CalamineWorkbook

from tests.api.approving import approved, confirm_conversion, machine_named, plug_on, set_gap
from tests.api.world import Desk, demo_question, sent
from tests.desks import Clock
from tests.papers.reading import codes_on, texts

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]
PDF = "application/pdf"
WORDS = {
    "accepted": "Use it",
    "conditional": "Use it only if",
    "rejected": "Do not use",
    "undetermined": "Cannot tell yet",
}


def slip(desk: Desk, check: dict[str, Any], query: str = "") -> str:
    response = desk.get(f"/checks/{check['id']}/slip.pdf{query}")
    assert response.status_code == 200, response.content
    assert response.headers["Content-Type"] == PDF
    return " ".join(texts(response.content))


@pytest.mark.parametrize("verdict", WORDS)
def test_a_slip_says_all_that_the_answer_says(desk: Desk, verdict: str) -> None:
    check = desk.answer(demo_question(verdict))
    read = slip(desk, check)
    assert WORDS[verdict] in read
    said = [check["headline"], *(fact["question"] for fact in check["missing"]), *check["conflicts"]]
    said += [caution["text"] for caution in check["cautions"]]
    said += [condition[1:] for condition in check["conditions"]]
    said += [step["text"] for step in check["chain"]]
    for words in (*said, check["id"], check["digest"], check["checked_by"], "2026-03-09 10:15:00+01:00 (Europe/Paris)"):
        assert words in read
    assert f"catalogue {check['catalogue_version']}, rulebook {check['rulebook']}" in read
    assert check["cautions"]
    assert ("nothing on this answer" in read) == (verdict in ("rejected", "undetermined"))


def test_a_slip_names_the_number_asked_the_number_sold_and_the_way_between(desk: Desk) -> None:
    machine = machine_named(desk, "Truck 7")
    read = slip(desk, desk.answer({"candidate": {"maker": "VRD", "number": "0021-440"}, "machine": machine}))
    for words in (
        "Asked for VRD 0021-440, oil filter", "To sell 1 of VRD 0021-460, oil filter",
        "VRD 0021-440 > VRD 0021-450: it holds for every engine.", "Machine Truck 7", "Engine VRD-H40 S-131",
        "Serial 131077", "Fuel as found LP-gas liquid, burned on that day; found 2026-01-12",
    ):  # fmt: skip
        assert words in read


def test_a_slip_of_a_refusal_holds_demand_beside_offer_and_sells_nothing(desk: Desk) -> None:
    read = slip(desk, plug_on(desk, "Genset South", "4470"))
    for words in (
        "LP-gas vapour (fuel record)", "natural gas (part data)", "not met", "To sell nothing on this answer",
        "Fuel on the plate natural gas", "found 2024-05-06, no conversion paper on record",
    ):  # fmt: skip
        assert words in read


def test_no_slip_speaks_of_warranty_or_certifies(desk: Desk) -> None:
    read = slip(desk, plug_on(desk, "Genset South", "4470"))
    assert "warrant" not in read.lower()
    assert "This slip certifies nothing, approves no conversion and replaces no inspection" in read
    assert "Suitable or not by what is recorded" in read


def test_a_slip_shows_who_approved_and_its_tag_moves_with_that(desk: Desk) -> None:
    confirm_conversion(desk)
    check = plug_on(desk, "Genset South")
    address = f"/checks/{check['id']}/slip.pdf"
    before = desk.get(address)
    assert "Approved by nobody yet; it takes a service manager" in slip(desk, check)
    approved(desk, check)
    after = desk.get(address, If_None_Match=before.headers["ETag"])
    assert after.status_code == 200
    assert "R. Tarnick, service manager; from 2026-03-09 to 2026-04-09; reason: confirmed on 2026-03-02" in slip(
        desk, check
    )
    assert desk.get(address, If_None_Match=after.headers["ETag"]).status_code == 304


def test_the_same_slip_is_the_same_bytes_on_another_day(desk: Desk, clock: Clock) -> None:
    check = desk.answer(demo_question("rejected"))
    first = desk.get(f"/checks/{check['id']}/slip.pdf")
    clock.at("2026-03-11T08:00:00+01:00")
    again = desk.get(f"/checks/{check['id']}/slip.pdf")
    assert (first.content, first.headers["ETag"]) == (again.content, again.headers["ETag"])


def test_a_slip_is_found_by_its_code(desk: Desk) -> None:
    check = desk.answer(demo_question("accepted"))
    for dpi in (150, 300):
        (code,) = codes_on(desk.get(f"/checks/{check['id']}/slip.pdf").content, dpi=dpi)
        assert code.text == check["id"]


def test_a_slip_is_had_in_other_units_and_by_its_media_type(desk: Desk) -> None:
    check = set_gap(desk)
    assert "0.8 mm" in slip(desk, check)
    assert "0.8 mm (" not in slip(desk, check, "?units=us")
    by_type = desk.get(f"/checks/{check['id']}/", Accept=PDF)
    assert by_type.content == desk.get(f"/checks/{check['id']}/slip.pdf").content
    assert desk.get(f"/checks/{check['id']}/", Accept="*/*").headers["Content-Type"] == "application/json"
    assert desk.get(f"/checks/{check['id']}/slip.pdf", Accept="text/html").status_code == 406
    assert desk.get(f"/checks/{check['id']}/slip.pdf?paper=a5").json()["errors"][0]["code"] == "unknown_parameter"


def test_a_slip_of_goods_described_at_the_counter_says_so(desk: Desk) -> None:
    assert "Asked for spark plug as described at the counter" in slip(desk, set_gap(desk))


def test_another_dealers_slip_is_not_found(desk: Desk, other_desk: Desk) -> None:
    check = desk.answer(demo_question("accepted"))
    for address in (f"/checks/{check['id']}/slip.pdf", f"/checks/{check['id']}/"):
        assert other_desk.get(address, Accept=PDF).status_code == 404


def test_checks_are_taken_away_as_csv_and_as_a_workbook(desk: Desk, other_desk: Desk) -> None:
    kept = [desk.answer(demo_question(verdict)) for verdict in ("accepted", "rejected")]
    response = desk.get("/checks.csv?verdict=rejected")
    assert response.headers["Content-Type"] == "text/csv; charset=utf-8; header=present"
    assert response.headers["Content-Disposition"] == 'attachment; filename="checks.csv"'
    (row,) = csv.DictReader(io.StringIO(sent(response).decode()))
    assert (row["id"], row["headline"]) == (kept[1]["id"], kept[1]["headline"])
    assert row["checked_at"] == "2026-03-09T10:15:00+01:00"
    with_mark, without = (sent(desk.get(f"/checks.csv?verdict=rejected{more}")) for more in ("&excel=1", ""))
    assert with_mark.decode() == "\ufeff" + without.decode()
    book = CalamineWorkbook.from_filelike(io.BytesIO(sent(desk.get("/checks.xlsx"))))
    (head, *rows) = book.get_sheet_by_name("checks").to_python()
    assert head[0] == "checked_at"
    assert {row[-1] for row in rows} == {check["id"] for check in kept}
    assert len(sent(other_desk.get("/checks.csv")).splitlines()) == 1
    assert desk.get("/checks.csv?page_size=5").status_code == 400
