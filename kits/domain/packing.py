"""Boxing a kit: hazardous goods in packages of their own, safety sheets, and what is never put in by default.

Own line, own box, own freight class for dangerous goods (common practice, no source). A safety sheet goes with a
customer's first shipment and with the first after each revision: 29 CFR 1910.1200(g) as read in OSHA letters of
1988-12-05 and 1994-09-28. No anti-seize on plugs: a gas-engine maker's plug note.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from catalog.domain.parts import PartKey
from service.errors import Invalid

_UN_NUMBER = re.compile(r"UN\d{4}", re.ASCII)


class TransportClass(StrEnum):
    """Whether goods are dangerous to ship. An article is a plain mechanical part, of which nobody asks."""

    ARTICLE = "article"
    NOT_DANGEROUS = "not_dangerous"  # its safety sheet says so
    DANGEROUS = "dangerous"
    UNKNOWN = "unknown"


class Nature(StrEnum):
    """What about goods decides whether a kit may hold them."""

    PLAIN = "plain"
    ANTI_SEIZE = "anti_seize"
    STARTING_SPRAY = "starting_spray"
    MEASURED_FIRST = "measured_first"  # shims, jets, thermostats by temperature
    LICENSED = "licensed"  # fitted by a person with a licence


@dataclass(frozen=True, slots=True)
class Goods:
    """One part as a parcel sees it. `sheet_revision` is that of the safety sheet in force; None is none recorded."""

    part: PartKey
    transport: TransportClass = TransportClass.ARTICLE
    un_number: str | None = None
    sheet_revision: str | None = None
    nature: Nature = Nature.PLAIN

    def __post_init__(self) -> None:
        if self.un_number is not None and not _UN_NUMBER.fullmatch(self.un_number):
            raise Invalid(
                f"{self.un_number!r} is no UN number; write UN and four digits, as in UN1950.", code="un_number"
            )

    @property
    def shown(self) -> str:
        return " ".join(self.part)


@dataclass(frozen=True, slots=True)
class Packed:
    goods: Goods
    quantity: int


@dataclass(frozen=True, slots=True)
class Package:
    """A box. One with a UN number holds dangerous goods of one part and nothing else."""

    lines: tuple[Packed, ...]
    un_number: str | None = None


@dataclass(frozen=True, slots=True)
class SheetSent:
    """A safety sheet that has gone to a customer."""

    customer: str
    part: PartKey
    revision: str


@dataclass(frozen=True, slots=True)
class Packing:
    """The boxes, the sheets to go with them, and the questions that hold goods back from any box."""

    packages: tuple[Package, ...]
    sheets: tuple[SheetSent, ...] = ()
    questions: tuple[str, ...] = ()
    held_back: tuple[Packed, ...] = ()


def keeps_out(
    nature: Nature, *, asked_for: bool = False, measured: bool = False, licensed: bool | None = None
) -> str | None:
    """Why a kit may not hold goods of that nature; None where it may, or where that is still to be asked.

    `asked_for` says that a person put them in, `measured` that what decides the size has been measured, `licensed`
    whether who fits them has the licence; None is not known.
    """
    if nature is Nature.LICENSED and licensed is False:
        return "it needs a licence to fit, and who fits it has none"
    if nature is Nature.STARTING_SPRAY:
        return "starting spray is never part of a kit"
    if nature is Nature.ANTI_SEIZE and not asked_for:
        return "anti-seize is never put in by default; plugs are fitted without"
    if nature is Nature.MEASURED_FIRST and not measured:
        return "its size must be measured on the engine first"
    return None


def sheet_due(goods: Goods, customer: str, sent: Iterable[SheetSent]) -> bool:
    """Whether this customer has not yet had the sheet in force with a shipment of this part."""
    revision = goods.sheet_revision
    return revision is not None and SheetSent(customer, goods.part, revision) not in set(sent)


def pack(lines: tuple[Packed, ...], customer: str, sent: Iterable[SheetSent] = ()) -> Packing:
    """The boxes for these lines. Goods whose class, UN number or sheet is not known go into none, and say so."""
    had = frozenset(sent)
    asked = [(line, question) for line in lines for question in _questions(line.goods)]
    held = tuple(line for line in lines if any(entry is line for entry, _ in asked))
    ready = [line for line in lines if not any(entry is line for entry in held)]
    plain = tuple(line for line in ready if line.goods.transport is not TransportClass.DANGEROUS)
    apart = _merged(line for line in ready if line.goods.transport is TransportClass.DANGEROUS)
    boxes = (Package(plain),) if plain else ()
    sheets = {
        SheetSent(customer, line.goods.part, line.goods.sheet_revision): None
        for line in ready
        if line.goods.sheet_revision is not None and sheet_due(line.goods, customer, had)
    }
    return Packing(
        (*boxes, *(Package((line,), line.goods.un_number) for line in apart)),
        tuple(sheets), tuple(dict.fromkeys(question for _, question in asked)), held,
    )  # fmt: skip


def _questions(goods: Goods) -> tuple[str, ...]:
    if goods.transport is TransportClass.UNKNOWN:
        return (f"Is {goods.shown} dangerous to ship, and under which UN number? Its safety sheet says, section 14.",)
    if goods.transport is not TransportClass.DANGEROUS:
        return ()
    questions = []
    if goods.un_number is None:
        questions.append(f"Which UN number does {goods.shown} ship under? Its safety sheet says, section 14.")
    if goods.sheet_revision is None:
        questions.append(f"Which revision of the safety sheet of {goods.shown} is in force?")
    return tuple(questions)


def _merged(lines: Iterable[Packed]) -> tuple[Packed, ...]:
    found: dict[Goods, int] = {}
    for line in lines:
        found[line.goods] = found.get(line.goods, 0) + line.quantity
    return tuple(Packed(goods, quantity) for goods, quantity in found.items())
