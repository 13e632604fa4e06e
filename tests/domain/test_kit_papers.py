"""What a pick list and a box label say, for job J4 of the worked example. The words: common practice, no source."""

from dataclasses import replace
from datetime import date

import pytest

from kits.domain.kit_lines import Unit
from kits.domain.papers import (
    DangerousPackage,
    DueRange,
    KitPaper,
    NotIn,
    NotThere,
    PaperLine,
    Pick,
    Take,
    by_reason,
    count_words,
    in_bin_order,
    not_there,
    quantity_words,
    windows_together,
)
from kits.domain.windows import Window
from kits.usecases.kit_papers import box_label, pick_list
from service.errors import Invalid
from service.papers.drawing.pages import pdf_of
from service.papers.sizes import A4, LABEL_62_100, LABEL_100_150, LETTER, Size
from service.papers.tables import Table
from tests.papers.reading import codes_on, ink_outside, text_of, texts

pytestmark = pytest.mark.domain
YEAR = 2026
CODE = "30a95c25-0bbf-41fc-b32a-b92367596d19"


def takes(maker: str, number: str, name: str, pieces: int, *picks: Pick, pack: int | None = 1) -> Take:
    return Take((maker, number), name, pieces, picks, pack=pack)


def line(take: Take) -> PaperLine:
    return PaperLine(take.part, take.name, take.needed, takes=(take,))


PLUGS = line(takes("VRD", "4410-12", "spark plug", 16, Pick("A-10", 16), pack=4))
FILTER = line(takes("VRD", "0021-460", "oil filter", 1, Pick("B-12", 1), pack=6))
AIR = line(takes("VRD", "2051", "air element", 1, Pick("A-2", 1)))
HOSE = line(Take(("TSK", "H-410"), "LP-gas hose", 1, (Pick("H-3", 1),), pack=1, coded=True))
YOUNG, OLD = Pick("A-11", 2, date(2025, 11, 1)), Pick("A-11", 4, date(2024, 5, 1))
SEALS = replace(line(Take(("OLM", "8815"), "seal", 6, (YOUNG, OLD), pack=4, coded=True)), chosen_for=("OLM", "8812-1"))
CAN = Take(("VRD", "9900"), "engine oil", 1, (Pick("F-1", 1),), content=5_000_000)
OIL = PaperLine(("VRD", "9900"), "engine oil", 4_300_000, Unit.MICROLITRE, (CAN,))
PCV = Take(("VRD", "3307"), "PCV", 1, pack=1)
LATE = line(replace(PCV, promised=date(2026, 4, 22)))
UNKNOWN = PaperLine(None, "washer at oil pan", 1, open="part not known", why="Which washer?")
AEROSOL = DangerousPackage("UN1950", ("FEN", "AC-1"), "aerosol cleaner", 1, sheet=True)
WEEK = Window(date(2026, 4, 13), date(2026, 4, 14), date(2026, 4, 16))
KIT = KitPaper(
    dealer="Tallis Bridge Power Service",
    number=7,
    job="J4",
    machine="Truck 7 מחולל",
    serial="131077",
    service="500 h service",
    due=DueRange(WEEK),
    fitted_on=date(2026, 4, 13),
    lines=(FILTER, PLUGS, AIR, HOSE, SEALS, OIL, LATE),
    scan_code=CODE,
    dangerous=(AEROSOL,),
)


@pytest.mark.parametrize(
    ("pieces", "pack", "words"),
    [
        (16, 4, "16 EA = 4 packs of 4"),
        (6, 4, "6 EA = 1 pack of 4 and 2 EA"),
        (1, 6, "1 EA out of a pack of 6"),
        (1, 1, "1 EA"),
        (1, None, "1 EA, pack not known"),
    ],
)
def test_a_quantity_is_told_in_stock_units_and_in_packs(pieces: int, pack: int | None, words: str) -> None:
    assert quantity_words(takes("VRD", "1", "goods", pieces, pack=pack), pieces) == words


def test_a_fluid_is_taken_in_containers_and_says_how_much_the_work_needs() -> None:
    assert quantity_words(CAN, 2) == "2 x 5 L"
    assert "1 x 5 L, 4.3 L needed" in text_of(pick_list(KIT))


