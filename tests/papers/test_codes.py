"""QR codes, rendered at the resolutions of a cheap and a usual printer and read back."""

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from service.errors import Invalid
from service.papers.drawing.pages import pdf_of
from service.papers.paper import Paper, QrCode
from service.papers.sizes import A4, LABEL_62_100, LABEL_100_150, Size
from tests.papers.reading import codes_on

pytestmark = pytest.mark.domain
DPI = (150, 300)
CHECK = "6d1f7a3e-8a55-4c5e-9d0c-0f2b3c4d5e6f"


def read(text: str, dpi: int, size: Size = A4) -> tuple[str, str]:
    (found,) = codes_on(pdf_of(Paper("Parts of Pump 3", (), size=size, corner=QrCode(text))), dpi=dpi)
    return found.format.name, found.bytes.decode()


@pytest.mark.parametrize("dpi", DPI)
@settings(max_examples=8)
@given(text=st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40))
@example(text="\u65e5\u672c")
def test_a_qr_code_is_read_back_in_any_script(dpi: int, text: str) -> None:
    assert read(text, dpi) == ("QRCode", text)


@pytest.mark.parametrize("dpi", DPI)
@pytest.mark.parametrize("size", [LABEL_62_100, LABEL_100_150], ids=lambda size: size.name)
def test_a_code_on_a_label_is_read_back(size: Size, dpi: int) -> None:
    assert read(CHECK, dpi, size) == ("QRCode", CHECK)


@pytest.mark.parametrize("text", ["", "x" * 1_001])
def test_a_qr_code_of_nothing_or_too_much_is_refused(text: str) -> None:
    with pytest.raises(Invalid, match="1 to 1000 bytes"):
        QrCode(text)
