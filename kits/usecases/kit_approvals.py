"""Lines of a kit that rest on an approval, as they stand when they are shown; steps alone change what is kept."""

from __future__ import annotations

from collections.abc import Iterable
from copy import copy
from dataclasses import replace
from datetime import datetime
from typing import TypeVar

from catalog.usecases.approval_reading import approvals_applying
from kits.domain.kit_settling import LineState
from kits.domain.kit_steps import ENDED
from kits.loading.kit_needs import WantedLine
from kits.loading.kits import LoadedKit, LoadedLine
from kits.models import Kit, KitLine
from service.operations.models import Dealer

L = TypeVar("L", LoadedLine, WantedLine)
LAPSED = "The approval that the line rested on does not apply any more."


def as_it_stands(loaded: LoadedKit, now: datetime) -> LoadedKit:
    """A kit that has not ended with those lines needing approval whose approval applies no more; rows are copied.

    Two statements at the most, none where no line rests on an approval.
    """
    kit = loaded.row
    lapsed = set() if kit.state in ENDED else _lapsed((line.row for line in loaded.lines), kit.dealer, now)
    if not lapsed:
        return loaded
    shown = copy(kit)
    shown.complete = False
    lines = (_needing(line) if line.row.pk in lapsed else line for line in loaded.lines)
    return replace(loaded, row=shown, lines=tuple(lines))


def lines_that_stand(lines: Iterable[WantedLine], dealer: Dealer, now: datetime) -> tuple[WantedLine, ...]:
    """The same of lines that are to be ordered for, and none settled that is to be reviewed; two statements at most."""
    found = tuple(_reviewed_first(line) for line in lines)
    lapsed = _lapsed((line.row for line in found), dealer, now)
    return tuple(_needing(line) if line.row.pk in lapsed else line for line in found)


def _reviewed_first(line: WantedLine) -> WantedLine:
    """What a review names was found to have changed, and an entry that names no line is about all of them."""
    entries = [one for one in line.kit.review if one["line"] in (None, line.row.line)]
    if not entries:
        return line
    row = copy(line.row)
    row.state = LineState.NOT_CHECKED.value
    row.words = [*(words for one in entries for words in one["words"]), "Review the kit."]
    return replace(line, row=row)


def as_they_stand(kits: Iterable[Kit], dealer: Dealer, now: datetime) -> list[Kit]:
    """Kits of a list, none complete that has a line whose approval applies no more; three statements at the most."""
    found = list(kits)
    open_kits = [kit.pk for kit in found if kit.complete and kit.state not in ENDED]
    rows = KitLine.objects.filter(kit__in=open_kits, state=LineState.APPROVED)
    lines = list(rows.select_related("check_made").defer("check_made__facts", "check_made__answer"))
    lapsed = _lapsed(lines, dealer, now)
    gone = {line.kit_id for line in lines if line.pk in lapsed}
    for kit in found:
        kit.complete = kit.complete and kit.pk not in gone
    return found


def _lapsed(rows: Iterable[KitLine], dealer: Dealer, now: datetime) -> set[int]:
    resting = [row for row in rows if row.state == LineState.APPROVED and row.check_made is not None]
    applying = approvals_applying([row.check_made for row in resting if row.check_made is not None], dealer, now)
    return {row.pk for row in resting if row.check_made_id not in applying}


def _needing(line: L) -> L:
    row: KitLine = copy(line.row)
    row.state = LineState.NEEDS_APPROVAL.value
    row.words = [*row.words[:1], LAPSED]
    return replace(line, row=row)
