"""A paper as a plain value: what stands on it and in which order, and nothing of how it is drawn."""

from __future__ import annotations

from dataclasses import dataclass

from service.errors import Invalid
from service.papers.sizes import A4, Size
from service.papers.tables import Table

LONGEST_FOOTER = 300
MOST_IN_QR = 1_000  # bytes; a code of more cannot be read off paper with an ordinary reader


@dataclass(frozen=True, slots=True)
class Heading:
    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text; `listed` stands behind a dash, `strong` in heavy type."""

    text: str
    strong: bool = False
    listed: bool = False


@dataclass(frozen=True, slots=True)
class Entry:
    name: str
    value: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Entries:
    """Names with their values, a line each."""

    rows: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Banner:
    """What must be seen first, in a frame: a sign that is told by its shape, and a few words."""

    sign: str
    text: str


@dataclass(frozen=True, slots=True)
class Ticks:
    """Empty boxes to tick, each with its words."""

    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class QrCode:
    """A QR code of this text in UTF-8. Raises Invalid for more than it holds in a size that is read off paper."""

    text: str

    def __post_init__(self) -> None:
        if not 0 < len(self.text.encode()) <= MOST_IN_QR:
            raise Invalid(f"A QR code here holds 1 to {MOST_IN_QR} bytes; shorten its text.", code="not_for_qr")


Block = Heading | Paragraph | Entries | Banner | Ticks | Table


@dataclass(frozen=True, slots=True)
class Paper:
    """One paper. `corner` stands beside title and subtitle; the footer is on every page, with "Page 1 of 2".

    Raises Invalid for a footer that would leave little room.
    """

    title: str
    blocks: tuple[Block, ...]
    size: Size = A4
    subtitle: str = ""
    footer: str = ""
    corner: QrCode | None = None

    def __post_init__(self) -> None:
        if len(self.footer) > LONGEST_FOOTER:
            raise Invalid(f"A footer has at most {LONGEST_FOOTER} characters: it is on every page.", code="too_long")
