"""Pick lists, box labels and tables of kits over HTTP. What stands on them: common practice, no source."""

from __future__ import annotations

import csv
import io
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from python_calamine import CalamineWorkbook

from catalog.models import Machine, Part
from kits.models import KitLine, StockBatch
from service.operations.keys import issue_key
from service.operations.models import Branch, Dealer, Scope
from service.papers.sizes import A4, LABEL_62_100, LABEL_100_150, LETTER, Size
from tests.api.approving import approved, confirm_conversion, machine_named, refused
from tests.api.kit_cast import LITRE, built, day, done, full_shelf, handle, key, line_at, part, price, shelve
from tests.api.world import NOW, Desk, sent
from tests.april_week import engine, supplier
from tests.desks import Clock
from tests.papers.reading import codes_on, ink_outside, texts
from tests.statements import own_statements

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]
PDF = "application/pdf"
PAPERS = ("pick-list.pdf", "label.pdf")
NAMES = {"Greek": "Γεννήτρια Βόρεια 3", "Chinese": "北方发电机组", "Arabic": "مولد الشمال 61622"}
STARTS = ["=", "+", "-", "@", "\t", "\r"]


def paper(desk: Desk, kit: dict[str, Any], name: str) -> str:
    response = desk.get(f"/kits/{kit['id']}/{name}")
    assert response.status_code == 200, response.content
    assert response.headers["Content-Type"] == PDF
    return " ".join(texts(response.content))


def pick_list(desk: Desk, kit: dict[str, Any]) -> str:
    return paper(desk, kit, "pick-list.pdf")


def label(desk: Desk, kit: dict[str, Any]) -> str:
    return paper(desk, kit, "label.pdf")


@pytest.fixture
def shelf(tallis_bridge: Dealer) -> Dealer:
    """Enough of everything, the oil known to be dangerous to ship."""
    full_shelf(tallis_bridge)
    handle(tallis_bridge, "9105", transport="dangerous", un_number="UN3082", sheet_revision="3")
    return tallis_bridge


def test_a_pick_list_says_what_to_take_from_which_bin_and_what_goes_apart(desk: Desk, shelf: Dealer) -> None:
    price(shelf, "4410-12", "9.40", pack=4)
    desk.made("/work-orders/", {"number": "J2", "machine": machine_named(desk, "Resurfacer 1")})
    kit = done(desk, built(desk, work_order="J2", fitted_on="2026-03-20"), "reserve")
    read = pick_list(desk, kit)
    for words in (
        "Pick list, job J2", f"Kit {kit['number']}", "Tallis Bridge", "Machine Resurfacer 1", "Serial 118402",
        "Service 500 h service", "To be fitted on 2026-03-20", "A-1 VRD 4410-12 spark plug, gas 4 EA = 1 pack of 4",
        "A-1 VRD 9105 LP-gas engine oil 1 x 5 L, 4.3 L needed",
        "UN3082: 1 of VRD 9105, LP-gas engine oil; its safety sheet goes with it", "8 of 8", "Page 1 of 1",
    ):  # fmt: skip
        assert words in read
    assert "Not in the box" not in read


def test_the_oldest_date_code_is_picked_first_and_what_is_too_old_is_told(desk: Desk, tallis_bridge: Dealer) -> None:
    for place, coded, pieces in (("B-10", "2025-05-01", 3), ("B-2", "2024-05-01", 3), ("B-3", "2023-05-01", 9)):
        expires = "2026-01-01" if place == "B-3" else "2030-01-01"
        shelve(tallis_bridge, "4410-12", pieces, bin_=place, date_code=coded, expires=expires, ages=True)
    shelve(tallis_bridge, "4410-12", 2, bin_="B-4", ages=True)
    read = pick_list(desk, done(desk, built(desk, tasks=["spark_plugs"]), "reserve"))
    first, second = read.index("B-2 VRD 4410-12 spark plug, gas 3 EA"), read.index("B-10 VRD 4410-12 spark plug, gas 1")
    assert first < second
    for words in (
        "2024-05-01", "2025-05-01", "VRD 4410-12, 9 in B-3: too old for the day it is to be fitted",
        "VRD 4410-12, 2 in B-4: it ages, and has no date code",
    ):  # fmt: skip
        assert words in read
    assert "2023-05-01" not in read


