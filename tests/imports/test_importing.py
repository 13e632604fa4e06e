"""Imports over HTTP: sound rows land, wrong ones are named, what a file does not mention stays, twice is once."""

import io
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter

from catalog.domain.import_reading import TABLES
from catalog.loading import standing
from catalog.models import EngineSpecification, Part, PartAttribute, Position, Statement
from catalog.usecases import importing
from service.operations.models import Change, Dealer, JobState, Scope, StoredFile
from tests.api.world import FIXTURES, Desk, demo_question
from tests.imports.importer import HEAD, Imported, imported, queued, send

pytestmark = pytest.mark.db
PLUG = "VRD,,9900-01,test plug,spark_plug,piece,,maker,sheet of 2026"


def value_of(number: str, attribute: str) -> list[str]:
    rows = PartAttribute.objects.filter(part__number=number, attribute=attribute)
    return sorted(f"{row.value.shown()} ({row.source_citation})" for row in rows)


def test_a_part_with_its_values_lands_and_can_be_read(desk: Desk) -> None:
    done = imported(desk, f"{HEAD},attr:gap [mm],attr:fuels\n{PLUG},0.7,lpg_vapour | lpg_liquid\n", table="parts")
    assert done.job.state == JobState.SUCCEEDED
    assert (done.counts, done.problems) == ((1, 0, 0), ())
    part = Part.objects.get(number="9900-01")
    assert (part.maker.name, part.name, part.category) == ("Veredin Motors", "test plug", "spark_plug")
    assert value_of("9900-01", "gap") == ["0.7 mm (sheet of 2026)"]
    assert Change.objects.filter(kind="part.created", object_id=str(part.pk)).exists()


def test_the_result_shows_the_dialect_that_was_found(desk: Desk) -> None:
    text = "maker;number;category;source_kind;source;attr:gap [mm]\nVRD;9900-01;spark_plug;maker;sheet;0,7\n"
    done = imported(desk, b"\xef\xbb\xbf" + text.encode(), table="parts")
    assert done.job.result is not None
    assert done.job.result["tables"][0]["dialect"] == {
        "separator": "semicolon", "decimal": "comma", "encoding": "utf-8"
    }  # fmt: skip
    assert value_of("9900-01", "gap") == ["0.7 mm (sheet)"]


def test_a_wrong_row_is_named_with_line_column_and_value_and_the_others_land(desk: Desk) -> None:
    rows = [
        "maker,number,category,source_kind,source,attr:gap [mm],attr:reach [mm]",
        "VRD,9900-01,spark_plug,maker,sheet,0.7,19",
        "VRD,9900-02,spark_plug,maker,sheet,0.7 psi gauge,x",
        "VRD,9900-03,sparkplug,maker,sheet,0.7,19",
        "VRD,,spark_plug,maker,sheet,0.7,19",
        "VRD,9900-05,spark_plug,,,0.7,",
    ]
    done = imported(desk, "\n".join(rows), table="parts")
    assert done.counts == (1, 0, 0)
    assert sorted(done.problems) == [
        (3, "attr:gap [mm]", "wrong_dimension"),
        (3, "attr:reach [mm]", "not_a_decimal"),
        (4, "category", "unknown_category"),
        (5, "number", "missing"),
        (6, "source", "missing"),
        (6, "source_kind", "missing"),
    ]
    assert not Part.objects.filter(number__in=["9900-02", "9900-03", "9900-05"]).exists()


def test_all_that_is_wrong_with_a_row_is_told_at_once(desk: Desk) -> None:
    file = """maker,number,category,source_kind,source,attr:fuels,attr:reach [mm],attr:gap
VRD,4410-91,spark_plug,maker,sheet,lpg_vapor,"19,0",0.6 bar gauge
VRD,4410-92,spark_plig,makr,sheet,lpg_vapor,19.0,0.6 mm
VRD,441007,spark_plug,maker,sheet,lpg_vapor,19.0,0.6 mm
"""
    done = imported(desk, file, table="parts", decimal="point")
    assert done.counts == (0, 0, 0)
    assert set(done.problems) == {
        (2, "attr:fuels", "unknown_code"),
        (2, "attr:reach [mm]", "wrong_decimal_mark"),
        (2, "attr:gap", "wrong_dimension"),
        (3, "category", "unknown_category"),
        (3, "source_kind", "unknown_code"),
        (3, "attr:fuels", "unknown_code"),
        (4, "number", "other_spelling"),
        (4, "attr:fuels", "unknown_code"),
    }


