"""The papers of a kit: the list it is picked by, and the label of its box."""

from __future__ import annotations

from collections.abc import Iterator

from kits.domain.papers import (
    DangerousPackage,
    KitPaper,
    PaperLine,
    count_words,
    due_words,
    in_bin_order,
    take_words,
)
from service.papers.paper import Banner, Barcode, Block, Entries, Entry, Heading, Paper, Paragraph, QrCode, Ticks
from service.papers.sizes import A4, LABEL_100_150, Size
from service.papers.tables import Cell, Column, ColumnKind, Table

PICKED = (
    Column("Bin", ColumnKind.CODE, 4),
    Column("Part", ColumnKind.CODE, 7),
    Column("Name", share=11),
    Column("Take", share=9),
    Column("Date code or lot", ColumnKind.CODE, 7),
    Column("Taken", ColumnKind.TICK, 4),
    Column("Short", ColumnKind.SPACE, 5),
)
TO_WRITE_DOWN = "write down: ________"


def pick_list(kit: KitPaper, size: Size = A4) -> Paper:
    return Paper(
        title=f"Pick list, job {kit.job}",
        subtitle=kit.dealer,
        blocks=tuple(_picking(kit)),
        size=size,
        footer=f"Job {kit.job}, serial {kit.serial or 'not known'}",
        corner=QrCode(kit.scan_code),
    )


def box_label(kit: KitPaper, size: Size = LABEL_100_150) -> Paper:
    return Paper(
        title=f"Job {kit.job}",
        subtitle=kit.dealer,
        blocks=tuple(_labelling(kit)),
        size=size,
        footer=f"Job {kit.job}",
    )


def _picking(kit: KitPaper) -> Iterator[Block]:
    yield Entries(_head(kit))
    lines = in_bin_order(kit.lines)
    marked = frozenset(place for place, line in enumerate(lines) if line.instead_of is not None)
    yield Table(PICKED, tuple(_picked(line) for line in lines), marked)
    if kit.dangerous:
        yield Heading("In packages of their own")
        yield Ticks(tuple(_package(package) for package in kit.dangerous))
    if kit.open_questions:
        yield Heading("Still to be found out")
        yield from (Paragraph(question, listed=True) for question in kit.open_questions)
    yield Paragraph(count_words(kit), strong=True)
    yield Entries((Entry("Picked by, at", "________________________________________"),))


def _labelling(kit: KitPaper) -> Iterator[Block]:
    # First, so that it is on the label that is stuck on, however much there is to say.
    yield Barcode(kit.scan_code) if kit.scan_code.isascii() else QrCode(kit.scan_code)
    yield Entries(_head(kit))
    yield Banner("", count_words(kit))
    for question in kit.open_questions:
        yield Paragraph(question, listed=True)
    if kit.dangerous:
        numbers = ", ".join(dict.fromkeys(package.un_number for package in kit.dangerous))
        yield Banner("\u26a0", f"Packed apart: {numbers}")


def _head(kit: KitPaper) -> tuple[Entry, ...]:
    return (
        Entry("Machine", kit.machine, strong=True),
        Entry("Serial", kit.serial or "not known"),
        Entry("Service", kit.level, strong=True),
        Entry("Due", due_words(kit.due)),
    )


def _picked(line: PaperLine) -> tuple[Cell, ...]:
    flagged = "" if line.instead_of is None else f"SUBSTITUTE for {' '.join(line.instead_of)}: "
    codes = ", ".join(line.codes) or (TO_WRITE_DOWN if line.coded else "")
    return (
        line.bin or "not on record",
        line.shown,
        f"{flagged}{line.name}",
        take_words(line),
        codes,
        None,
        None,
    )


def _package(package: DangerousPackage) -> str:
    sheet = "; its safety sheet goes with it" if package.sheet else ""
    return f"{package.un_number}: {package.quantity} of {' '.join(package.part)}, {package.name}{sheet}"