def test_what_is_left_out_held_back_or_open_is_told_with_the_reason(desk: Desk, tallis_bridge: Dealer) -> None:
    full_shelf(tallis_bridge)
    handle(tallis_bridge, "6611", fitted_by_licence=True)
    handle(tallis_bridge, "21-450", nature="starting_spray")
    spray = {"part": {"maker": "VRD", "number": "21-450"}, "quantity": 1}
    kit = done(desk, built(desk, fitted_by_licensed=False, extras=[spray]), "reserve")
    read = pick_list(desk, kit)
    for words in (
        "VRD 6611, lock off filter: it needs a licence to fit", "VRD 21-450: starting spray is never part of a kit",
        "VRD 9105, LP-gas engine oil: held back, not known how it ships", "Is VRD 9105 dangerous to ship",
        "6 of 7, LP-gas engine oil: held back, not known how it ships",
    ):  # fmt: skip
        assert words in read
    assert "Is VRD 9105 dangerous to ship" in label(desk, kit)
    asked = done(desk, built(desk, tasks=["lock_off_filter"]), "reserve")
    assert "Who fits VRD 6611, and with which licence?" in pick_list(desk, asked)
    assert "1 of 2, lock-off filter: licence to fit not known" in label(desk, asked)


def test_a_label_says_what_the_box_is_and_what_goes_beside_it(desk: Desk, shelf: Dealer) -> None:
    desk.made("/work-orders/", {"number": "J2", "machine": machine_named(desk, "Resurfacer 1")})
    kit = done(desk, built(desk, work_order="J2", as_of="2026-03-09"), "reserve")
    read = label(desk, kit)
    for words in (
        "Job J2", f"Kit {kit['number']}", "Machine Resurfacer 1", "Serial 118402", "Service 500 h service",
        "Due 2025-11-03 to 2026-03-29", "8 of 8", "Packed apart: UN3082",
    ):  # fmt: skip
        assert words in read


def test_the_label_of_a_box_that_is_not_full_says_what_follows_and_when(
    desk: Desk, tallis_bridge: Dealer, clock: Clock
) -> None:
    supplier(tallis_bridge, Branch.objects.get(dealer=tallis_bridge))
    full_shelf(tallis_bridge)
    StockBatch.objects.filter(item__part__number="3307").delete()
    handle(tallis_bridge, "9105", transport="not_dangerous")
    price(tallis_bridge, "3307", "18.60", promised_earliest=day("2026-04-20"), promised_latest=day("2026-04-22"))
    kit = built(desk, fitted_on="2026-04-27")
    assert "Nothing is reserved yet: take nothing" in label(desk, kit)
    short = done(desk, kit, "reserve")
    assert "7 of 8, breather valve to follow, day not known" in label(desk, short)
    plan = desk.made("/order-plans/", {"kits": [kit["id"]], "seconds": 0})
    (order,) = desk.post("/orders/", {"plan": plan["id"]}, **key()).json()["orders"]
    assert "7 of 8, breather valve to follow 22 Apr" in label(desk, short)
    assert "VRD 3307, breather valve to follow 22 Apr" in pick_list(desk, short)
    clock.at("2026-04-23T08:00:00+02:00")
    assert "7 of 8, breather valve to follow, day not known" in label(desk, short)
    (line,) = order["lines"]
    came = [{"line": line["line"], "pieces": line["pieces"], "bin": "A-7"}]
    assert desk.post(f"/orders/{order['id']}/receive/", {"lines": came}, **key()).status_code == 200
    assert "8 of 8" in label(desk, short)
    assert "A-7 VRD 3307" in pick_list(desk, short)


def test_oil_that_kits_share_is_promised_by_volume(desk: Desk, tallis_bridge: Dealer) -> None:
    supplier(tallis_bridge, Branch.objects.get(dealer=tallis_bridge))
    price(tallis_bridge, "9105", "90.00", content=20 * LITRE, promised_latest=day("2026-04-22"),
          promised_earliest=day("2026-04-22"))  # fmt: skip
    kits = [built(desk, name, level="250", fitted_on="2026-04-27") for name in ("Resurfacer 1", "Truck 7")]
    plan = desk.made("/order-plans/", {"kits": [kit["id"] for kit in kits], "fluids": "pooled", "seconds": 0})
    assert [one["pieces"] for one in plan["purchases"] if one["part"]["number"] == "9105"] == [1]
    assert desk.post("/orders/", {"plan": plan["id"]}, **key()).status_code == 201
    for kit in kits:
        assert "To follow 22 Apr: LP-gas engine oil" in label(desk, kit)


