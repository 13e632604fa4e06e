"""Changing a kit that stands: its day, its work order, what is put in besides, and single lines, each for a reason."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from django.db import transaction

from catalog.loading import LoadedPart
from catalog.usecases.asked import named_part
from catalog.usecases.one_version import Asking
from catalog.usecases.reading import published
from catalog.usecases.refusals import Gathered
from kits.domain.containers import MICROLITRES
from kits.domain.kit_lines import Extra, Filled, Line, Unit, extra_line
from kits.domain.kit_settling import LineState, complete
from kits.domain.kit_steps import KitState, Step, refuse_unless_open
from kits.loading.kit_supply import handling_of, kit_shelves
from kits.loading.kits import LoadedKit, LoadedLine, with_lines
from kits.models import Kit, KitLine
from kits.usecases.kit_asking import extra_of, order_for, parts_named, refuse_before
from kits.usecases.kit_building import as_sent
from kits.usecases.kit_deciding import Decided, ToDecide, decide
from kits.usecases.kit_events import moved_on, tell
from kits.usecases.kit_extras import refuse_filled
from kits.usecases.kit_line_changes import clear_uses, rewrite_lines, state_after_edit
from kits.usecases.kit_redeciding import line_of
from kits.usecases.kit_refusals import NoSuchLine
from kits.usecases.kit_releasing import release
from kits.usecases.kit_saving import left_out_document, line_row, name_document
from kits.usecases.kit_shelves import held_of
from service.errors import Invalid
from service.operations.changes import lock_feed

Body = Mapping[str, Any]


class _Edit:
    """What a patch comes to: gathered with all its problems first, decided in one batch, then written."""

    def __init__(self, loaded: LoadedKit, patch: Body, asking: Asking) -> None:
        self.loaded, self.kit, self.patch, self.asking = loaded, loaded.row, patch, asking
        self.by_number = {line.row.line: line for line in loaded.lines}
        self.columns: dict[str, Any] = {}
        self.removed: dict[int, str] = {}
        self.changed: dict[int, tuple[ToDecide, str]] = {}
        self.dropped: list[LoadedLine] = []
        self.added: list[ToDecide] = []
        self.left_out: list[dict[str, Any]] = []

    def read(self) -> None:
        """Raises what `Gathered.tell` raises, with every problem of the patch."""
        problems = Gathered()
        if "fitted_on" in self.patch:
            with problems.each():
                refuse_before(self.patch["fitted_on"], self.kit.as_of)
                self.columns["fitted_on"] = self.patch["fitted_on"]
        if "work_order" in self.patch:
            with problems.each():
                order = order_for(self.kit.dealer, self.patch["work_order"], self.kit.machine)
                self.columns["work_order"] = order
        for at, entry in enumerate(self.patch.get("lines") or ()):
            with problems.each():
                self._line(entry, f"/lines/{at}")
        if "extras" in self.patch:
            with problems.each():
                self._extras(self.patch["extras"] or ())
        problems.tell()

    def _line(self, entry: Body, at: str) -> None:
        line = self.by_number.get(entry["line"])
        if line is None:
            known = ", ".join(map(str, self.by_number))
            raise NoSuchLine(f"The kit has no line {entry['line']}; its lines: {known}.", pointer=f"{at}/line")
        if entry.get("remove"):
            self.removed[entry["line"]] = entry["reason"]
            return
        amount = _amount(line.row, entry, at)
        asked = line_of(line)
        questions = tuple(fact for fact in asked.line.missing if not fact.name.startswith(("quantity", "cylinder")))
        changed = replace(asked.line, quantity=amount, missing=questions)
        self.changed[entry["line"]] = (ToDecide(changed, asked.part), entry["reason"])

    def _extras(self, entries: Sequence[Body]) -> None:
        names = [named_part(entry["part"], f"/extras/{at}/part") for at, entry in enumerate(entries)]
        known = published()
        _, parts = parts_named((), names, known.standing.stamp)
        handling = handling_of(self.kit.dealer, [part.id for part in parts])
        there = [line for line in self.loaded.lines if line.row.asked_by]
        fresh: list[tuple[int, Extra, LoadedPart]] = []
        for at, (entry, part) in enumerate(zip(entries, parts, strict=True)):
            wanted = (part.id, entry.get("position") or "", entry["quantity"])
            same = next((one for one in there if _same(one.row, wanted)), None)
            if same is not None:
                there.remove(same)
                continue
            extra = extra_of(entry, part, handling.get(part.id), self.asking.asked_by, known.rulebook)
            fresh.append((at, extra, part))
        self.dropped = there
        refuse_filled(((at, extra) for at, extra, _ in fresh), self._filled())
        for _, extra, part in fresh:
            found = extra_line(extra, licensed=self.kit.asked.get("fitted_by_licensed"))
            if isinstance(found, Line):
                self.added.append(ToDecide(found, part.id))
            else:
                self.left_out.append(left_out_document(found, self.asking.asked_by))

    def _filled(self) -> Filled:
        """By what stays of the kit's lines."""
        filled, gone = Filled(), [line.row.line for line in self.dropped] + list(self.removed)
        for number, line in self.by_number.items():
            if number not in gone:
                part = None if line.row.part is None else (line.row.part.maker.code, line.row.part.number)
                filled.add(line.row.position or None, part, by_hand=bool(line.row.asked_by))
        return filled

    def save(self, decided: Mapping[int, Decided], added: Sequence[Decided]) -> None:
        kit, gone = self.kit, [self.by_number[number] for number in self.removed] + self.dropped
        freed = clear_uses(gone, self.asking)
        self.left_out += [
            _taken_out(self.by_number[number].row, why, self.asking) for number, why in self.removed.items()
        ]
        kept = [line for line in self.loaded.lines if line not in gone]
        first = max(self.by_number, default=0) + 1
        KitLine.objects.filter(pk__in=[line.row.pk for line in gone]).delete()
        rows = [line_row(KitLine(kit=kit, line=first + at), one) for at, one in enumerate(added)]
        KitLine.objects.bulk_create(rows)
        lines = [*kept, *(LoadedLine(row, ()) for row in rows)]
        fresh = dict(decided) | {row.line: one for row, one in zip(rows, added, strict=True)}
        moved = rewrite_lines(kit, lines, fresh, self.asking)
        too_old = self._too_old(kept)
        asked = {
            **kit.asked,
            **as_sent({name: self.patch[name] for name in ("extras", "fitted_on") if name in self.patch}),
        }
        moved_on(
            kit, **self.columns, asked=asked, left_out=[*kit.left_out, *self.left_out],
            complete=complete(LineState(line.row.state) for line in lines), state=state_after_edit(kit).value,
        )  # fmt: skip
        tell(kit, "changed", self.asking, {
            "fitted_on": kit.fitted_on.isoformat(),
            "work_order": None if kit.work_order is None else kit.work_order.number,
            "lines": [{"line": number, "reason": why, "quantity": one.line.quantity}
                      for number, (one, why) in self.changed.items()],
            "removed": [{"line": number, "reason": why} for number, why in self.removed.items()],
            "extras": {"added": [row.line for row in rows], "removed": [line.row.line for line in self.dropped]},
            "left_out": self.left_out,
            "released": freed["released"] + moved["released"] + too_old,
            "ordered": freed["ordered"] + moved["ordered"],
        })  # fmt: skip

    def _too_old(self, lines: Iterable[LoadedLine]) -> list[dict[str, Any]]:
        """Release what would be too old, or of unknown age, on the new day."""
        if "fitted_on" not in self.columns:
            return []
        shelves = kit_shelves(
            self.kit.branch, {use.part_id for line in lines for use, _ in line.uses},
            self.kit.branch.today(self.asking.now),
        )  # fmt: skip
        found = []
        for line in with_lines(self.kit).lines:
            for use, kept in line.uses:
                shelf = shelves.get((use.part_id, use.content))
                refused = {
                    (one.bin, one.date_code) for one in (shelf.item.batches if shelf else ())
                    if shelf and one.refusal(self.columns["fitted_on"], ages=shelf.item.ages)
                }  # fmt: skip
                old = [one for one in held_of(kept) if (one.batch.bin, one.batch.date_code) in refused]
                release(old, self.asking)
                found += [{"line": line.row.line, "bin": one.batch.bin, "quantity": one.quantity} for one in old]
        return found


