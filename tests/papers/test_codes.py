"""Bar codes and QR codes, rendered at the resolutions of a cheap and a usual printer and read back."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import Invalid
from service.papers.drawing.pages import pdf_of
from service.papers.paper import Barcode, QrCode
from service.papers.sizes import A4, LABEL_62_100, LABEL_100_150, Size
from tests.papers.reading import codes_on, paper_of

pytestmark = pytest.mark.domain
DPI = (150, 300)
CHECK = "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5e6f"


def read(block: Barcode | QrCode, dpi: int, size: Size = A4) -> tuple[str, bytes]:
    (found,) = codes_on(pdf_of(paper_of(block, size=size)), dpi=dpi, below=0.6 if size is A4 else 0)
    return found.format.name, found.bytes


@pytest.mark.parametrize("dpi", DPI)
@pytest.mark.parametrize("text", ["TBPS-K-1042", "0021-460", "00000012", "a", CHECK])
def test_a_bar_code_is_read_back(text: str, dpi: int) -> None:
    assert read(Barcode(text), dpi) == ("Code128", text.encode())


@pytest.mark.parametrize("dpi", DPI)
@settings(max_examples=10)
@given(text=st.text(st.characters(max_codepoint=127), min_size=1, max_size=20))
def test_every_character_that_code_128_allows_is_read_back(dpi: int, text: str) -> None:
    assert read(Barcode(text), dpi) == ("Code128", text.encode())


@pytest.mark.parametrize("dpi", DPI)
@settings(max_examples=8)
@given(text=st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40))
def test_a_qr_code_is_read_back_in_any_script(dpi: int, text: str) -> None:
    name, found = read(QrCode(text), dpi)
    assert (name, found.decode()) == ("QRCode", text)


@pytest.mark.parametrize("dpi", DPI)
@pytest.mark.parametrize("size", [LABEL_62_100, LABEL_100_150], ids=lambda size: size.name)
def test_bars_too_fine_for_a_label_are_a_qr_code_instead(size: Size, dpi: int) -> None:
    assert read(Barcode(CHECK), dpi, size) == ("QRCode", CHECK.encode())
    assert read(Barcode("TBPS-K-1042"), dpi, size) == ("Code128", b"TBPS-K-1042")


@pytest.mark.parametrize("text", ["", "Насос", "caf\u00e9"])
def test_what_code_128_cannot_hold_is_refused(text: str) -> None:
    with pytest.raises(Invalid, match="Code 128"):
        Barcode(text)


@pytest.mark.parametrize("text", ["", "x" * 1_001])
def test_a_qr_code_of_nothing_or_too_much_is_refused(text: str) -> None:
    with pytest.raises(Invalid, match="1 to 1000 bytes"):
        QrCode(text)
