"""What a pick list and a box label say, for job J4 of the worked example. The words: common practice, no source."""

from dataclasses import replace
from datetime import date

import pytest

from kits.domain.kit_lines import Unit
from kits.domain.papers import (
    DangerousPackage,
    Filling,
    Following,
    KitPaper,
    PaperLine,
    count_words,
    in_bin_order,
    quantity_words,
    take_words,
)
from kits.domain.windows import Window
from kits.usecases.kit_papers import box_label, pick_list
from service.errors import Invalid
from service.papers.drawing.pages import pdf_of
from service.papers.paper import Barcode, QrCode
from service.papers.sizes import LABEL_62_100, LABEL_100_150, Size
from service.papers.tables import Table
from tests.papers.reading import codes_on, text_of

pytestmark = pytest.mark.domain
PLUGS = PaperLine(("VRD", "4410-12"), "spark plug", 16, "A-10", pack=4)
FILTER = PaperLine(("VRD", "0021-460"), "oil filter", 1, "B-12", pack=6)
AIR = PaperLine(("VRD", "2051"), "air element", 1, "A-2", pack=1)
HOSE = PaperLine(("TSK", "H-410"), "LP-gas hose", 1, "H-3", pack=1, coded=True)
SEALS = PaperLine(("OLM", "8815"), "seal", 6, "A-11", pack=4, instead_of=("OLM", "8812-1"), codes=("2025-11",))
OIL = PaperLine(
    ("VRD", "9900"), "engine oil", 4_300_000, "F-1", unit=Unit.MICROLITRE, containers=(Filling(1, 5_000_000),)
)
PCV = PaperLine(("VRD", "3307"), "PCV", 1, pack=1)
LATE = replace(PCV, following=Following(1, date(2026, 4, 22)))
AEROSOL = DangerousPackage("UN1950", ("FEN", "AC-1"), "aerosol cleaner", 1, sheet=True)
KIT = KitPaper(
    dealer="Tallis Bridge Power Service",
    job="J4",
    machine="Truck 7 מחולל",
    serial="131077",
    level="500 h",
    due=Window(date(2026, 4, 13), date(2026, 4, 14), date(2026, 4, 16)),
    lines=(FILTER, PLUGS, AIR, HOSE, SEALS, OIL, LATE),
    scan_code="TBPS-K-1042",
    dangerous=(AEROSOL,),
)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (PLUGS, "16 EA = 4 packs of 4"),
        (SEALS, "6 EA = 1 pack of 4 and 2 EA"),
        (FILTER, "1 EA out of a pack of 6"),
        (AIR, "1 EA"),
        (replace(AIR, pack=None), "1 EA, pack not recorded"),
        (replace(AIR, quantity=None), "quantity not known"),
        (OIL, "4.3 L = 1 x 5 L"),
        (
            replace(OIL, quantity=25_800_000, containers=(Filling(1, 20_000_000), Filling(2, 5_000_000))),
            "25.8 L = 1 x 20 L and 2 x 5 L",
        ),
        (replace(OIL, containers=()), "4.3 L, containers not recorded"),
    ],
)
def test_a_quantity_is_told_in_stock_units_and_in_packs(line: PaperLine, words: str) -> None:
    assert quantity_words(line) == words


def test_the_list_goes_along_the_shelves_and_what_has_no_bin_comes_last() -> None:
    walked = [line.bin for line in in_bin_order((LATE, OIL, SEALS, PLUGS, AIR, FILTER))]
    assert walked == ["A-2", "A-10", "A-11", "B-12", "F-1", ""]
    assert in_bin_order(reversed(KIT.lines)) == in_bin_order(KIT.lines)


def test_the_count_says_what_follows_and_when() -> None:
    twelve = tuple(replace(AIR, part=("VRD", str(number))) for number in range(11))
    assert count_words(replace(KIT, lines=(*twelve, PCV))) == "12 of 12"
    assert count_words(replace(KIT, lines=(*twelve, LATE))) == "11 of 12, PCV to follow 22 Apr"
    unpromised = replace(PCV, following=Following(1))
    assert count_words(replace(KIT, lines=(*twelve, unpromised))) == "11 of 12, PCV to follow, day not known"


def test_a_line_that_is_there_in_part_says_what_to_take_now() -> None:
    part = replace(PLUGS, following=Following(4, date(2026, 4, 22)))
    assert take_words(part) == "12 EA = 3 packs of 4; 4 EA to follow 22 Apr"
    assert count_words(replace(KIT, lines=(part,))) == "0 of 1, 4 EA of 16 EA spark plug to follow 22 Apr"
    assert take_words(LATE) == "nothing now; 1 EA to follow 22 Apr"


def test_a_line_with_something_unknown_is_never_counted_as_in_the_box() -> None:
    unknown = PaperLine(None, "washer at oil_pan", 1)
    no_count = replace(AIR, quantity=None)
    kit = replace(KIT, lines=(PLUGS, unknown, no_count), open_questions=("Which washer?",))
    words = "1 of 3, washer at oil_pan: part not known, air element: quantity not known, 1 question open"
    assert count_words(kit) == words
    assert take_words(unknown) == "nothing before the part is known"
    assert "part not known washer at oil_pan" in text_of(pick_list(kit))


def test_no_more_can_follow_than_was_asked() -> None:
    with pytest.raises(Invalid, match="VRD 3307: no more can follow"):
        replace(PCV, following=Following(2))


def test_the_pick_list_has_all_that_picking_asks() -> None:
    (table,) = (block for block in pick_list(KIT).blocks if isinstance(block, Table))
    assert [row[0] for row in table.rows] == ["A-2", "A-10", "A-11", "B-12", "F-1", "H-3", "not on record"]
    assert [column.name for column in table.columns] == [
        "Bin", "Part", "Name", "Take", "Date code or lot", "Taken", "Short",
    ]  # fmt: skip
    assert table.marked == {2}
    read = text_of(pick_list(KIT))
    for words in (
        "Pick list, job J4", "Truck 7 מחולל", "131077", "500 h", "2026-04-13 to 2026-04-16", "16 EA = 4 packs of 4",
        "SUBSTITUTE for OLM 8812-1: seal", "2025-11", "write down: ___", "6 of 7, PCV to follow 22 Apr",
        "UN1950: 1 of FEN AC-1, aerosol cleaner; its safety sheet goes with it", "Page 1 of 1",
    ):  # fmt: skip
        assert words in read


@pytest.mark.parametrize("size", [LABEL_100_150, LABEL_62_100], ids=lambda size: size.name)
def test_the_label_fits_on_one_and_is_found_by_its_code(size: Size) -> None:
    label = box_label(KIT, size)
    read = text_of(label)
    for words in ("Job J4", "Truck 7", "131077", "500 h", "6 of 7, PCV to follow 22 Apr", "UN1950", "Page 1 of 1"):
        assert words in read
    for dpi in (150, 300):
        (code,) = codes_on(pdf_of(label), dpi=dpi)
        assert (code.format.name, code.text) == ("Code128", "TBPS-K-1042")


def test_what_is_not_known_is_said_and_never_left_out() -> None:
    asked = "Which part does pcv_valve take?"
    kit = replace(KIT, serial="", due=None, open_questions=(asked,), scan_code="комплект 7")
    read = text_of(box_label(kit))
    for words in ("Serial not known", "Due not known: a meter reading is missing", asked):
        assert words in read
    assert asked in text_of(pick_list(kit))
    assert QrCode("комплект 7") in box_label(kit).blocks
    assert Barcode("TBPS-K-1042") in box_label(KIT).blocks
