"""The cast of the tests about numbers that replace numbers: those of the shop, and a few more. All invented."""

from __future__ import annotations

from itertools import count
from typing import Any

from catalog.domain.applicability import Applicability, Application, Where, located
from catalog.domain.resolving import Resolved, resolve
from catalog.domain.serials import Serial, SerialRange
from catalog.domain.supersession_chains import Chains, Counted, InCatalogue, Numbered, Supersession
from catalog.domain.supersessions import SupersessionKind

_ids = count(1)
PLAIN = ("",)  # the blocks of a maker who uses no prefix


def number(text: str, standing: InCatalogue = InCatalogue.LIVE) -> Numbered:
    maker, _, printed = text.partition(" ")
    return Numbered(next(_ids), maker, printed, standing)


OIL_440, OIL_450, OIL_460 = (number(f"VRD 0021-4{end}") for end in ("40", "50", "60"))
SEAL_1, SEAL_2, SEAL = number("OLM 8812-1"), number("OLM 8812-2"), number("OLM 8815")
GASKET, RING, WASHER = number("OLM 7701"), number("OLM 7702"), number("OLM 7703")
KIT_2200, KIT_2300 = number("TSK R-2200K"), number("TSK R-2300K")
LOOP_1, LOOP_2 = number("VRD 3300-1"), number("VRD 3300-2")
CASE, COVER, HOUSING = number("TSK 50-1"), number("TSK 50-2"), number("TSK 51")

_steps = count(1)
Side = Numbered | Counted


def counted(side: Side) -> Counted:
    return side if isinstance(side, Counted) else Counted(side)


def says(kind: SupersessionKind, old: tuple[Side, ...], new: tuple[Side, ...], **more: Any) -> Supersession:
    """A supersession; facets of its applicability are given beside `both_ways`."""
    both_ways = more.pop("both_ways", False)
    sides = tuple(map(counted, old)), tuple(map(counted, new))
    return Supersession(next(_steps), kind, *sides, both_ways, Applicability(**more))


def one(old: Numbered, new: Numbered, **more: Any) -> Supersession:
    return says(SupersessionKind.ONE_FOR_ONE, (old,), (new,), **more)


def a_set(old: Side, *new: Side, **more: Any) -> Supersession:
    return says(SupersessionKind.SET, (old,), new, **more)


def together(old: tuple[Side, ...], *new: Side, **more: Any) -> Supersession:
    return says(SupersessionKind.TOGETHER, old, new, **more)


def gone(old: Numbered, **more: Any) -> Supersession:
    return says(SupersessionKind.DISCONTINUED, (old,), (), **more)


def up_to(last: int) -> tuple[SerialRange, ...]:
    return (SerialRange(None, last),)


def since(first: int) -> tuple[SerialRange, ...]:
    return (SerialRange(first),)


OIL = (
    one(OIL_440, OIL_450),
    one(OIL_450, OIL_460, both_ways=True, serials=up_to(119999)),
    one(OIL_450, OIL_460, serials=since(120000)),
)
SEALS = (says(SupersessionKind.ONE_FOR_ONE, (SEAL_1, SEAL_2), (SEAL,)),)
GASKETS = (a_set(GASKET, Counted(RING, 2), Counted(WASHER, 4)),)
KITS = (one(KIT_2200, KIT_2300, serials=since(61500)),)
LOOP = (one(LOOP_1, LOOP_2), one(LOOP_2, LOOP_1))
HOUSINGS = (together((CASE, COVER), HOUSING),)
DEMO = (*OIL, *SEALS, *GASKETS, *KITS, *LOOP)


def engine(serial: int | None = None, *, prefix: str = "", **more: Any) -> Where:
    known = None if serial is None else Serial(prefix, serial)
    return located(Application(specification="E", serial=known, **more), {})


def ask(
    statements: tuple[Supersession, ...],
    *lines: Side,
    on: Where | None = None,
    blocks: tuple[str, ...] | None = PLAIN,
) -> tuple[Resolved, ...]:
    return resolve(Chains.of(statements), [counted(line) for line in lines], on or engine(1), blocks=blocks)


def ask_one(
    statements: tuple[Supersession, ...],
    line: Side,
    *,
    on: Where | None = None,
    blocks: tuple[str, ...] | None = PLAIN,
) -> Resolved:
    (found,) = ask(statements, line, on=on, blocks=blocks)
    return found


def used(line: Resolved) -> dict[str, int]:
    return {entry.part.shown: entry.quantity for entry in line.use}


def facts(line: Resolved) -> list[str]:
    return [fact.name for fact in line.missing]