def test_the_same_file_again_changes_nothing(desk: Desk) -> None:
    text = f"{HEAD},attr:gap [mm]\n{PLUG},0.7\n"
    imported(desk, text, table="parts")
    before, feed = standing(), Change.objects.count()
    again = imported(desk, text, table="parts")
    assert again.counts == (0, 0, 1)
    assert (standing(), Change.objects.count()) == (before, feed)


def test_what_a_file_does_not_mention_stays_and_other_sources_stay(desk: Desk) -> None:
    imported(desk, f"{HEAD},attr:gap [mm],attr:reach [mm]\n{PLUG},0.7,19\n", table="parts")
    text = "maker,number,source_kind,source,attr:gap [mm]\nVRD,9900-01,maker,sheet of 2026,0.8\n"
    text += "VRD,9900-01,record,measured at the bench,0.75\n"
    done = imported(desk, text, table="parts")
    assert (done.counts, done.problems) == ((0, 1, 0), ())
    assert Part.objects.get(number="9900-01").name == "test plug"
    assert value_of("9900-01", "gap") == ["0.75 mm (measured at the bench)", "0.8 mm (sheet of 2026)"]
    assert value_of("9900-01", "reach") == ["19 mm (sheet of 2026)"]


def test_the_word_missing_takes_back_what_the_same_source_stated(desk: Desk) -> None:
    imported(desk, f"{HEAD},attr:gap [mm]\n{PLUG},0.7\n", table="parts")
    other = "maker,number,attribute,slot,value,unit,source_kind,source\nVRD,9900-01,gap,,missing,,maker,another sheet\n"
    assert imported(desk, other, table="attributes").counts == (0, 0, 1)
    assert imported(desk, other.replace("another sheet", "sheet of 2026"), table="attributes").counts == (0, 1, 0)
    assert value_of("9900-01", "gap") == []


def test_units_are_converted_and_a_cell_may_name_its_own(desk: Desk) -> None:
    text = "maker,number,category,source_kind,source,attr:working_pressure [psi gauge]\n"
    text += "VRD,9900-01,fuel_hose,maker,sheet,100\nVRD,9900-02,fuel_hose,maker,sheet,7 bar\n"
    assert imported(desk, text, table="parts").counts == (2, 0, 0)
    first, second = (PartAttribute.objects.get(part__number=f"9900-0{n}") for n in (1, 2))
    # 1 psi = 6894.757293 Pa (NIST SP 811, B.8); kept at a hundredth of a pascal.
    assert first.lo == 68947573
    assert second.lo == 70000000


@pytest.mark.parametrize(
    ("number", "code"),
    [("9.52E+12", "e_notation"), ("3-Dec", "turned_into_a_date"), ("2026-12-03", "turned_into_a_date")],
)
def test_numbers_that_a_spreadsheet_has_changed_are_refused(desk: Desk, number: str, code: str) -> None:
    done = imported(desk, f"maker,number,category\nVRD,{number},spark_plug\n", table="parts")
    assert done.problems == ((2, "number", code),)
    assert done.counts == (0, 0, 0)


