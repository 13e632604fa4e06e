"""The papers of a kit: the list it is picked by, and the label of its box."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from kits.domain.papers import (
    MOST_IN_COUNT,
    DangerousPackage,
    KitPaper,
    NotIn,
    PaperLine,
    Row,
    by_reason,
    count_words,
    in_bin_order,
    missing_from,
    need_words,
    not_there,
    quantity_words,
)
from service.papers.paper import Banner, Block, Entries, Entry, Heading, Paper, Paragraph, QrCode, Ticks
from service.papers.sizes import A4, LABEL_100_150, Size
from service.papers.tables import Cell, Column, ColumnKind, Table

PICKED = (
    Column("Bin", ColumnKind.CODE, 4),
    Column("Part", ColumnKind.CODE, 7),
    Column("Name", share=10),
    Column("Take", share=11),
    Column("Date code", ColumnKind.CODE, 6),
    Column("Taken", ColumnKind.TICK, 4),
    Column("Short", ColumnKind.SPACE, 5),
)
PICKING_TEXT = 11  # points, to be read off a board held at arm's length
TO_WRITE_DOWN = "write down: ________"
DANGER = "\u26a0"


def pick_list(kit: KitPaper, size: Size = A4) -> Paper:
    return Paper(
        title=f"Pick list, {kit.title[:1].lower()}{kit.title[1:]}",
        subtitle=_below(kit),
        blocks=tuple(_picking(kit)),
        size=replace(size, text=PICKING_TEXT),
        footer=f"{kit.both_numbers}, serial {kit.serial or 'not known'}",
        corner=QrCode(kit.scan_code),
    )


def box_label(kit: KitPaper, size: Size = LABEL_100_150) -> Paper:
    return Paper(
        title=kit.title,
        subtitle=_below(kit),
        blocks=tuple(_labelling(kit)),
        size=size,
        footer=kit.both_numbers,
        corner=QrCode(kit.scan_code),
    )


def _below(kit: KitPaper) -> str:
    return f"{kit.dealer}\nKit {kit.number}" if kit.job else kit.dealer


def _picking(kit: KitPaper) -> Iterator[Block]:
    if kit.notice:
        yield Banner(DANGER, kit.notice)
    yield Entries((*_head(kit), Entry("To be fitted on", kit.fitted_on.isoformat())))
    rows = in_bin_order(kit.lines)
    marked = frozenset(place for place, row in enumerate(rows) if row.line.chosen_for is not None)
    yield Table(PICKED, tuple(map(_picked, rows)), marked)
    if kit.dangerous:
        yield Heading("In packages of their own: dangerous goods")
        yield Ticks(tuple(map(_package, kit.dangerous)))
    yield from _listed("Not in the box", _not_in_the_box(kit))
    yield from _listed("Left out of the kit", map(_not_in, kit.left_out))
    yield from _listed("Stays on the shelf", map(_not_in, kit.passed_over))
    yield from _listed("Still to be found out", kit.questions)
    yield Paragraph(count_words(kit), strong=True)
    yield Entries((Entry("Picked by, at", "________________________________________"),))


def _labelling(kit: KitPaper) -> Iterator[Block]:
    # What must be on the label that is stuck on comes first, however much there is to say.
    if kit.notice:
        yield Banner(DANGER, kit.notice)
    if kit.dangerous:
        numbers = ", ".join(dict.fromkeys(package.un_number for package in kit.dangerous))
        yield Banner(DANGER, f"Packed apart: {numbers}")
    yield Banner("", count_words(kit))
    yield Entries(_head(kit))
    missing = missing_from(kit)
    if len(missing) > MOST_IN_COUNT:
        yield from (Paragraph(words, listed=True) for words in by_reason(missing))
    yield from (Paragraph(question, listed=True) for question in kit.questions)


def _listed(heading: str, lines: Iterable[str]) -> Iterator[Block]:
    found = tuple(lines)
    if found:
        yield Heading(heading)
        yield from (Paragraph(line, listed=True) for line in found)


def _head(kit: KitPaper) -> tuple[Entry, ...]:
    return (
        Entry("Machine", kit.machine, strong=True),
        Entry("Serial", kit.serial or "not known", strong=True),
        Entry("Service", kit.service, strong=True),
        Entry("Due", kit.due.words),
    )


def _picked(row: Row) -> tuple[Cell, ...]:
    line, take, pick = row.line, row.take, row.pick
    needed = need_words(line)
    code = pick.code.isoformat() if pick.code else TO_WRITE_DOWN if take.coded else ""
    return (
        pick.bin or "not on record",
        " ".join(take.part),
        f"{take.name}{_in_place_of(line, row)}",
        quantity_words(take, pick.quantity) + (f", {needed}" if needed else ""),
        code,
        None,
        None,
    )


def _in_place_of(line: PaperLine, row: Row) -> str:
    """A person's choice is told from a number that the maker's own takes the place of."""
    if line.chosen_for is not None:
        return f", SUBSTITUTE for {' '.join(line.chosen_for)}"
    return "" if line.part in (None, row.take.part) else f", for {line.shown}"


def _not_in_the_box(kit: KitPaper) -> Iterator[str]:
    for line in kit.lines:
        told = "; ".join(one.words for one in not_there(line, kit.fitted_on.year))
        if told:
            yield f"{line.shown}, {told}{f'. {line.why}' if line.why else ''}"


def _not_in(entry: NotIn) -> str:
    where = f", {entry.where}" if entry.where else ""
    return f"{' '.join(entry.part)}{where}: {entry.why}"


def _package(package: DangerousPackage) -> str:
    sheet = "; its safety sheet goes with it" if package.sheet else ""
    return f"{package.un_number}: {package.quantity} of {' '.join(package.part)}, {package.name}{sheet}"
