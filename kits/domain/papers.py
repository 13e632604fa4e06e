"""What the papers of a kit say: what to take in the order of the shelves, in stock units and in packs, and the count.

Bin order, both units, substitutes flagged, codes of hoses and sealants, and the words of the count: common practice,
no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalog.domain.parts import PartKey
from kits.domain.containers import MICROLITRES
from kits.domain.kit_lines import Unit
from kits.domain.windows import Window
from service.errors import Invalid

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_RUNS = re.compile(r"(\d+)")
TO_FOLLOW = "to follow"
MOST_IN_COUNT = 2  # things that are told in one breath with the count; more of them are a list


@dataclass(frozen=True, slots=True)
class Pick:
    """Pieces, or containers, to take from one bin. An empty bin is none on record, a code of None none recorded."""

    bin: str
    quantity: int
    code: date | None = None


@dataclass(frozen=True, slots=True)
class Take:
    """One part that a line takes: `needed` pieces, or containers of `content` microlitres, and where they lie.

    `pack` is what suppliers pack it in; None is not known, or not the same for all. `coded` says that goods of this
    kind have a date code or lot to be written down. `promised` is the day by which all that is not there is promised;
    None is no promise. Raises Invalid where more is picked than is needed.
    """

    part: PartKey
    name: str
    needed: int
    picks: tuple[Pick, ...] = ()
    content: int | None = None
    pack: int | None = None
    coded: bool = False
    promised: date | None = None

    def __post_init__(self) -> None:
        if self.lacking < 0:
            raise Invalid(f"{' '.join(self.part)}: no more is picked than the line takes.", code="picked")

    @property
    def lacking(self) -> int:
        return self.needed - sum(pick.quantity for pick in self.picks)


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One line. `quantity` is in `unit`. A part or quantity of None is not known.

    `name` is what the part is called, or what is to go there where the part is not known. `shared` are containers on
    another line that this one is filled from too. `chosen_for` is the part of the plan that a person put this one in
    place of. `open` says in a few words why nothing is taken for it, `why` in whole ones, or why it follows.
    `held_back` says that it goes into no package before it is known how it ships.
    """

    part: PartKey | None
    name: str
    quantity: int | None
    unit: Unit = Unit.EACH
    takes: tuple[Take, ...] = ()
    shared: tuple[Take, ...] = ()
    chosen_for: PartKey | None = None
    open: str = ""
    why: str = ""
    held_back: bool = False

    @property
    def shown(self) -> str:
        return "part not known" if self.part is None else " ".join(self.part)

    @property
    def lacking(self) -> tuple[Take, ...]:
        return tuple(take for take in (*self.takes, *self.shared) if take.lacking)


@dataclass(frozen=True, slots=True)
class DangerousPackage:
    """Goods that go in a package of their own; `sheet` says that their safety sheet goes with this shipment."""

    un_number: str
    part: PartKey
    name: str
    quantity: int
    sheet: bool = False


@dataclass(frozen=True, slots=True)
class NotIn:
    """Goods that the plan names and the kit leaves out, or that lie on the shelf and are left there."""

    part: PartKey
    where: str
    why: str


@dataclass(frozen=True, slots=True)
class DueRange:
    """The days between which the work of a kit falls due; None cannot be told, and `questions` are what would tell.

    `untold` counts tasks of the kit whose days cannot be told, beside those of the window.
    """

    window: Window | None
    untold: int = 0
    questions: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        if self.window is None:
            return " ".join(("cannot be told.", *self.questions[:1])).removesuffix(".")
        untold = f"; cannot be told of {_counted(self.untold, 'task')}" if self.untold else ""
        return self.window.words + untold


@dataclass(frozen=True, slots=True)
class KitPaper:
    """All that the papers of one kit are written from.

    `job` is the work order's number, empty where there is none. `notice` says why nothing may be taken as things
    stand. `scan_code` is what the box is found by. `questions` are what must be known before all can be packed.
    """

    dealer: str
    number: int
    job: str
    machine: str
    serial: str
    service: str
    due: DueRange
    fitted_on: date
    lines: tuple[PaperLine, ...]
    scan_code: str
    notice: str = ""
    dangerous: tuple[DangerousPackage, ...] = ()
    questions: tuple[str, ...] = ()
    left_out: tuple[NotIn, ...] = ()
    passed_over: tuple[NotIn, ...] = ()

    @property
    def title(self) -> str:
        return f"Job {self.job}" if self.job else f"Kit {self.number}, no work order"

    @property
    def both_numbers(self) -> str:
        return f"{self.title}, kit {self.number}" if self.job else self.title


def windows_together(windows: Iterable[Window]) -> Window | None:
    """From when the first of it falls due to when the last may; None of no windows."""
    found = tuple(windows)
    if not found:
        return None
    earliest = [one.earliest for one in found if one.earliest is not None]
    latest = [one.latest for one in found if one.latest is not None]
    return Window(min(earliest, default=None), None, max(latest) if len(latest) == len(found) else None)


