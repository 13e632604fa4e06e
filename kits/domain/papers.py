"""What the papers of a kit say: the lines in the order of the shelves, amounts in stock units and in packs, the count.

Bin order, both units, substitutes flagged, codes of hoses and sealants, and the words of the count: common practice,
no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from catalog.domain.parts import PartKey
from kits.domain.containers import MICROLITRES
from kits.domain.kit_lines import Unit
from kits.domain.windows import Window
from service.errors import Invalid

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_RUNS = re.compile(r"(\d+)")


@dataclass(frozen=True, slots=True)
class Filling:
    """So many containers of one size, in microlitres."""

    count: int
    content: int


@dataclass(frozen=True, slots=True)
class Following:
    """What of a line is not in the box, in its unit, and the day it is promised for; None is no promise."""

    quantity: int
    on: date | None = None


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One line. `quantity` is in `unit`. What is None is not known: the part, how much of it, what its pack holds.

    `name` is what the part is called, or what is to go there where the part is not known.
    `containers` are what a fluid is taken from the shelf in. `instead_of` is the part that this one stands in for.
    `codes` are the date codes or lots taken, and `coded` says that goods of this kind have one to be written down.
    """

    part: PartKey | None
    name: str
    quantity: int | None
    bin: str = ""
    unit: Unit = Unit.EACH
    pack: int | None = None
    containers: tuple[Filling, ...] = ()
    instead_of: PartKey | None = None
    codes: tuple[str, ...] = ()
    coded: bool = False
    following: Following | None = None

    def __post_init__(self) -> None:
        short = self.following
        if short is not None and not 0 < short.quantity <= (self.quantity or short.quantity):
            raise Invalid(f"{self.shown}: no more can follow than the line has.", code="following")

    @property
    def shown(self) -> str:
        return "part not known" if self.part is None else " ".join(self.part)

    @property
    def known(self) -> bool:
        return self.part is not None and self.quantity is not None


@dataclass(frozen=True, slots=True)
class DangerousPackage:
    """Goods that go in a package of their own; `sheet` says that their safety sheet goes with this shipment."""

    un_number: str
    part: PartKey
    name: str
    quantity: int
    sheet: bool = False


@dataclass(frozen=True, slots=True)
class KitPaper:
    """All that the papers of one kit are written from.

    `due` is None where it cannot be forecast. `open_questions` are what must be known before the kit is complete.
    `scan_code` is what the box is found by.
    """

    dealer: str
    job: str
    machine: str
    serial: str
    level: str
    due: Window | None
    lines: tuple[PaperLine, ...]
    scan_code: str
    dangerous: tuple[DangerousPackage, ...] = ()
    open_questions: tuple[str, ...] = ()


def in_bin_order(lines: Iterable[PaperLine]) -> tuple[PaperLine, ...]:
    """As one walks along the shelves: A-2 before A-10; what has no bin on record comes last."""
    return tuple(sorted(lines, key=lambda line: (not line.bin, _walked(line.bin), line.part or ())))


def _walked(bin_: str) -> tuple[tuple[int, int, str], ...]:
    return tuple((0, int(run), run) if run.isdecimal() else (1, 0, run.casefold()) for run in _RUNS.split(bin_) if run)


def quantity_words(line: PaperLine) -> str:
    """What to take, in stock units and in packs, as in `16 EA = 4 packs of 4`, or in containers."""
    if line.quantity is None:
        return "quantity not known"
    fluid = line.unit is Unit.MICROLITRE
    taken = _in_containers(line.containers) if fluid else _in_packs(line.quantity, line.pack)
    return f"{_amount(line.quantity, line.unit)}{taken}"


def _in_packs(quantity: int, pack: int | None) -> str:
    if pack is None:
        return ", pack not recorded"
    if pack == 1:
        return ""
    packs, loose = divmod(quantity, pack)
    if not packs:
        return f" out of a pack of {pack}"
    whole = f" = {_counted(packs, 'pack')} of {pack}"
    return f"{whole} and {loose} EA" if loose else whole


def _in_containers(containers: tuple[Filling, ...]) -> str:
    if not containers:
        return ", containers not recorded"
    return " = " + " and ".join(f"{filling.count} x {_litres(filling.content)} L" for filling in containers)


def _litres(microlitres: int) -> str:
    return format((Decimal(microlitres) / MICROLITRES).normalize(), "f")


def _counted(count: int, thing: str) -> str:
    return f"{count} {thing}{'' if count == 1 else 's'}"


def take_words(line: PaperLine) -> str:
    """What to take from the shelf now, and what of the line follows."""
    short = line.following
    if line.part is None:
        return "nothing before the part is known"
    if short is None:
        return quantity_words(line)
    follows = f"{_amount(short.quantity, line.unit)} to follow{_promised(short)}"
    now = None if line.quantity is None else line.quantity - short.quantity
    if not now:
        return f"nothing now; {follows}"
    return f"{quantity_words(replace(line, quantity=now, following=None))}; {follows}"


def not_there_words(line: PaperLine) -> str:
    """What of a line is not in the box, by its name; empty where all of it is there."""
    short = line.following
    if not line.known:
        return f"{line.name}: {'part' if line.part is None else 'quantity'} not known"
    if short is None:
        return ""
    many = "" if short.quantity == line.quantity else f"{_part_of(short.quantity, line)} "
    return f"{many}{line.name} to follow{_promised(short)}"


def _part_of(quantity: int, line: PaperLine) -> str:
    return f"{_amount(quantity, line.unit)} of {_amount(line.quantity or 0, line.unit)}"


def _promised(short: Following) -> str:
    return ", day not known" if short.on is None else f" {short.on.day} {_MONTHS[short.on.month - 1]}"


def _amount(quantity: int, unit: Unit) -> str:
    return f"{_litres(quantity)} L" if unit is Unit.MICROLITRE else f"{quantity} EA"


def count_words(paper: KitPaper) -> str:
    """How many of the lines are in the box in full, and what is not: `11 of 12, PCV to follow 22 Apr`."""
    short = [words for words in map(not_there_words, paper.lines) if words]
    asked = len(paper.open_questions)
    open_ = [f"{_counted(asked, 'question')} open"] if asked else []
    return ", ".join((f"{len(paper.lines) - len(short)} of {len(paper.lines)}", *short, *open_))


def due_words(due: Window | None) -> str:
    return "not known: a meter reading is missing" if due is None else due.words
