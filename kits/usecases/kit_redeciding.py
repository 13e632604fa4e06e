"""Deciding the lines of a kit again, and what has changed since they were decided."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet

from catalog import loading as catalogue
from catalog.domain.answers import Fact
from catalog.usecases.one_version import Asking
from kits.domain.kit_changes import changes
from kits.domain.kit_lines import Line, Unit
from kits.domain.kit_settling import LineState
from kits.domain.kit_steps import KitState, Step, refuse_unless_open
from kits.loading.kits import LoadedKit, LoadedLine, kit_rows, kits_of
from kits.models import Kit, KitLine
from kits.usecases.kit_deciding import Decided, ToDecide, asked_about, decide, standing_of
from kits.usecases.kit_refusals import UnknownKit
from kits.usecases.kit_saving import name_document
from service.operations.changes import lock_feed
from service.operations.models import Dealer

FREE_TRIES = 4
T = TypeVar("T")


def kit_of(dealer: Dealer, number: UUID) -> LoadedKit:
    """Raises UnknownKit, for another dealer's too."""
    found = kit_rows(dealer, number)
    if found is None:
        raise UnknownKit("There is no such kit of yours.")
    return found


def kits_listed(dealer: Dealer, wanted: Mapping[str, Any]) -> QuerySet[Kit]:
    """This dealer's kits of a machine, state, work order (by its number) or branch (by its code)."""
    columns = {"work_order": "work_order__number", "branch": "branch__code"}
    return kits_of(dealer).filter(**{columns.get(name, name): value for name, value in wanted.items()})


@dataclass(frozen=True, slots=True)
class Redecided:
    """A kit with every line as it would be decided now, in order."""

    loaded: LoadedKit
    lines: tuple[Decided, ...]
    machine: Any = None

    @property
    def kit(self) -> Kit:
        return self.loaded.row

    @property
    def by_number(self) -> dict[int, Decided]:
        return {line.row.line: one for line, one in zip(self.loaded.lines, self.lines, strict=True)}

    @property
    def changed(self) -> list[dict[str, Any]]:
        pairs = zip(self.loaded.lines, self.lines, strict=True)
        return [document for line, now in pairs if (document := _change(line, now))]


def decided_again(number: UUID, step: Step, asking: Asking, save: Callable[[Redecided], T]) -> T:
    """Load the kit, decide its lines in one batch, and save what comes of it in one short transaction.

    Raises UnknownKit and WrongState. Where the catalogue or the machine changed meanwhile, it is decided once more.
    """
    for _ in range(FREE_TRIES):
        found = _decided(number, step, asking)
        with transaction.atomic():
            lock_feed()
            if _stands(found):
                return save(found)
    with transaction.atomic():
        lock_feed()
        return save(_decided(number, step, asking))


def _decided(number: UUID, step: Step, asking: Asking) -> Redecided:
    loaded = kit_of(asking.dealer, number)
    kit = loaded.row
    refuse_unless_open(step, KitState(kit.state))
    machine = catalogue.machines(kit.dealer, [kit.machine_id])[kit.machine_id]
    return Redecided(loaded, decide([line_of(line) for line in loaded.lines], kit.machine_id, asking), machine)


def _stands(found: Redecided) -> bool:
    checks = [one.check for one in found.lines if one.check is not None]
    version = checks[0].catalogue_version if checks else None
    known = version is None or catalogue.standing().version == version
    return known and catalogue.unchanged([found.machine])


def line_of(loaded: LoadedLine) -> ToDecide:
    """A row as it is asked about. A question that keeps a line from being one stands until the kit is built anew."""
    row = loaded.row
    part = None if row.part is None else (row.part.maker.code, row.part.number)
    line = Line(
        position=row.position or None,
        part=part,
        quantity=row.quantity,
        unit=Unit(row.unit),
        tasks=tuple(row.tasks),
        asked_by=row.asked_by or None,
        missing=_open_questions(row),
    )
    return ToDecide(line, row.part_id)


def _open_questions(row: KitLine) -> tuple[Fact, ...]:
    if row.state != LineState.INCOMPLETE:
        return ()
    return tuple(Fact(one["fact"], one["question"]) for one in row.missing)


def _change(line: LoadedLine, now: Decided) -> dict[str, Any] | None:
    row = line.row
    if not asked_about(line_of(line)):
        return None
    was, is_now = standing_of(LineState(row.state), row.check_made), now.standing
    words = changes(was, is_now)
    if not words:
        return None
    return {
        "line": row.line,
        "position": row.position or None,
        "part": None if row.part is None else name_document((row.part.maker.code, row.part.number)),
        "words": list(words),
        "was": _side(was, None if row.check_made is None else row.check_made.pk),
        "now": _side(is_now, None if now.check is None else now.check.pk),
    }


def _side(standing: Any, check: UUID | None) -> dict[str, Any]:
    return {
        "state": standing.state.value,
        "verdict": None if standing.verdict is None else standing.verdict.value,
        "headline": standing.headline,
        "check": None if check is None else str(check),
    }


def not_settled_any_more(found: Redecided) -> Sequence[LoadedLine]:
    pairs = zip(found.loaded.lines, found.lines, strict=True)
    return [line for line, now in pairs if not now.settled.settled]
