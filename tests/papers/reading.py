"""Papers read back: their text, and the codes in their picture."""

from __future__ import annotations

import unicodedata
from contextlib import closing

import pypdfium2
import zxingcpp

from service.papers.drawing.pages import pdf_of
from service.papers.paper import Block, Paper
from service.papers.sizes import A4, Size

POINTS = 72  # to the inch


def paper_of(*blocks: Block, size: Size = A4, footer: str = "") -> Paper:
    return Paper("Parts of Pump 3", blocks, size=size, footer=footer)


def texts(pdf: bytes) -> tuple[str, ...]:
    """The text of each page, with spaces and compatibility forms evened out."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        return tuple(_text(page) for page in document)


def _text(page: pypdfium2.PdfPage) -> str:
    with closing(page.get_textpage()) as text:
        return " ".join(unicodedata.normalize("NFKC", text.get_text_range()).split())


def text_of(paper: Paper) -> str:
    return " ".join(texts(pdf_of(paper)))


def codes_on(pdf: bytes, *, dpi: int) -> list[zxingcpp.Barcode]:
    """The codes that a reader finds in the picture of the first page."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        picture = document[0].render(scale=dpi / POINTS, grayscale=True).to_numpy()
    return list(zxingcpp.read_barcodes(picture))


def ink_outside(pdf: bytes, size: Size) -> bool:
    """Whether anything is drawn nearer to an edge than half of the margin."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        for page in document:
            picture = page.render(scale=1, grayscale=True).to_numpy()
            edge = int(size.margin / 2 * POINTS / 25.4)
            rows, columns = picture.shape[:2]
            inside = picture.copy()
            inside[edge : rows - edge, edge : columns - edge] = 255
            if (inside < 250).any():
                return True
    return False
