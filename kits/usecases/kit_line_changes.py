"""Writing lines of a kit that were decided anew: what they take changes, and what is held for it no longer is freed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from catalog.usecases.one_version import Asking
from kits.domain.kit_settling import LineState
from kits.domain.kit_steps import KitState
from kits.loading.kits import LoadedLine
from kits.models import Kit, KitLine, KitUse, Reservation, ReservationState
from kits.usecases.kit_deciding import Decided, as_kept
from kits.usecases.kit_redeciding import line_of
from kits.usecases.kit_releasing import free_orders, release_lines
from kits.usecases.kit_saving import line_row, use_rows
from kits.usecases.kit_taking import taken_by

COLUMNS = (
    "position", "part", "quantity", "unit", "tasks", "asked_by", "state", "words", "missing", "alternatives",
    "check_made", "choice",
)  # fmt: skip


def rewrite_lines(
    kit: Kit, lines: Sequence[LoadedLine], decided: Mapping[int, Decided], asking: Asking
) -> dict[str, list[dict[str, Any]]]:
    """Bring lines, by their numbers, to what was decided; answers what was released and freed.

    `lines` are all of the kit: one fluid of several lines is bought together. Uses that stay as they are keep what is
    held for them.
    """
    stand = [decided.get(line.row.line) or _as_kept(line) for line in lines]
    taken = taken_by(stand, kit.branch)
    changed = [
        (line, uses)
        for line, uses in zip(lines, taken.uses, strict=True)
        if uses != {(use.part_id, use.content): use.quantity for use, _ in line.uses}
    ]
    gone = clear_uses([line for line, _ in changed], asking)
    rows = [
        line_row(line.row, one, more)
        for line, one, more in zip(lines, stand, taken.missing, strict=True)
        if line.row.line in decided
    ]
    KitLine.objects.bulk_update(rows, COLUMNS)
    KitUse.objects.bulk_create(use for line, uses in changed for use in use_rows(line.row, uses))
    return gone


def clear_uses(lines: Sequence[LoadedLine], asking: Asking) -> dict[str, list[dict[str, Any]]]:
    """Let go of all that these lines take."""
    gone = {"released": release_lines(lines, asking), "ordered": free_orders(lines, asking)}
    KitUse.objects.filter(line__in=[line.row.pk for line in lines]).delete()
    return gone


def _as_kept(line: LoadedLine) -> Decided:
    return as_kept(line_of(line), LineState(line.row.state), line.row.check_made)


def settled_state(kit: Kit) -> KitState:
    """Reserved while anything is held for it, else built."""
    held = Reservation.objects.filter(use__line__kit=kit, state=ReservationState.HELD)
    return KitState.RESERVED if held.exists() else KitState.BUILT


def state_after_edit(kit: Kit) -> KitState:
    """A kit that waits for its review goes on waiting."""
    return KitState.NEEDS_REVIEW if kit.state == KitState.NEEDS_REVIEW else settled_state(kit)