def test_a_number_that_lost_its_zeros_is_not_added_beside_the_right_one(desk: Desk) -> None:
    imported(desk, "maker,number,category\nVRD,0099001,spark_plug\n", table="parts")
    done = imported(desk, "maker,number,category\nVRD,99001,spark_plug\nOLM,99001,spark_plug\n", table="parts")
    assert done.problems == ((2, "number", "possible_lost_zero"),)
    assert not Part.objects.filter(maker__code="VRD", number="99001").exists()
    assert Part.objects.filter(maker__code="OLM", number="99001").exists()
    both = imported(desk, "maker,number,category\nVRD,99001,spark_plug\nVRD,0099001,spark_plug\n", table="parts")
    assert (both.problems, both.counts) == ((), (1, 0, 1))


def test_the_same_number_in_other_separators_is_not_added_beside_it(desk: Desk) -> None:
    imported(desk, f"{HEAD}\n{PLUG}\n", table="parts")
    done = imported(desk, "maker,number,category\nVRD,990001,spark_plug\n", table="parts")
    assert done.problems == ((2, "number", "other_spelling"),)


def test_a_statement_about_a_number_that_lost_its_zeros_is_told_so(desk: Desk) -> None:
    imported(desk, "maker,number,category\nVRD,0099001,spark_plug\n", table="parts")
    text = "kind,maker,number,model,spec,position,by,source_kind,source\n"
    text += "specified,VRD,99001,VRD-H40,S-131,spark_plug,VRD,maker,book\n"
    text += "specified,VRD,0099001,VRD-H40,S-131,spark_plug,VRD,maker,book\n"
    text += "specified,VRD,0099001,VRD-H40,S-131,nowhere,VRD,maker,book\n"
    done = imported(desk, text, table="statements")
    assert sorted(done.problems) == [(2, "number", "possible_lost_zero"), (4, "position", "unknown_position")]
    assert done.counts == (1, 0, 0)
    assert Statement.objects.filter(part__number="0099001").count() == 1


# Worked out by hand after the check digit of the GS1 General Specifications: 9520000 99000 adds up to 62, so 8.
def test_a_wrong_check_digit_says_the_right_one(desk: Desk) -> None:
    rows = [f"VRD,,9900-0{n},,spark_plug,,{code},," for n, code in ((1, "9520000990008"), (2, "9520000990007"))]
    done = imported(desk, "\n".join([HEAD, *rows]), table="parts")
    assert done.problems == ((3, "barcodes", "wrong_check_digit"),)
    assert "check digit should be 8 and is 7" in done.told("wrong_check_digit")
    assert done.counts == (1, 0, 0)


def test_a_row_twice_is_taken_once_and_rows_that_contradict_each_other_are_both_named(desk: Desk) -> None:
    rows = ["maker,number,category,name", *["VRD,9900-01,spark_plug,plug"] * 2]
    rows += ["VRD,9900-02,spark_plug,plug", "VRD,9900-02,spark_plug,another plug"]
    done = imported(desk, "\n".join(rows), table="parts")
    assert done.problems == ((3, "", "duplicate_row"), (5, "name", "contradiction"), (4, "", "left_out"))
    assert "line 4" in done.told("contradiction")
    assert done.counts == (1, 0, 0)
    assert done.job.errors == 2


def test_one_barcode_for_two_parts_keeps_both_out(desk: Desk) -> None:
    rows = [f"VRD,,9900-0{n},,spark_plug,,9520000990008,," for n in (1, 2)]
    done = imported(desk, "\n".join([HEAD, *rows]), table="parts")
    assert done.problems == ((2, "barcodes", "barcode_taken"), (3, "barcodes", "barcode_taken"))
    assert done.counts == (0, 0, 0)


def test_a_barcode_of_another_part_keeps_only_its_row_out(desk: Desk) -> None:
    imported(desk, f"{HEAD}\nVRD,,9900-01,,spark_plug,,9520000990008,,\n", table="parts")
    rows = ["VRD,,9900-02,,spark_plug,,9520000990008,,", "VRD,,9900-03,,spark_plug,,,,"]
    done = imported(desk, "\n".join([HEAD, *rows]), table="parts")
    assert done.problems == ((2, "barcodes", "barcode_taken"),)
    assert done.counts == (1, 0, 0)


