"""The file as people send it: sound rows land, and every other one is named by line and column."""

import pytest

from catalog.models import Part, PartAttribute
from tests.api.world import FIXTURES, Desk
from tests.imports.importer import imported

pytestmark = pytest.mark.db
FILE = FIXTURES / "demo" / "catalogue-dirty.csv"
# Lines as an editor counts them: the third hose's name goes over two.
WRONG = [
    (6, "number", "e_notation"),
    (7, "number", "turned_into_a_date"),
    (8, "barcodes", "wrong_check_digit"),
    (9, "", "duplicate_row"),
    (10, "", "left_out"),
    (11, "attr:gap [mm]", "contradiction"),
    (12, "attr:gap [mm]", "wrong_decimal_mark"),
    (13, "attr:gap [mm]", "wrong_dimension"),
    (14, "category", "unknown_category"),
    (15, "number", "missing"),
    (16, "attr:fuels", "unknown_code"),
    (16, "attr:reach [mm]", "wrong_decimal_mark"),
    (16, "supplied_as", "unknown_code"),
    (17, "", "too_few_cells"),
    (18, "attr:working_pressure [psi gauge]", "wrong_reference"),
]
LANDED = {("VRD", "4410-31"), ("VRD", "3160"), ("OLM", "03170"), ("OLM", "3170"), ("TSK", "4480")}


def landed() -> set[tuple[str, str]]:
    rows = Part.objects.filter(attributes__source_citation="dealer list 2026, invented")
    return set(rows.values_list("maker__code", "number"))


def test_the_decimal_mark_of_a_file_that_writes_both_has_to_be_declared(desk: Desk) -> None:
    job = imported(desk, FILE.read_bytes(), table="parts").job
    assert job.problem is not None
    assert job.problem["code"] == "undecidable_decimal"
    assert landed() == set()


@pytest.mark.parametrize("encoding", ["utf-8", "windows-1252"])
def test_sound_rows_land_and_every_wrong_one_is_named(desk: Desk, encoding: str) -> None:
    text = FILE.read_bytes().decode("utf-8-sig")
    data = FILE.read_bytes() if encoding == "utf-8" else text.encode("cp1252")
    done = imported(desk, data, table="parts", decimal="comma", encoding=encoding)
    assert sorted(done.problems) == WRONG
    assert landed() == LANDED
    assert Part.objects.get(number="4410-31").name == "Z\u00fcndkerze, gas"
    assert Part.objects.get(number="03170").name == 'diesel hose; "long", for\r\nthe pump set'


# 24.1 bar is 2 410 000 Pa, and 0.375 in is 9.525 mm exactly (an inch is 25.4 mm, NIST SP 811 B.8).
def test_mixed_units_are_read_each_in_its_own(desk: Desk) -> None:
    imported(desk, FILE.read_bytes(), table="parts", decimal="comma")
    pressure, bore = (
        PartAttribute.objects.get(part__number="3160", attribute=name) for name in ("working_pressure", "hose_bore")
    )  # fmt: skip
    assert pressure.lo == 2_410_000 * 100
    assert bore.lo == 95_250


def test_the_dirty_file_again_changes_nothing_and_names_the_same_rows(desk: Desk) -> None:
    imported(desk, FILE.read_bytes(), table="parts", decimal="comma")
    again = imported(desk, FILE.read_bytes(), table="parts", decimal="comma")
    assert again.counts == (0, 0, len(LANDED))
    assert sorted(again.problems) == WRONG


def test_a_night_later_a_list_that_lost_its_zeros_names_the_row(desk: Desk) -> None:
    imported(desk, "maker,number,category\nOLM,003171,fuel_hose\n", table="parts")
    done = imported(desk, "maker;number;category\nOLM;3171;fuel_hose\n", table="parts")
    assert done.problems == ((2, "number", "possible_lost_zero"),)