def test_a_second_line_of_a_fluid_is_filled_from_the_containers_of_the_first(desk: Desk, shelf: Dealer) -> None:
    kit = done(desk, built(desk, level="250"), "reserve")
    row = KitLine.objects.get(kit=kit["id"], position="engine_oil")
    row.pk, row.line, row.position = None, 9, "governor_oil"
    row.save(force_insert=True)
    assert "4 of 4" in label(desk, kit)
    assert pick_list(desk, kit).count("1 x 5 L") == 1


def test_a_kit_for_what_falls_due_names_its_tasks_and_the_days_it_was_built_for(desk: Desk, shelf: Dealer) -> None:
    kit = built(desk, due_within={"days": 30})
    due = kit["work"]["due"]
    read = label(desk, kit)
    assert f"Due {due['earliest']} to {due['latest']}" in read
    assert kit["work"]["tasks"][0]["name"] in read
    done(desk, kit, "cancel")
    assert f"Due {due['earliest']} to {due['latest']}" in label(desk, kit)


def test_when_work_is_due_is_asked_for_where_nobody_can_tell(desk: Desk, shelf: Dealer) -> None:
    """Nothing is on file of a truck that has just come."""
    engine(desk, "Truck 40", ("VRD-H40", "S-131", "131040"), fuel="lpg_liquid", place="indoor")
    kit = built(desk, "Truck 40", tasks=["spark_plugs"])
    due = desk.get(f"/machines/{kit['machine']['id']}/due/?as_of=2026-03-09").json()
    (plugs,) = (one for one in due["tasks"] if one["task"]["code"] == "spark_plugs")
    assert plugs["state"] == "unknown"
    read = label(desk, kit)
    assert f"Due cannot be told. {plugs['missing'][0]['question']}" in read
    done(desk, kit, "cancel")
    assert "Due cannot be told" in label(desk, kit)


def test_what_is_handed_out_and_what_follows_stays_on_the_papers(desk: Desk, shelf: Dealer) -> None:
    kit = done(desk, built(desk), "reserve")
    number = line_at(kit, "spark_plug")["line"]
    done(desk, kit, "pick", {"short": [{"line": number, "quantity": 1, "reason": "one was cracked"}]})
    assert "7 of 8, 1 of 4 EA spark plug, gas to follow, day not known" in label(desk, kit)
    done(desk, kit, "fulfil", {"to_follow": [{"line": number, "reason": "a plug comes tomorrow"}]})
    assert "7 of 8, 1 of 4 EA spark plug, gas to follow, day not known" in label(desk, kit)
    read = pick_list(desk, kit)
    assert "A-1 VRD 4410-12 spark plug, gas 3 EA" in read
    assert "1 of 4 EA spark plug, gas to follow, day not known. a plug comes tomorrow" in read
    assert "UN3082: 1 of VRD 9105, LP-gas engine oil; its safety sheet goes with it" in read


def test_nothing_is_picked_for_a_line_whose_yes_is_gone(desk: Desk, tallis_bridge: Dealer) -> None:
    confirm_conversion(desk)
    shelve(tallis_bridge, "4475", 10, maker="TSK")
    asked = built(desk, "Genset South", tasks=["spark_plugs"])
    assert "needs an approval" in pick_list(desk, asked)
    approval = approved(
        desk, desk.get(f"/checks/{line_at(asked, 'spark_plug')['check']['id']}/").json(), person="r.tarnick"
    )
    kit = done(desk, built(desk, "Genset South", tasks=["spark_plugs"]), "reserve")
    assert "A-1 TSK 4475" in pick_list(desk, kit)
    desk.post(f"/approvals/{approval['id']}/withdraw/", {"reason": "the regulator leaks"})
    read = pick_list(desk, kit)
    assert "A-1 TSK 4475" not in read
    assert "The approval that the line rested on does not apply any more." in read


