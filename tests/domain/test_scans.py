"""What a scan says: GS1 General Specifications (from memory), checked against biip, whose tables come from them."""

from __future__ import annotations

from contextlib import suppress

import pytest
from biip.checksums import gs1_standard_check_digit
from biip.gs1_digital_link_uris import GS1DigitalLinkURI
from biip.gs1_messages import GS1Message
from biip.symbology import GS1Symbology
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain import gtin
from catalog.domain.lookup.elements import SEPARATOR, elements_of
from catalog.domain.lookup.scans import scan_of
from catalog.element_strings import first_element
from service.errors import Invalid
from tests.domain.shelf import read

pytestmark = pytest.mark.domain
ITEM = "09520000021467"
DIGITS = st.text("0123456789", min_size=7, max_size=13).filter(lambda text: len(text) in {7, 11, 12, 13})
LOTS = st.text("ABCDEFGHJKMNPRTUVWXYZ-", min_size=1, max_size=20)


@given(DIGITS)
def test_the_check_digit_is_the_one_that_biip_works_out(digits: str) -> None:
    assert gtin.check_digit(digits) == str(gs1_standard_check_digit(digits))


@given(DIGITS, st.data())
def test_every_wrong_digit_is_refused(digits: str, data: st.DataObject) -> None:
    """The one promise of the check digit: a single wrong digit never passes, wherever it stands."""
    code = digits + gtin.check_digit(digits)
    place = data.draw(st.integers(0, len(code) - 1))
    other = data.draw(st.sampled_from([digit for digit in "0123456789" if digit != code[place]]))
    misread = code[:place] + other + code[place + 1 :]
    with pytest.raises(Invalid) as refused:
        gtin.check_gtin(misread)
    assert refused.value.context["check_digit"] == str(gs1_standard_check_digit(misread[:-1]))
    with pytest.raises(Invalid):
        scan_of(f"]C101{misread.zfill(14)}", first_element)
    assert (scan_of(misread, first_element).item, scan_of(misread, first_element).wrong) == (None, misread)


@given(st.text("123456789", min_size=1, max_size=1), st.text("0123456789", min_size=12, max_size=12))
def test_a_pack_holds_the_item_of_its_digits(indicator: str, digits: str) -> None:
    pack, item = indicator + digits, "0" + digits
    held = gtin.item_in_pack(pack + str(gs1_standard_check_digit(pack)))
    assert held == item + str(gs1_standard_check_digit(item))


@pytest.mark.parametrize(
    "scanned",
    [
        f"01{ITEM}", f"]C101{ITEM}", f"]d201{ITEM}", f"]Q301{ITEM}", f"]e001{ITEM}", f"]J101{ITEM}", f"(01){ITEM}",
        f"(01) {ITEM}", f"(01){ITEM}(10)LOT 7", f"(17)260630(01){ITEM}", "]E09520000021467", f"]I1{ITEM}",
        "]E3952000002146712", "9520000021467", ITEM, "9 520000 021467", f"01{ITEM}17260630", f"]C11726063001{ITEM}",
        f"01{ITEM}10LOT7{SEPARATOR}17260630", f"]C1{SEPARATOR}01{ITEM}10LOT7{SEPARATOR}", f"10L{SEPARATOR}01{ITEM}",
        f"01{ITEM}10LOT", f"]d201{ITEM}17260630101234", f" ]d201{ITEM}10LOT{SEPARATOR}21X9 ",
    ],
)  # fmt: skip
def test_every_form_of_a_scan_gives_the_item_and_reads_all_of_it(scanned: str) -> None:
    scan = scan_of(scanned, first_element)
    assert (scan.item, scan.wrong, scan.notes) == (ITEM, None, ())


@pytest.mark.parametrize(
    ("scanned", "unread"),
    [
        (f"01{ITEM}10LOT721123", "10LOT721123"), (f"]C101{ITEM}10ABC17260630", "10ABC17260630"),
        (f"01{ITEM}10{'A' * 25}", "10AAA"), (f"]C101{ITEM}zz", "zz"),
    ],
)  # fmt: skip
def test_with_its_separator_lost_only_the_item_is_taken_and_that_is_said(scanned: str, unread: str) -> None:
    scan = scan_of(scanned, first_element)
    assert scan.item == ITEM
    assert scan.notes[0].startswith(f"Only the item number was taken: the rest, from '{unread}")


@pytest.mark.parametrize(
    "scanned", ["]C10109520000021468", "(01)09520000021468", "]E09520000021468", "]d20109520000021468" + "10LOT"]
)
def test_a_marked_scan_with_a_wrong_digit_is_refused_at_once(scanned: str) -> None:
    with pytest.raises(Invalid, match="check digit should be 7 and is 8"):
        read(scanned)


@pytest.mark.parametrize(
    ("scanned", "code"),
    [
        ("]C110LOT7", "scan_without_item"), ("]d2", "scan_without_item"), ("(01)9520000021467", "not_a_gtin"),
        ("]E01234", "not_a_gtin"), ("]E0ABC", "not_a_gtin"), ("(01)0952000002146X", "not_a_gtin"),
    ],
)  # fmt: skip
def test_a_scan_without_an_item_is_refused(scanned: str, code: str) -> None:
    with pytest.raises(Invalid) as refused:
        read(scanned)
    assert refused.value.code == code


