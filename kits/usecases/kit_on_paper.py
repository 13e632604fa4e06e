"""A kit read with all that its papers say, in a number of statements that does not grow with its lines."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from typing import Any

from catalog.domain.parts import PartKey
from catalog.models import Part
from kits.domain.kit_lines import Unit
from kits.domain.kit_settling import LineState
from kits.domain.kit_steps import ENDED, KitState
from kits.domain.papers import DangerousPackage, KitPaper, NotIn, PaperLine, Pick, Take
from kits.domain.stock import PassedOver, still_promised, take
from kits.loading import plan_read
from kits.loading.kit_supply import KitShelf, kit_shelves
from kits.loading.kits import LoadedKit, LoadedLine
from kits.loading.stock import PartSize, prices
from kits.models import Allocation, Kit, KitLine, KitUse, Reservation, ReservationState
from kits.usecases.kit_approvals import as_it_stands
from kits.usecases.kit_documents import settled
from kits.usecases.kit_due_range import due_range
from kits.usecases.kit_packing import packing_document, packing_of

NOTICES = {
    KitState.BUILT: "Nothing is reserved yet: take nothing",
    KitState.NEEDS_REVIEW: "To be reviewed: take nothing more",
    KitState.CANCELLED: "Cancelled: take nothing",
}
OPEN = {
    LineState.NEEDS_APPROVAL: "needs an approval",
    LineState.REJECTED: "its check says do not use",
    LineState.UNDETERMINED: "cannot tell yet whether it fits",
    LineState.NOT_CHECKED: "not checked yet",
}
LEFT_ON_THE_SHELF = {
    PassedOver.EXPIRED: "too old for the day it is to be fitted",
    PassedOver.NO_DATE_CODE: "it ages, and has no date code",
    PassedOver.AGE_NOT_KNOWN: "until when it is good is not recorded",
}
# Of which a date code or lot is written down though nobody has said that they age (common practice, no source).
HOSES = frozenset({"fuel_hose", "coolant_hose", "hose_not_for_fuel"})
MOST_TASKS = 3  # named on a paper; of more it says how many


def kit_on_paper(loaded: LoadedKit, now: datetime) -> KitPaper:
    loaded = as_it_stands(loaded, now)
    kit, order = loaded.row, loaded.row.work_order
    shelf = _Shelf(loaded, kit.branch.today(now))
    packing = kit.packing or packing_document(packing_of(kit, shelf.packed))
    held_back = {_key(one["part"]) for one in packing["held_back"]}
    return KitPaper(
        dealer=kit.dealer.name,
        number=kit.number,
        job="" if order is None else order.number,
        machine=kit.machine.name,
        serial=kit.machine.serial,
        service=_service(kit),
        due=due_range(kit),
        fitted_on=kit.fitted_on,
        lines=tuple(_line(line, shelf, held_back) for line in loaded.lines),
        scan_code=str(kit.pk),
        notice=NOTICES.get(KitState(kit.state), ""),
        dangerous=tuple(_dangerous(packing, shelf.names)),
        questions=tuple(packing["questions"]),
        left_out=tuple(map(_left_out, kit.left_out)),
        passed_over=() if kit.state in ENDED else tuple(shelf.passed_over()),
    )


@dataclass(frozen=True)
class _Shelf:
    """What the branch has of the kit's parts, and what is on its way for it."""

    loaded: LoadedKit
    today: date

    @cached_property
    def reviewed(self) -> Mapping[int | None, list[str]]:
        """What a review found to have changed, by line; under None what is about all of them."""
        found: dict[int | None, list[str]] = {}
        for entry in self.loaded.row.review:
            found.setdefault(entry["line"], []).extend(entry["words"])
        return found

    @cached_property
    def parts(self) -> dict[int, Part]:
        return {use.part_id: use.part for line in self.loaded.lines for use, _ in line.uses}

    @property
    def names(self) -> dict[PartKey, str]:
        return {_of(part): _called(part) for part in self.parts.values()}

    @cached_property
    def takes(self) -> dict[int, tuple[Take, ...]]:
        """What each line takes, by its number; nothing is picked for one that is open."""
        return {
            line.row.line: tuple(self._take(line, use, kept) for use, kept in line.uses) for line in self.loaded.lines
        }

    @property
    def packed(self) -> Iterator[tuple[KitUse, int]]:
        for line in self.loaded.lines:
            for (use, _), one in zip(line.uses, self.takes[line.row.line], strict=True):
                yield use, one.needed - one.lacking

    def shared(self, row: KitLine) -> tuple[Take, ...]:
        """The containers on the first line of a fluid, for another line that is filled from them."""
        answer = None if row.check_made is None else json.loads(row.check_made.answer)
        fluid = row.part_id if answer is None else answer["use"][0]["part"]["id"]
        for line in self.loaded.lines:
            if any(use.part_id == fluid and use.content is not None for use, _ in line.uses):
                return self.takes[line.row.line]
        return ()

    def changed(self, row: KitLine) -> tuple[str, ...]:
        return (*self.reviewed.get(None, ()), *self.reviewed.get(row.line, ()))

    def passed_over(self) -> Iterator[NotIn]:
        for (part, _), shelf in self._shelves.items():
            for one in take(shelf.item, 0, self.loaded.row.fitted_on).passed_over:
                where = f"{one.quantity} in {one.bin}" if one.bin else f"{one.quantity} in no bin on record"
                yield NotIn(_of(self.parts[part]), where, LEFT_ON_THE_SHELF[one.why])

    def _take(self, line: LoadedLine, use: KitUse, kept: Sequence[Reservation]) -> Take:
        size = (use.part_id, use.content)
        shelf, row = self._shelves.get(size), line.row
        nothing = not settled(row) or self.changed(row)
        held = () if nothing else tuple(one for one in kept if one.state == self._state)
        lacking = use.quantity - sum(one.quantity for one in held)
        packs = self._packs.get(size, frozenset())
        return Take(
            part=_of(use.part),
            name=_called(use.part),
            needed=use.quantity,
            picks=tuple(Pick(one.batch.bin, one.quantity, one.batch.date_code) for one in held),
            content=use.content,
            pack=next(iter(packs)) if len(packs) == 1 else None,
            coded=use.part.category in HOSES or (shelf is not None and shelf.item.ages),
            promised=self._promised(use, lacking) if lacking else None,
        )

    @property
    def _state(self) -> ReservationState:
        return ReservationState.TAKEN if self.loaded.row.state == KitState.FULFILLED else ReservationState.HELD

    @cached_property
    def _shelves(self) -> dict[PartSize, KitShelf]:
        return kit_shelves(self.loaded.row.branch, self.parts, self.today)

    @cached_property
    def _packs(self) -> dict[PartSize, frozenset[int]]:
        found: dict[PartSize, frozenset[int]] = {}
        for price in prices(self.loaded.row.dealer, sorted(self.parts)):
            size = (price.part_id, price.content)
            found[size] = found.get(size, frozenset()) | {price.pack}
        return found

    @cached_property
    def _on_their_way(self) -> dict[int, list[Allocation]]:
        found: dict[int, list[Allocation]] = {}
        rows = Allocation.objects.filter(use__line__kit=self.loaded.row, line__incoming__isnull=False)
        for row in rows.select_related("line__incoming").order_by("pk"):
            if row.open or row.volume:
                found.setdefault(row.use_id, []).append(row)
        return found

    def _promised(self, use: KitUse, lacking: int) -> date | None:
        """The day by which all that is lacking of a use is promised; None where some of it is not, or is late."""
        rows = self._on_their_way.get(use.pk, [])
        days = [_latest(row, self.today) for row in rows]
        last = max((day for day in days if day is not None), default=None)
        return last if None not in days and self._covered(use, lacking, rows) else None

    def _covered(self, use: KitUse, lacking: int, rows: Iterable[Allocation]) -> bool:
        """Shared containers are meant for a kit by what its work needs, which is less than whole ones of its own."""
        pieces, volume = sum(row.open for row in rows), sum(row.volume or 0 for row in rows)
        if use.content is None or not volume:
            return pieces >= lacking
        there = (use.quantity - lacking) * use.content
        fluid = sum(
            line.row.quantity or 0
            for line in self.loaded.lines
            if line.row.unit == Unit.MICROLITRE and line.row.part_id == use.line.part_id
        )
        return pieces * use.content + volume >= min(lacking * use.content, fluid - there)


