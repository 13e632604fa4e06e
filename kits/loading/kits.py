"""A kit with all its rows, in a number of statements that does not grow with its lines."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import cache, lru_cache
from uuid import UUID

from django.db.models import QuerySet

from catalog.loading.written import STATEMENTS_KEPT, Written, written
from catalog.models import Maker, Part
from kits.models import Kit, KitEvent, KitLine, KitUse, Reservation
from service.operations.models import Dealer

RELATED = (
    "dealer", "branch", "machine__customer", "machine__specification", "work_order", "plan", "rulebook",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class LoadedLine:
    """A line with what it takes, and of each use the reservations that were ever made."""

    row: KitLine
    uses: tuple[tuple[KitUse, tuple[Reservation, ...]], ...]


@dataclass(frozen=True, slots=True)
class LoadedKit:
    row: Kit
    lines: tuple[LoadedLine, ...]
    events: tuple[KitEvent, ...]


def kits_of(dealer: Dealer) -> QuerySet[Kit]:
    return Kit.objects.visible_to(dealer).select_related(*RELATED).defer("rulebook__document")


def kit_rows(dealer: Dealer, number: UUID) -> LoadedKit | None:
    """The kit with its lines; none where there is none, or where it is another dealer's."""
    row = kits_of(dealer).filter(pk=number).first()
    return None if row is None else with_lines(row)


def with_lines(row: Kit) -> LoadedKit:
    """Four statements."""
    lines = list(
        KitLine.objects.filter(kit=row)
        .select_related("part__maker", "check_made")
        .defer("part__facts", "check_made__facts", "check_made__question")
    )
    reservations: dict[int, list[Reservation]] = {}
    for kept in Reservation.objects.filter(use__line__kit=row).select_related("batch"):
        reservations.setdefault(kept.use_id, []).append(kept)
    rows = {line.pk: line for line in lines}
    uses: dict[int, list[tuple[KitUse, tuple[Reservation, ...]]]] = {}
    for use in KitUse.objects.filter(line__kit=row).select_related("part__maker").defer("part__facts"):
        use.line = rows[use.line_id]
        uses.setdefault(use.line_id, []).append((use, tuple(reservations.get(use.pk, ()))))
    events = tuple(KitEvent.objects.filter(kit=row))
    return LoadedKit(row, tuple(LoadedLine(line, tuple(uses.get(line.pk, ()))) for line in lines), events)


def last_number(dealer: Dealer) -> int:
    """Of this dealer's kits the highest number, 0 before the first; one statement."""
    ((highest,),) = _last_number().rows(dealer.pk) or ((0,),)
    return int(highest)


@cache
def _last_number() -> Written:
    return written(Kit.objects.filter(dealer=UUID(int=0)).order_by("-number").values_list("number")[:1], 1)


def parts_shown(ids: Collection[int]) -> dict[int, Part]:
    """Parts as far as a kit shows and packs them, by id, with their makers; one statement, or none."""
    if not ids:
        return {}
    return {
        pk: Part(pk, number=number, name=name, category=category, supplied_as=supplied, maker=Maker(maker, code))
        for pk, number, name, category, supplied, maker, code in _parts(len(ids)).rows(*sorted(ids))
    }


@lru_cache(maxsize=STATEMENTS_KEPT)
def _parts(parts: int) -> Written:
    columns = ("pk", "number", "name", "category", "supplied_as", "maker", "maker__code")
    return written(Part.objects.filter(pk__in=range(parts)).values_list(*columns), parts)