def edit_kit(loaded: LoadedKit, patch: Body, asking: Asking) -> Kit:
    """Change what the patch states. Raises WrongState, Stale, and what `Gathered.tell` raises with every problem.

    Lines with another quantity and what is newly put in are decided in one batch; the other lines stay as they are.
    """
    refuse_unless_open(Step.EDIT, KitState(loaded.row.state))
    edit = _Edit(loaded, patch, asking)
    edit.read()
    changed = list(edit.changed.items())
    decided = decide([one for _, (one, _) in changed] + edit.added, loaded.row.machine_id, asking)
    by_number = {number: one for (number, _), one in zip(changed, decided, strict=False)}
    with transaction.atomic():
        lock_feed()
        edit.save(by_number, decided[len(changed) :])
    return loaded.row


def _amount(row: KitLine, entry: Body, at: str) -> int:
    if row.unit == Unit.EACH:
        if entry.get("quantity") is None:
            raise Invalid("Give the pieces as quantity, or remove the line.", pointer=at, code="required")
        return int(entry["quantity"])
    if entry.get("litres") is None:
        raise Invalid("This line is a fluid: give litres, or remove it.", pointer=at, code="required")
    return int(entry["litres"] * MICROLITRES)


def _same(row: KitLine, wanted: tuple[int, str, int]) -> bool:
    return (row.part_id, row.position, row.quantity) == wanted


def _taken_out(row: KitLine, why: str, asking: Asking) -> dict[str, Any]:
    part = None if row.part is None else name_document((row.part.maker.code, row.part.number))
    return {"position": row.position or None, "part": part, "why": why, "tasks": row.tasks, "by": asking.asked_by}