def _latest(row: Allocation, today: date) -> date | None:
    incoming = row.line.incoming
    return None if incoming is None else still_promised(incoming.promised_latest, today)


def _line(line: LoadedLine, shelf: _Shelf, held_back: set[PartKey]) -> PaperLine:
    row, takes = line.row, shelf.takes[line.row.line]
    filled = settled(row) and not takes and not row.missing
    shared = shelf.shared(row) if filled else ()
    short, why = _open(row, shelf.changed(row), (*takes, *shared), KitState(shelf.loaded.row.state))
    chosen_for = row.choice.get("instead_of")
    return PaperLine(
        part=None if row.part is None else _of(row.part),
        name=_line_name(row),
        quantity=row.quantity,
        unit=Unit(row.unit),
        takes=takes,
        shared=shared,
        chosen_for=None if chosen_for is None else _key(chosen_for),
        open=short,
        why=why or row.to_follow_why,
        held_back=any(one.part in held_back for one in (*takes, *shared)),
    )


def _open(row: KitLine, changed: tuple[str, ...], takes: tuple[Take, ...], state: KitState) -> tuple[str, str]:
    """Why nothing is taken for the line, in a few words and in whole ones; empty where it is, or is on its way."""
    if state is KitState.CANCELLED:
        return "cancelled", ""
    if changed:
        return "to be reviewed", " ".join(changed)
    questions = [one["question"] for one in row.missing]
    if settled(row) and not takes:
        return "containers not known", " ".join(questions)
    if settled(row):
        waits = state is KitState.BUILT and all(one.promised is None for one in takes)
        return ("not reserved", "") if waits else ("", "")
    if row.state == LineState.INCOMPLETE:
        fact = row.missing[0]["fact"] if row.missing else "something"
        unknown = "part" if row.part is None else "quantity" if row.quantity is None else fact
        return f"{unknown} not known", " ".join(questions)
    return OPEN[LineState(row.state)], " ".join(row.words)