def test_contents_may_stand_anywhere_in_the_file_and_must_be_there(desk: Desk) -> None:
    rows = ["maker,number,category,contains", "VRD,K-1,spark_plug,VRD 9900-02 x2", "VRD,9900-02,spark_plug,"]
    done = imported(desk, "\n".join([*rows, "VRD,K-2,spark_plug,VRD nothing"]), table="parts")
    assert done.problems == ((4, "contains", "unknown_part"),)
    held = Part.objects.get(number="K-1").contents.get()
    assert (held.part.number, held.quantity) == ("9900-02", 2)


def test_a_piece_of_a_set_that_a_file_says_is_fitted_together_is_not_judged_alone(desk: Desk) -> None:
    """Rule 7: a member of a set alone is undetermined."""
    question = demo_question("accepted")
    piece = " ".join(question["candidate"].values())
    assert desk.answer(question)["verdict"] == "accepted"
    head = "maker,number,category,contains,matched_set"
    done = imported(desk, f"{head}\nVRD,SET-1,spark_plug,{piece} x4,yes\n", table="parts")
    assert (done.counts, done.problems) == ((1, 0, 0), ())
    alone = desk.answer(question)
    assert alone["verdict"] == "undetermined"
    assert "SET-1" in alone["headline"]
    done = imported(desk, "maker,number,category,matched_set\nVRD,SET-1,spark_plug,no\n", table="parts")
    assert done.counts == (0, 1, 0)
    assert desk.answer(question)["verdict"] == "accepted"


def test_a_piece_of_one_matched_set_is_in_no_other(desk: Desk) -> None:
    head = "maker,number,category,contains,matched_set"
    rows = [f"VRD,SET-{n},spark_plug,VRD 4410-12 x4,yes" for n in (1, 2)]
    done = imported(desk, "\n".join([head, *rows]), table="parts")
    assert (done.counts, done.problems) == ((1, 0, 0), ((3, "contains", "taken"),))
    again = {"maker": "VRD", "number": "SET-3", "category": "spark_plug", "matched_set": True,
             "contains": [{"part": {"maker": "VRD", "number": "4410-12"}, "quantity": 2}]}  # fmt: skip
    refused = desk.post("/parts/", again)
    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (409, "#/contains/0/part")


def test_a_statement_that_holds_at_no_published_place_is_refused(desk: Desk) -> None:
    """Common practice, no source: an exclusion at a place that is misspelt would exclude nothing."""
    text = "kind,maker,number,model,spec,position,by,places,source_kind,source\n"
    text += "excluded,VRD,4410-12,VRD-H40,S-118,spark_plug,VRD,indoors,maker,book\n"
    text += "excluded,VRD,4410-12,VRD-H40,S-118,spark_plug,VRD,indoor | wash_down,maker,book\n"
    done = imported(desk, text, table="statements")
    assert done.problems == ((2, "places", "unknown_code"),)
    assert "wash_down" in done.told("unknown_code")
    assert done.counts == (1, 0, 0)


def test_all_or_nothing_applies_nothing_where_one_row_is_wrong(desk: Desk) -> None:
    before = standing()
    text = f"{HEAD}\n{PLUG}\nVRD,,9900-02,,sparkplug,,,,\n"
    done = imported(desk, text, table="parts", mode="all_or_nothing")
    assert done.problems == ((3, "category", "unknown_category"),)
    assert done.job.result is not None
    assert done.job.result["applied"] is False
    assert (standing(), Part.objects.filter(number__startswith="9900").exists()) == (before, False)
    sound = imported(desk, f"{HEAD}\n{PLUG}\n", table="parts", mode="all_or_nothing")
    assert sound.counts == (1, 0, 0)
    assert sound.job.result is not None
    assert sound.job.result["applied"] is True
    assert Part.objects.filter(number="9900-01").exists()