def test_a_kit_that_is_to_be_reviewed_or_is_cancelled_says_so_and_counts_nothing(desk: Desk, shelf: Dealer) -> None:
    kit = done(desk, built(desk), "reserve")
    desk.changed(f"/parts/{part('2051').pk}/", {"status": "withdrawn"})
    aside = done(desk, kit, "reserve")
    for name in PAPERS:
        assert "To be reviewed: take nothing more" in paper(desk, aside, name)
    assert "7 of 8, air element: to be reviewed" in label(desk, aside)
    assert "VRD 2051 air element 1 EA" not in pick_list(desk, aside)
    done(desk, aside, "cancel")
    for name in PAPERS:
        assert "Cancelled: take nothing" in paper(desk, aside, name)
    assert "Cancelled: LP-gas engine oil" in label(desk, aside)


def test_a_part_that_a_person_chose_is_flagged(desk: Desk, shelf: Dealer) -> None:
    shelve(shelf, "0021-450", 5)
    kit = built(desk)
    number = line_at(kit, "oil_filter")["line"]
    body = {"line": number, "part": {"maker": "VRD", "number": "0021-450"}, "person": "r.tarnick"}
    kit = done(desk, done(desk, kit, "settle", body), "reserve")
    assert "VRD 0021-450 oil filter, SUBSTITUTE for VRD 0021-460" in pick_list(desk, kit)


@pytest.mark.parametrize("script", NAMES)
def test_a_name_in_any_script_can_be_read_off_the_papers(desk: Desk, shelf: Dealer, script: str) -> None:
    kit = done(desk, built(desk, level="250"), "reserve")
    Machine.objects.filter(name="Resurfacer 1").update(name=NAMES[script])
    for name in PAPERS:
        assert NAMES[script] in paper(desk, kit, name)


@pytest.mark.parametrize(
    ("name", "size"),
    [("pick-list.pdf", A4), ("pick-list.pdf?size=letter", LETTER), ("label.pdf", LABEL_100_150),
     ("label.pdf?size=62x100", LABEL_62_100)],
)  # fmt: skip
def test_every_size_fits_and_is_found_by_its_code(desk: Desk, shelf: Dealer, name: str, size: Size) -> None:
    kit = done(desk, built(desk), "reserve")
    content = desk.get(f"/kits/{kit['id']}/{name}").content
    assert len(texts(content)) == 1
    assert not ink_outside(content, size)
    for dpi in (150, 300):
        (code,) = codes_on(content, dpi=dpi)
        assert code.text == kit["id"]


def test_a_paper_has_a_tag_of_all_that_stands_on_it(desk: Desk, shelf: Dealer, clock: Clock) -> None:
    kit = done(desk, built(desk), "reserve")
    for name in PAPERS:
        address = f"/kits/{kit['id']}/{name}"
        first = desk.get(address)
        assert f"kit-{kit['number']}-{name}" in first.headers["Content-Disposition"]
        assert desk.get(address, If_None_Match=first.headers["ETag"]).status_code == 304
        clock.at("2026-03-11T08:00:00+01:00")
        again = desk.get(address)
        assert (again.content, again.headers["ETag"]) == (first.content, first.headers["ETag"])
    tags = [desk.get(f"/kits/{kit['id']}/{name}").headers["ETag"] for name in PAPERS]
    Machine.objects.filter(name="Resurfacer 1").update(name="Resurfacer A")
    for name, tag in zip(PAPERS, tags, strict=True):
        moved = desk.get(f"/kits/{kit['id']}/{name}", If_None_Match=tag)
        assert (moved.status_code, moved.headers["ETag"] != tag) == (200, True)


def test_papers_and_tables_are_refused_to_others(desk: Desk, other_desk: Desk, tallis_bridge: Dealer) -> None:
    kit = built(desk, level="250")
    writer = Desk.of(tallis_bridge, scopes=[Scope.KITS_WRITE])
    trial = issue_key(dealer=tallis_bridge, name="trial", live=False, scopes=[Scope.STOCK_READ], now=NOW)
    for name in (*PAPERS, "lines.csv", "lines.xlsx"):
        address = f"/kits/{kit['id']}/{name}"
        assert refused(other_desk.get(address)) == (404, "unknown_kit")
        assert refused(desk.get(f"/kits/{uuid4()}/{name}")) == (404, "unknown_kit")
        assert writer.get(address).status_code == 403
        let_in = Desk(desk.client, trial.text).get(address)
        assert sent(let_in) if let_in.streaming else let_in.status_code == 200
        assert desk.get(address, Accept="text/html").status_code == 406
        assert desk.get(f"{address}?paper=a5").json()["errors"][0]["code"] == "unknown_parameter"
    for name in PAPERS:
        assert desk.get(f"/kits/{kit['id']}/{name}?size=a5").status_code == 400