def _line_name(row: KitLine) -> str:
    named = "" if row.part is None else row.part.name
    return named or row.position.replace("_", " ") or (row.part.category.replace("_", " ") if row.part else "goods")


def _called(part: Part) -> str:
    return part.name or part.category.replace("_", " ")


def _of(part: Part) -> PartKey:
    return part.maker.code, part.number


def _key(document: Mapping[str, Any]) -> PartKey:
    return document["maker"], document["number"]


def _dangerous(packing: Mapping[str, Any], names: Mapping[PartKey, str]) -> Iterator[DangerousPackage]:
    sheets = {_key(one["part"]) for one in packing["sheets"]}
    for package in packing["packages"]:
        for one in package["lines"] if package["dangerous"] else ():
            part = _key(one["part"])
            yield DangerousPackage(
                package["un_number"], part, names.get(part, ""), one["quantity"], sheet=part in sheets
            )


def _left_out(entry: Mapping[str, Any]) -> NotIn:
    by = f" ({entry['by']})" if entry.get("by") else ""
    return NotIn(_key(entry["part"]), (entry["position"] or "").replace("_", " "), f"{entry['why']}{by}")


def _service(kit: Kit) -> str:
    """The level it was built for, by its name, or the tasks where it was built for single ones."""
    level: str | None = kit.asked.get("level")
    if level is not None:
        names = {one.code: one.name for one in plan_read(kit.plan).when.levels}
        return names.get(level, level)
    tasks = [task["name"] for task in kit.work.get("tasks", ())]
    more = len(tasks) - MOST_TASKS
    return ", ".join(tasks[:MOST_TASKS]) + (f" and {more} more" if more > 0 else "")