RS, EOT = "\x1e", "\x04"
BOX = f"[)>{RS}06{SEPARATOR}PTB-77{SEPARATOR}1P0021-460{SEPARATOR}Q12{SEPARATOR}S4410{RS}{EOT}"


@pytest.mark.parametrize("scanned", [BOX, f"]d1{BOX}", BOX.removesuffix(EOT), f"{BOX}\r\n"])
def test_a_label_of_several_fields_gives_the_suppliers_number_and_says_the_quantity(scanned: str) -> None:
    """ISO/IEC 15434 format 06 and the identifiers of ANSI MH10.8.2, both from memory."""
    reading = read(scanned)
    assert (reading.attempts[0].number, reading.item) == ("0021-460", None)
    assert [note.rpartition(" (")[2] for note in reading.notes] == ["1P).", "Q)."]
    assert "12" in reading.notes[1]


def test_a_label_with_the_customers_number_alone_gives_that_and_one_of_elements_the_item() -> None:
    of_customer = read(f"[)>{RS}06{SEPARATOR}P0021-460{RS}{EOT}")
    assert (of_customer.attempts[0].number, len(of_customer.notes)) == ("0021-460", 1)
    assert scan_of(f"[)>{RS}05{SEPARATOR}01{ITEM}{SEPARATOR}10LOT7{RS}{EOT}", first_element).item == ITEM


@pytest.mark.parametrize(
    "scanned", ["[)>06P0021-460Q12", f"[)>{RS}06{SEPARATOR}Q12{RS}{EOT}", f"[)>{RS}12{SEPARATOR}PNR X{RS}{EOT}", "[)>"]
)
def test_a_label_of_which_no_number_can_be_read_for_certain_is_refused(scanned: str) -> None:
    """Where a scanner drops separators the number would run into what stands behind it."""
    with pytest.raises(Invalid) as refused:
        read(scanned)
    assert refused.value.code == "scan_without_number"


@pytest.mark.parametrize(
    "link",
    [
        f"https://example.org/01/{ITEM}", f"http://example.org/some/way/01/{ITEM}/10/LOT7?17=260630",
        f"]Q1https://example.org/01/{ITEM}?linkType=x",
    ],
)  # fmt: skip
def test_a_web_address_that_names_an_item_gives_the_item_as_biip_reads_it(link: str) -> None:
    theirs = GS1DigitalLinkURI.parse(link.removeprefix("]Q1")).element_strings[0]
    reading = read(link)
    assert (reading.item, reading.attempts) == (theirs.value, ())
    assert "web address" in reading.notes[0]


def test_another_web_address_names_none_and_a_wrong_digit_is_refused() -> None:
    assert read(f"https://example.org/parts/{ITEM}").item is None
    with pytest.raises(Invalid, match="check digit should be 7 and is 8"):
        read("https://example.org/01/09520000021468")


def test_a_marked_scan_is_no_part_number_and_an_unmarked_one_may_be() -> None:
    assert read(f"]C101{ITEM}").attempts == ()
    assert read(f"01{ITEM}").attempts[0].key == f"01{ITEM}"
    assert read("9520000021467").attempts[0].key == "9520000021467"
    assert read("0109520000021468").wrong == "09520000021468"


@pytest.mark.parametrize("typed", ["0112345678901234-5", "01123456789012345", "21-450", "0021-4601", "2145 0012"])
def test_a_number_that_only_begins_like_a_scan_is_a_number(typed: str) -> None:
    scan = scan_of(typed, first_element)
    assert (scan.item, scan.wrong) == (None, None)


def test_the_item_packed_inside_is_found_and_said_to_be_that() -> None:
    scan = scan_of(f"]C100{'3' * 18}02{ITEM}3712", first_element)
    assert scan.item == ITEM
    assert "packed inside" in scan.notes[0]


def test_the_marks_of_element_strings_are_those_that_biip_knows() -> None:
    for symbology in GS1Symbology.with_gs1_messages():
        assert scan_of(f"]{symbology.value}01{ITEM}", first_element).item == ITEM


@given(LOTS, LOTS, st.booleans())
def test_with_separators_all_is_read_as_biip_reads_it(lot: str, serial: str, ends: bool) -> None:
    scanned = f"01{ITEM}10{lot}{SEPARATOR}21{serial}{SEPARATOR if ends else ''}"
    ours = elements_of(scanned, first_element)
    theirs = GS1Message.parse(scanned).element_strings
    assert [(one.identifier, one.value) for one in ours.read] == [(one.ai.ai, one.value) for one in theirs]
    assert ours.unread == ""


@given(st.one_of(st.text(), st.text(f"0123456789AZ(){SEPARATOR}]")))
def test_whatever_is_scanned_is_read_or_refused(text: str) -> None:
    read_first = first_element(text)
    assert read_first is None or text.startswith(read_first.identifier + read_first.value)
    with suppress(Invalid):
        assert scan_of(text, first_element).data in text