def test_the_list_goes_along_the_shelves_oldest_code_first_and_what_has_no_bin_comes_last() -> None:
    loose = line(takes("VRD", "77", "clip", 1, Pick("", 1)))
    walked = [(row.pick.bin, row.pick.quantity) for row in in_bin_order((loose, OIL, SEALS, PLUGS, AIR, FILTER))]
    assert walked == [("A-2", 1), ("A-10", 16), ("A-11", 4), ("A-11", 2), ("B-12", 1), ("F-1", 1), ("", 1)]
    assert in_bin_order(reversed(KIT.lines)) == in_bin_order(KIT.lines)


def test_the_count_says_what_follows_and_when() -> None:
    eleven = (AIR,) * 11
    assert count_words(replace(KIT, lines=(*eleven, AIR))) == "12 of 12"
    assert count_words(replace(KIT, lines=(*eleven, LATE))) == "11 of 12, PCV to follow 22 Apr"
    assert count_words(replace(KIT, lines=(*eleven, line(PCV)))) == "11 of 12, PCV to follow, day not known"
    next_year = line(replace(PCV, promised=date(2027, 1, 4)))
    assert count_words(replace(KIT, lines=(*eleven, next_year))) == "11 of 12, PCV to follow 4 Jan 2027"


def test_a_line_that_is_there_in_part_is_not_counted_and_says_how_much_follows() -> None:
    part = line(replace(PLUGS.takes[0], picks=(Pick("A-10", 12),), promised=date(2026, 4, 22)))
    assert count_words(replace(KIT, lines=(part,))) == "0 of 1, 4 of 16 EA spark plug to follow 22 Apr"
    two_cans = replace(OIL, takes=(replace(CAN, needed=2),))
    assert count_words(replace(KIT, lines=(two_cans,))) == "0 of 1, 1 of 2 x 5 L engine oil to follow, day not known"


def test_a_set_names_the_piece_of_it_that_follows() -> None:
    housing = takes("VRD", "5001", "housing", 1, Pick("C-1", 1))
    a_set = PaperLine(("VRD", "5000"), "breather", 1, takes=(housing, PCV))
    assert count_words(replace(KIT, lines=(a_set,))) == "0 of 1, PCV to follow, day not known"


def test_a_second_line_of_a_fluid_is_there_with_the_containers_of_the_first() -> None:
    second = replace(OIL, takes=(), shared=(CAN,))
    assert count_words(replace(KIT, lines=(OIL, second))) == "2 of 2"
    gone = replace(CAN, picks=())
    assert count_words(replace(KIT, lines=(replace(OIL, takes=(gone,)), replace(second, shared=(gone,))))) == (
        "0 of 2, engine oil to follow, day not known, engine oil to follow, day not known"
    )
    assert len(in_bin_order((OIL, second))) == 1


def test_a_line_with_something_open_or_held_back_is_never_counted_as_in_the_box() -> None:
    held = replace(OIL, held_back=True)
    kit = replace(KIT, lines=(PLUGS, UNKNOWN, held))
    assert count_words(kit) == (
        "1 of 3, washer at oil pan: part not known, engine oil: held back, not known how it ships"
    )
    read = text_of(pick_list(kit))
    assert "part not known, washer at oil pan: part not known. Which washer?" in read
    assert "VRD 9900, engine oil: held back, not known how it ships" in read


def test_what_is_missing_is_told_together_by_its_reason_where_there_is_much() -> None:
    missing = [NotThere("PCV", "to follow 22 Apr"), NotThere("seal", "not reserved"), NotThere("clip", "not reserved")]
    assert by_reason(missing) == ("To follow 22 Apr: PCV", "Not reserved: seal, clip")
    kit = replace(KIT, lines=(PLUGS, LATE, UNKNOWN, line(PCV)))
    assert count_words(kit) == "1 of 4, 3 not in full"
    assert "To follow 22 Apr: PCV" in text_of(box_label(kit))


def test_no_more_is_picked_than_is_needed() -> None:
    with pytest.raises(Invalid, match="VRD 3307: no more is picked"):
        replace(PCV, picks=(Pick("A-1", 2),))