@dataclass(frozen=True, slots=True)
class Row:
    """One bin to go to, for one line."""

    line: PaperLine
    take: Take
    pick: Pick


def in_bin_order(lines: Iterable[PaperLine]) -> tuple[Row, ...]:
    """As one walks along the shelves: A-2 before A-10, in a bin the oldest code first; what has no bin comes last."""
    rows = (Row(line, take, pick) for line in lines for take in line.takes for pick in take.picks)
    return tuple(sorted(rows, key=_walking))


def _walking(row: Row) -> tuple[object, ...]:
    pick = row.pick
    return not pick.bin, _walked(pick.bin), row.take.part, pick.code or date.max, pick.quantity


def _walked(bin_: str) -> tuple[tuple[int, int, str], ...]:
    return tuple((0, int(run), run) if run.isdecimal() else (1, 0, run.casefold()) for run in _RUNS.split(bin_) if run)


def quantity_words(take: Take, quantity: int) -> str:
    """So much of a part, in stock units and in packs, as in `16 EA = 4 packs of 4`, or in containers, `2 x 5 L`."""
    if take.content is not None:
        return f"{quantity} x {_litres(take.content)} L"
    return f"{quantity} EA{_in_packs(quantity, take.pack)}"


def _in_packs(quantity: int, pack: int | None) -> str:
    if pack is None:
        return ", pack not known"
    if pack == 1:
        return ""
    packs, loose = divmod(quantity, pack)
    if not packs:
        return f" out of a pack of {pack}"
    whole = f" = {_counted(packs, 'pack')} of {pack}"
    return f"{whole} and {loose} EA" if loose else whole


def _litres(microlitres: int) -> str:
    return format((Decimal(microlitres) / MICROLITRES).normalize(), "f")


def _counted(count: int, thing: str) -> str:
    return f"{count} {thing}{'' if count == 1 else 's'}"


def need_words(line: PaperLine) -> str:
    """How much the work takes of a fluid, which is less than its containers hold; empty for pieces."""
    if line.unit is not Unit.MICROLITRE or line.quantity is None:
        return ""
    return f"{_litres(line.quantity)} L needed"


@dataclass(frozen=True, slots=True)
class NotThere:
    """Goods of a line that are not in the box, and why: `to follow 22 Apr`, `needs an approval`."""

    goods: str
    why: str

    @property
    def words(self) -> str:
        return f"{self.goods} {self.why}" if self.why.startswith(TO_FOLLOW) else f"{self.goods}: {self.why}"


def not_there(line: PaperLine, year: int) -> tuple[NotThere, ...]:
    """What of a line is not in the box; nothing where all of it is. A day is told without its year where that is it."""
    if line.open:
        return (NotThere(line.name, line.open),)
    following = tuple(
        NotThere(_lacking(line, take), f"{TO_FOLLOW}{_promised(take.promised, year)}") for take in line.lacking
    )
    if line.held_back and not following:
        return (NotThere(line.name, "held back, not known how it ships"),)
    return following


def _lacking(line: PaperLine, take: Take) -> str:
    name = line.name if len(line.takes) + len(line.shared) == 1 else take.name
    if take.lacking == take.needed:
        return name
    unit = "EA" if take.content is None else f"x {_litres(take.content)} L"
    return f"{take.lacking} of {take.needed} {unit} {name}"


def _promised(on: date | None, year: int) -> str:
    if on is None:
        return ", day not known"
    return f" {on.day} {_MONTHS[on.month - 1]}{'' if on.year == year else f' {on.year}'}"


def missing_from(paper: KitPaper) -> tuple[NotThere, ...]:
    """What is not in the box, line by line."""
    return tuple(one for line in paper.lines for one in not_there(line, paper.fitted_on.year))


def by_reason(missing: Iterable[NotThere]) -> tuple[str, ...]:
    """The same in as few words as do, the goods after what they have in common."""
    goods: dict[str, list[str]] = {}
    for one in missing:
        goods.setdefault(one.why, []).append(one.goods)
    return tuple(f"{why[:1].upper()}{why[1:]}: {', '.join(names)}" for why, names in goods.items())


def count_words(paper: KitPaper) -> str:
    """How many of the lines are in the box in full, and what is not: `11 of 12, PCV to follow 22 Apr`."""
    there = sum(not not_there(line, paper.fitted_on.year) for line in paper.lines)
    count = f"{there} of {len(paper.lines)}"
    missing = missing_from(paper)
    if len(missing) > MOST_IN_COUNT:
        return f"{count}, {len(paper.lines) - there} not in full"
    return ", ".join((count, *(one.words for one in missing)))
