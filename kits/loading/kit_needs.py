"""What kits still want: each line with what it takes from the shelf, less what is kept or on its way for it already."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from django.db.models import Prefetch

from catalog.domain.answers import Verdict
from catalog.models import Part, Side, Status, Supersession, SupersessionMember
from kits.domain.kit_lines import Unit
from kits.domain.kit_settling import SETTLED
from kits.models import Allocation, Kit, KitLine, KitUse, Reservation, ReservationState


@dataclass(frozen=True, slots=True)
class WantedUse:
    """`quantity` pieces, or containers of `content` microlitres, that neither the shelf nor an order has for it yet."""

    id: int
    part: Part
    content: int | None
    quantity: int


@dataclass(frozen=True, slots=True)
class WantedLine:
    """A line of a kit. `volume` is the microlitres of a fluid still wanted; None for what is counted, or not known.

    The containers of a fluid stand on the first of its lines in a kit, and so does what all of these want.
    `alternatives` are ids of the parts that the line or its check names as alternatives and that were accepted then.
    """

    kit: Kit
    row: KitLine
    uses: tuple[WantedUse, ...]
    volume: int | None
    alternatives: tuple[int, ...]

    @property
    def settled(self) -> bool:
        return self.row.state in SETTLED

    @property
    def unknown_containers(self) -> bool:
        """A settled fluid of which nobody knows in which containers it is sold."""
        return self.settled and bool(self.volume) and not self.uses


def kits_named(rows: Any, ids: Iterable[UUID]) -> tuple[Kit, ...]:
    """The kits of that queryset with what plans show of them, by their numbers; one statement."""
    found = rows.filter(pk__in=list(ids)).select_related("machine", "work_order", "branch")
    return tuple(found.order_by("number"))


def wanted_lines(kits: Sequence[Kit], *, apart_from: UUID | None = None) -> tuple[WantedLine, ...]:
    """Of all these kits, in four statements. What was ordered by the plan `apart_from` counts as not ordered."""
    by_id = {kit.pk: kit for kit in kits}
    held = Reservation.objects.exclude(state=ReservationState.RELEASED).select_related("batch__item")
    meant = Allocation.objects.select_related("line")
    if apart_from is not None:
        meant = meant.exclude(line__order__plan=apart_from)
    uses = KitUse.objects.select_related("part__maker").prefetch_related(
        Prefetch("reservations", held), Prefetch("allocations", meant)
    )
    rows = KitLine.objects.filter(kit__in=by_id).select_related("part__maker", "check_made")
    rows = rows.prefetch_related(Prefetch("uses", uses)).order_by("kit__number", "line")
    return _together([_wanted(by_id[row.kit_id], row) for row in rows])


def earlier_numbers(parts: Iterable[int]) -> dict[int, frozenset[int]]:
    """Numbers that by some statement may be used up in place of these, by id; whether they may here a check says.

    One statement for each step of the longest chain, and one that finds no more.
    """
    found: dict[int, set[int]] = {part: set() for part in parts}
    leading = {part: {part} for part in found}  # by number: those of the parts that it leads to
    while leading:
        onward: dict[int, set[int]] = {}
        for old_numbers, new_numbers in _both_ways_to(leading):
            asked = {part for number in new_numbers for part in leading.get(number, ())}
            for old in old_numbers:
                first = {part for part in asked if old != part and old not in found[part]}
                for part in first:
                    found[part].add(old)
                if first:
                    onward.setdefault(old, set()).update(first)
        leading = onward
    return {part: frozenset(old) for part, old in found.items()}


def _both_ways_to(numbers: Collection[int]) -> list[tuple[set[int], set[int]]]:
    """The old and the new numbers of each replacement of something by one of these."""
    steps = Supersession.objects.filter(
        both_ways=True, status=Status.ACTIVE, members__side=Side.NEW, members__part__in=numbers
    )
    rows = SupersessionMember.objects.filter(supersession__in=steps.values("pk"))
    sides: dict[int, tuple[set[int], set[int]]] = {}
    for step, side, part in rows.values_list("supersession_id", "side", "part_id"):
        sides.setdefault(step, (set(), set()))[side == Side.NEW].add(part)
    return list(sides.values())


def _wanted(kit: Kit, row: KitLine) -> WantedLine:
    uses = tuple(
        WantedUse(use.pk, use.part, use.content, max(0, use.quantity - _covered(use))) for use in row.uses.all()
    )
    volume = None
    if row.unit == Unit.MICROLITRE and row.quantity is not None:
        volume = max(0, row.quantity - sum(_covered_volume(use) for use in row.uses.all()))
    return WantedLine(kit, row, uses, volume, _alternatives(row))


def _together(lines: Sequence[WantedLine]) -> tuple[WantedLine, ...]:
    """Each fluid of a kit wanted by the line that has its containers, where any has."""
    first: dict[tuple[UUID, int | None], int] = {
        (line.kit.pk, line.uses[0].part.pk): line.row.pk for line in lines if _is_fluid(line) and line.uses
    }
    more: dict[int, int] = {}
    for line in lines:
        at = first.get((line.kit.pk, _fluid(line.row)))
        if _is_fluid(line) and not line.uses and at is not None:
            more[at] = more.get(at, 0) + (line.row.quantity or 0)
            more[line.row.pk] = -(line.row.quantity or 0)
    return tuple(_with_more(line, more[line.row.pk]) if line.row.pk in more else line for line in lines)


def _with_more(line: WantedLine, microlitres: int) -> WantedLine:
    covered = sum(_covered_volume(use) for use in line.row.uses.all())
    return replace(line, volume=max(0, (line.row.quantity or 0) + microlitres - covered))


def _is_fluid(line: WantedLine) -> bool:
    return line.settled and line.row.unit == Unit.MICROLITRE


def _fluid(row: KitLine) -> int | None:
    """The part that its check says to use, by id, which need not be the one named."""
    if row.check_made is None:
        return row.part_id
    used: int = json.loads(row.check_made.answer)["use"][0]["part"]["id"]
    return used


def _alternatives(row: KitLine) -> tuple[int, ...]:
    told = list(row.alternatives)
    if row.check_made is not None:
        told += json.loads(row.check_made.answer)["alternatives"]
    accepted = (entry["part"].get("id") for entry in told if entry["verdict"] == Verdict.ACCEPTED)
    return tuple(dict.fromkeys(number for number in accepted if number is not None))


def _covered(use: KitUse) -> int:
    kept = sum(entry.quantity for entry in use.reservations.all())
    return kept + sum(entry.open for entry in use.allocations.all())


def _covered_volume(use: KitUse) -> int:
    kept = sum(entry.quantity * (entry.batch.item.content or 0) for entry in use.reservations.all())
    coming = (entry.open * (entry.line.content or 0) + (entry.volume or 0) for entry in use.allocations.all())
    return kept + sum(coming)