def test_a_dry_run_says_what_would_change_and_writes_nothing(desk: Desk) -> None:
    before, feed = standing(), Change.objects.count()
    text = "maker,number,category,name\nVRD,9900-01,spark_plug,plug\nVRD,4410-07,spark_plug,renamed\nVRD,,x,\n"
    done = imported(desk, text, table="parts", dry_run="true")
    assert done.counts == (1, 1, 0)
    assert done.problems == ((4, "number", "missing"),)
    assert done.job.result is not None
    assert {(change["kind"], change["name"]) for change in done.job.result["changes"]} == {
        ("part.created", "VRD 9900-01"), ("part.changed", "VRD 4410-07")
    }  # fmt: skip
    assert (standing(), Change.objects.count()) == (before, feed)
    assert not Part.objects.filter(number="9900-01").exists()


def test_positions_that_are_not_mentioned_stay_and_empty_cells_state_nothing(desk: Desk) -> None:
    found = EngineSpecification.objects.get(spec="S-131")
    kept = dict(found.positions.values_list("code", "pk"))
    before = Position.objects.get(specification=found, code="injector")
    text = "model,spec,position,name,category,quantity,inside_of,demands,source_kind,source\n"
    text += "VRD-H40,S-131,injector,,injector,5,,max_pressure = 5 bar gauge,maker,second sheet\n"
    text += "VRD-H40,S-131,spare_plug,spare plug,spark_plug,1,injector,,,\n"
    done = imported(desk, text, table="positions")
    assert (done.counts, done.problems) == ((0, 1, 0), ())
    now = dict(found.positions.values_list("code", "pk"))
    assert {code: now[code] for code in kept} == kept
    after = Position.objects.get(pk=before.pk)
    assert (after.name, after.quantity, after.ports.count()) == (before.name, 5, before.ports.count())
    assert after.demands.filter(attribute="max_pressure").count() == 2
    assert Position.objects.get(code="spare_plug").inside_of_id == after.pk
    assert imported(desk, text, table="positions").counts == (0, 0, 1)


def test_a_position_inside_of_nothing_is_named(desk: Desk) -> None:
    text = "model,spec,position,category,inside_of\nVRD-H40,S-131,spare_plug,spark_plug,nowhere\n"
    done = imported(desk, text, table="positions")
    assert done.problems == ((2, "inside_of", "unknown_position"),)


def test_a_new_specification_with_its_positions_comes_in_one_workbook(desk: Desk) -> None:
    kept = io.BytesIO()
    with xlsxwriter.Workbook(kept, {"in_memory": True}) as book:
        sheets: dict[str, list[list[object]]] = {
            "specifications": [
                ["maker", "model", "spec", "cylinders", "heads", "fuels"],
                ["OLM", "OLM-T9", "D-1", 3, 1, "diesel"],
            ],
            "positions": [["model", "spec", "position", "category"], ["OLM-T9", "D-1", "feed", "fuel_hose"]],
            "parts": [["maker", "number", "category"], ["OLM", 990001, "fuel_hose"], ["OLM", "990002", "fuel_hose"]],
            "notes": [["whatever"]],
        }
        for name, rows in sheets.items():
            sheet = book.add_worksheet(name)
            for line, cells in enumerate(rows):
                sheet.write_row(line, 0, cells)
    done = imported(desk, kept.getvalue(), name="tables.xlsx")
    assert done.problems == ((2, "number", "number_not_text"),)
    assert done.counts == (2, 0, 0)
    built = EngineSpecification.objects.get(spec="D-1")
    assert (built.cylinders, built.heads, built.fuels) == (3, 1, ["diesel"])
    assert built.positions.get().code == "feed"


def test_a_file_that_cannot_be_read_fails_the_job_with_what_to_do(desk: Desk) -> None:
    job = imported(desk, "maker,number,name\nVRD,1,K\u00fchler\n".encode("cp1252"), table="parts").job
    assert job.state == JobState.FAILED
    assert job.problem is not None
    assert job.problem["code"] == "undecidable_encoding"
    assert "windows-1252" in job.problem["detail"]


