"""Papers as they are drawn: the same bytes, text in any script, nothing lost and nothing off the page."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import Invalid
from service.papers.drawing.pages import pdf_of
from service.papers.paper import Banner, Block, Entries, Entry, Heading, Paper, Paragraph, QrCode, Ticks
from service.papers.sizes import A4, LABEL_62_100, LABEL_100_150, LETTER, Size
from service.papers.tables import Column, ColumnKind, Table
from tests.papers.reading import ink_outside, paper_of, text_of, texts

pytestmark = pytest.mark.domain
SIZES = (A4, LETTER, LABEL_100_150, LABEL_62_100)
NAMES = {
    "Latin": "Łódź Żółw, ñandú, Őrség",
    "Greek": "Γεννήτρια Βόρεια 3",
    "Cyrillic": "Насос Північ 3",
    "Hebrew": "מחולל צפון 118402",
    "Arabic": "مولد الشمال 61622",
    "Persian": "ژنراتور شمالی",
    "Chinese": "北方发电机组",
    "Japanese": "除雪機エンジン一号",
    "Korean": "북쪽 발전기 3",
}
LINES = Table(
    (
        Column("Bin", ColumnKind.CODE, 2),
        Column("Part", ColumnKind.CODE, 4),
        Column("Quantity", ColumnKind.NUMBER, 2),
        Column("Taken", ColumnKind.TICK),
        Column("Short", ColumnKind.SPACE, 2),
    ),
    tuple((f"A-{row}", f"VRD {row:04d}-460", row, None, None) for row in range(200)),
)
EVERYTHING: tuple[Block, ...] = (
    Banner("!", "Use it only if"),
    Heading("Names"),
    Entries(tuple(Entry(script, name) for script, name in NAMES.items())),
    Paragraph("Let the head cool before a plug comes out.", listed=True),
    Ticks(("taken", "counted")),
    LINES,
)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_the_same_paper_is_the_same_bytes_on_every_size(size: Size) -> None:
    paper = paper_of(*EVERYTHING, size=size)
    first = pdf_of(paper)
    assert first == pdf_of(paper)
    assert first.startswith(b"%PDF-")
    assert first != pdf_of(paper_of(*EVERYTHING[1:], size=size))


def test_papers_drawn_at_once_are_the_same_bytes_as_one_by_one() -> None:
    papers = [paper_of(Paragraph(name), *EVERYTHING[:5]) for name in NAMES.values()]
    with ThreadPoolExecutor(4) as threads:
        assert list(threads.map(pdf_of, papers * 2)) == [pdf_of(paper) for paper in papers * 2]


@pytest.mark.parametrize("script", NAMES)
def test_a_name_in_any_script_can_be_read_back(script: str) -> None:
    assert NAMES[script] in text_of(paper_of(Entries((Entry("Machine", NAMES[script]),))))


def test_every_font_is_embedded() -> None:
    pdf = pdf_of(paper_of(*EVERYTHING))
    # ReportLab names the embedded file of each TrueType font in its descriptor.
    assert pdf.count(b"/FontFile2") == pdf.count(b"/Type /FontDescriptor") >= 3


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("เครื่อง 7", "[7 Thai characters] 7"),
        ("wrench 🔧 here", "wrench [wrench] here"),
        ("𠀀", "[1 CJK character]"),
        ("private \ue123", "private [U+E123]"),
    ],
)
def test_what_no_font_has_a_glyph_for_is_said_in_words(text: str, told: str) -> None:
    assert told in text_of(paper_of(Paragraph(text)))


def test_no_name_turns_the_digits_of_another_around() -> None:
    assert "Truck \u202e7 serial 118402".replace("\u202e", "") in text_of(
        paper_of(Paragraph("Truck \u202e7 serial 118402"))
    )


def test_brackets_in_right_to_left_text_open_the_right_way() -> None:
    assert "מחולל (ישן) צפון" in text_of(paper_of(Paragraph("מחולל (ישן) צפון")))


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_two_hundred_lines_go_on_over_pages_that_repeat_the_header(size: Size) -> None:
    pages = texts(pdf_of(paper_of(LINES, size=size, footer="Job J4")))
    read = "".join(pages).replace(" ", "")  # a narrow column breaks a number at its hyphen
    assert all(f"VRD{row:04d}-460" in read for row in range(200))
    assert len(pages) > 2
    for number, page in enumerate(pages, start=1):
        assert "Bin Part" in page
        assert page.endswith(f"Page {number} of {len(pages)}")
        assert "Job J4" in page


@pytest.mark.parametrize("size", [A4, LABEL_62_100], ids=lambda size: size.name)
@pytest.mark.parametrize(
    "name", ["W" * 1_500, "word " * 600, "北" * 1_500, "א" * 1_500], ids=["long", "many", "east", "rtl"]
)
def test_a_very_long_name_wraps_and_nothing_runs_off_the_page(size: Size, name: str) -> None:
    table = Table((Column("Bin"), Column("Name", share=3), Column("Short", ColumnKind.SPACE)), ((name, name, None),))
    paper = Paper(
        name[:200],
        (Banner("✓", name), Heading(name), Entries((Entry(name[:200], name),)), Ticks((name,)), table),
        size=size,
        subtitle=name[:200],
        footer=name[:300],
        corner=QrCode("6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5e6f"),
    )
    assert not ink_outside(pdf_of(paper), size)


@settings(max_examples=15)
@given(text=st.text(st.characters(exclude_categories=["Cs"]), max_size=60))
def test_any_text_can_be_drawn(text: str) -> None:
    paper = Paper(text, (Banner("", text), Paragraph(text), Entries((Entry(text, text),))), footer=text)
    assert pdf_of(paper) == pdf_of(paper)


@pytest.mark.parametrize("lines", [0, 1])
def test_a_table_of_few_rows_keeps_its_header_with_them(lines: int) -> None:
    filling = tuple(Paragraph("word") for _ in range(39))
    pages = texts(pdf_of(paper_of(*filling, Heading("Lines"), Table(LINES.columns, LINES.rows[:lines]))))
    assert [("Lines" in page) for page in pages] == [("Bin Part" in page) for page in pages]


def test_a_footer_that_would_fill_the_page_is_refused() -> None:
    with pytest.raises(Invalid, match="300"):
        Paper("Slip", (), footer="x" * 301)