def test_a_due_range_never_hides_what_cannot_be_told() -> None:
    later = Window(date(2026, 5, 1), None, None)
    assert windows_together(()) is None
    assert windows_together((WEEK, later)) == Window(date(2026, 4, 13), None, None)
    assert DueRange(WEEK, 2).words == "2026-04-13 to 2026-04-16; cannot be told of 2 tasks"
    assert DueRange(None).words == "cannot be told"
    assert DueRange(None, 1, ("What does the meter read?",)).words == "cannot be told. What does the meter read?"


def test_the_pick_list_has_all_that_picking_asks() -> None:
    kit = replace(
        KIT,
        left_out=(NotIn(("OLM", "AS-1"), "spark plug", "anti-seize is never put in by default"),),
        passed_over=(NotIn(("OLM", "8815"), "9 in B-3", "too old for the day it is to be fitted"),),
        questions=("Is VRD 9900 dangerous to ship?",),
    )
    (table,) = (block for block in pick_list(kit).blocks if isinstance(block, Table))
    assert [row[0] for row in table.rows] == ["A-2", "A-10", "A-11", "A-11", "B-12", "F-1", "H-3"]
    assert [column.name for column in table.columns] == [
        "Bin", "Part", "Name", "Take", "Date code", "Taken", "Short",
    ]  # fmt: skip
    assert table.marked == {2, 3}
    read = text_of(pick_list(kit))
    for words in (
        "Pick list, job J4", "Kit 7", "Truck 7 מחולל", "131077", "500 h service", "2026-04-13 to 2026-04-16",
        "16 EA = 4 packs of 4", "seal, SUBSTITUTE for OLM 8812-1", "2024-05-01", "write down:",
        "6 of 7, PCV to follow 22 Apr", "VRD 3307, PCV to follow 22 Apr",
        "UN1950: 1 of FEN AC-1, aerosol cleaner; its safety sheet goes with it",
        "OLM AS-1, spark plug: anti-seize is never put in by default",
        "OLM 8815, 9 in B-3: too old for the day it is to be fitted", "Is VRD 9900 dangerous to ship?", "Page 1 of 1",
    ):  # fmt: skip
        assert words in read


def test_a_number_that_stands_for_the_plans_is_told_and_is_no_substitute() -> None:
    newer = replace(FILTER, part=("VRD", "0021-450"))
    read = text_of(pick_list(replace(KIT, lines=(newer,))))
    assert "oil filter, for VRD 0021-450" in read
    assert "SUBSTITUTE" not in read


@pytest.mark.parametrize("size", [LABEL_100_150, LABEL_62_100], ids=lambda size: size.name)
def test_the_label_fits_on_one_and_is_found_by_its_code(size: Size) -> None:
    label = box_label(replace(KIT, machine="Γεννήτρια Βόρεια 北方发电机组 مولد الشمال 61622"), size)
    read = text_of(label)
    for words in ("Job J4", "Kit 7", "北方发电机组", "131077", "500 h", "6 of 7, PCV to follow 22 Apr", "UN1950"):
        assert words in read
    assert len(texts(pdf_of(label))) == 1
    assert not ink_outside(pdf_of(label), size)
    for dpi in (150, 300):
        (code,) = codes_on(pdf_of(label), dpi=dpi)
        assert code.text == CODE


@pytest.mark.parametrize("size", [A4, LETTER], ids=lambda size: size.name)
def test_a_long_pick_list_goes_on_over_pages_and_loses_nothing(size: Size) -> None:
    many = tuple(line(takes("VRD", f"{number:04d}-460", "filter", 1, Pick(f"A-{number}", 1))) for number in range(120))
    pages = texts(pdf_of(pick_list(replace(KIT, lines=many), size)))
    assert len(pages) > 2
    assert all("Date code" in page for page in pages[:3])
    assert all(any(f"VRD {number:04d}-460" in page for page in pages) for number in range(120))


def test_what_is_not_known_is_said_and_never_left_out() -> None:
    asked = "Is VRD 9900 dangerous to ship?"
    kit = replace(KIT, job="", serial="", due=DueRange(None), questions=(asked,), notice="Cancelled: take nothing")
    for read in (text_of(box_label(kit)), text_of(pick_list(kit))):
        for words in (
            "it 7, no work order",
            "Serial not known",
            "Due cannot be told",
            asked,
            "Cancelled: take nothing",
        ):
            assert words in read


def test_a_line_in_full_leaves_nothing_to_tell() -> None:
    assert not_there(PLUGS, YEAR) == ()