def test_an_unknown_column_and_a_missing_one_leave_the_whole_table_out(desk: Desk) -> None:
    done = imported(desk, "maker,colour,attr:no_such_thing\nVRD,red,1\n", table="parts")
    assert sorted(done.problems) == [
        (1, "attr:no_such_thing", "unknown_attribute"),
        (1, "colour", "unknown_column"),
        (1, "number", "missing_column"),
    ]


def test_more_parts_than_one_version_takes_land_in_several_and_none_is_split(desk: Desk) -> None:
    before = standing().version
    rows = [f"VRD,9900-{n:05d},spark_plug" for n in range(1201)]
    done = imported(desk, "\n".join(["maker,number,category", *rows]), table="parts")
    assert done.counts == (1201, 0, 0)
    assert standing().version == before + 3
    assert (done.job.done, done.job.total) == (1201, 1201)


def test_without_a_key_without_the_scope_or_with_strange_fields_nothing_is_queued(
    desk: Desk, tallis_bridge: Dealer
) -> None:
    reader = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ])
    assert send(reader, "maker,number\nVRD,1\n", table="parts").status_code == 403
    headers = {"Authorization": f"Bearer {desk.key}"}
    assert desk.client.post("/api/v1/catalogue-imports/", {"table": "parts"}, headers=headers).status_code == 400
    answer = send(desk, "maker,number\nVRD,1\n", table="shelf", dry_run="yes", colour="red")
    assert answer.status_code == 400
    assert {fault["pointer"] for fault in answer.json()["errors"]} == {"#/table", "#/dry_run", "#/colour"}
    assert not StoredFile.objects.exists()


def test_the_same_upload_repeated_with_its_key_is_one_job(desk: Desk) -> None:
    first, second = (_upload(desk) for _ in range(2))
    assert (first.status_code, second.status_code) == (202, 202)
    assert first.json()["id"] == second.json()["id"]
    assert StoredFile.objects.count() == 1


def _upload(desk: Desk) -> Any:
    """One upload, the same to the last byte each time."""
    table = b'--b\r\nContent-Disposition: form-data; name="table"\r\n\r\nparts\r\n'
    file = b'--b\r\nContent-Disposition: form-data; name="file"; filename="a.csv"\r\n\r\nmaker,number\r\n--b--\r\n'
    headers = {"Authorization": f"Bearer {desk.key}", "Idempotency-Key": "night-1"}
    form = "multipart/form-data; boundary=b"
    return desk.client.post("/api/v1/catalogue-imports/", table + file, content_type=form, headers=headers)


def test_a_large_file_is_taken_and_one_beyond_the_limit_is_not(desk: Desk) -> None:
    row = "VRD,9900-01,spark_plug," + "x" * 150 + "\n"
    text = "maker,number,category,name\n" + row * 20_000
    assert queued(desk, text, table="parts").state == JobState.QUEUED
    assert send(desk, b"x" * 20_200_000, table="parts").status_code == 413


def test_the_columns_are_told_from_the_registry(desk: Desk) -> None:
    told = desk.get("/catalogue-imports/tables/").json()["tables"]
    assert {row["table"] for row in told} == set(TABLES)
    assert all(column["says"] for row in told for column in row["columns"])


def test_every_table_of_the_registry_has_somebody_who_writes_it() -> None:
    assert {table.aggregate for table in TABLES.values()} <= set(importing.WRITERS)


@pytest.mark.parametrize("table", ["specifications", "positions", "statements", "parts"])
def test_importing_the_demos_own_tables_changes_nothing(desk: Desk, table: str) -> None:
    folder = FIXTURES / "demo"
    for file in sorted((*folder.glob(f"{table}.csv"), *folder.glob(f"{table}/*.csv"))):
        _unchanged(desk, file, table)


def _unchanged(desk: Desk, file: Path, table: str) -> None:
    done: Imported = imported(desk, file.read_bytes(), table=table)
    assert (file.name, done.problems) == (file.name, ())
    assert done.counts[:2] == (0, 0)
    assert done.counts[2] > 0