def test_papers_cost_as_many_statements_for_twelve_lines_as_for_three(desk: Desk, shelf: Dealer) -> None:
    clamps = [
        {"part": {"maker": "VRD", "number": number}, "quantity": 1} for number in ("21-450", "5601", "5801", "5701")
    ]
    few, many = built(desk, level="250"), built(desk, level="500", extras=clamps)
    assert (len(few["lines"]), len(many["lines"])) == (3, 12)

    def statements(kit: dict[str, Any], name: str) -> int:
        with CaptureQueriesContext(connection) as caught:
            desk.get(f"/kits/{kit['id']}/{name}")
        return len(own_statements(caught))

    for name in (*PAPERS, "lines.csv"):
        assert statements(few, name) == statements(many, name)


def as_csv(desk: Desk, kit: dict[str, Any]) -> list[list[str]]:
    text = sent(desk.get(f"/kits/{kit['id']}/lines.csv")).decode()
    return list(csv.reader(io.StringIO(text, newline="")))


def as_xlsx(desk: Desk, kit: dict[str, Any]) -> list[list[Any]]:
    book = CalamineWorkbook.from_filelike(io.BytesIO(sent(desk.get(f"/kits/{kit['id']}/lines.xlsx"))))
    return [list(row) for row in book.get_sheet_by_index(0).to_python()]


def test_the_lines_are_one_table_in_both_files(desk: Desk, shelf: Dealer) -> None:
    """Units as UN/ECE Recommendation 20 codes them: H87 piece (published lists), LTR litre (from memory)."""
    kit = built(desk)
    response = desk.get(f"/kits/{kit['id']}/lines.csv")
    assert response.headers["Content-Type"] == "text/csv; charset=utf-8; header=present"
    assert response.headers["Content-Disposition"] == f'attachment; filename="kit-{kit["number"]}-lines.csv"'
    head, *rows = as_csv(desk, kit)
    assert head[:8] == ["line", "position", "maker", "number", "name", "quantity", "unit", "unit_code"]
    assert len(rows) == len(kit["lines"])
    by_position = {row[1]: row for row in rows}
    assert by_position["engine_oil"][5:9] == ["4.3", "litre", "LTR", "1 x VRD 9105, 5 litre"]
    assert by_position["spark_plug"][5:8] == ["4", "piece", "H87"]
    marked = sent(desk.get(f"/kits/{kit['id']}/lines.csv?excel=1"))
    assert marked == b"\xef\xbb\xbf" + sent(desk.get(f"/kits/{kit['id']}/lines.csv"))
    in_the_book = as_xlsx(desk, kit)
    assert in_the_book[0] == head
    assert [[_shown(cell) for cell in row] for row in in_the_book[1:]] == rows


def _shown(cell: Any) -> str:
    return f"{cell:g}" if isinstance(cell, float) else str(cell)


@pytest.mark.parametrize("start", STARTS)
def test_no_name_is_run_as_a_formula(desk: Desk, shelf: Dealer, start: str) -> None:
    """OWASP, CSV injection, from memory."""
    name = f"{start}cmd|' /C calc'!A0"
    Part.objects.filter(number="2051").update(name=name)
    kit = built(desk, tasks=["air_element"])
    (_, row), (_, cells) = as_csv(desk, kit), as_xlsx(desk, kit)
    assert row[4] == f"'{name}"
    assert not any(cell.startswith(tuple(STARTS)) for cell in row)
    # A workbook tells a text from a formula, so it stands there as it is; a reader may even out a line's end.
    assert isinstance(cells[4], str)
    assert cells[4].replace("_x000D_", "\r").replace("\n", "\r") == name
    assert f"{start.strip()}cmd|' /C calc'!A0" in pick_list(desk, kit)
