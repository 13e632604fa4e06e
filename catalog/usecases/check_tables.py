"""Recorded checks as a table to take away."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from zoneinfo import ZoneInfo

from catalog.models import Check
from service.operations.models import Dealer
from service.papers.tables import Cell, Column, ColumnKind

COLUMNS = (
    Column("checked_at"),
    Column("verdict", ColumnKind.CODE),
    Column("headline"),
    Column("position", ColumnKind.CODE),
    Column("parts", ColumnKind.CODE),
    Column("quantities", ColumnKind.CODE),
    Column("machine"),
    Column("checked_by"),
    Column("catalogue_version", ColumnKind.NUMBER),
    Column("rulebook", ColumnKind.NUMBER),
    Column("id", ColumnKind.CODE),
)


def check_rows(checks: Iterable[Check], dealer: Dealer) -> Iterator[Sequence[Cell]]:
    """One row a check; the machine of each has to be loaded with it. Times are in the dealer's zone, with offset."""
    zone = ZoneInfo(dealer.zone)
    for check in checks:
        answer = json.loads(check.answer)
        parts = [use["part"] for use in answer["use"]]
        yield (
            check.checked_at.astimezone(zone).isoformat(timespec="seconds"),
            check.verdict,
            answer["headline"],
            answer["position"],
            " | ".join(f"{part['maker']} {part['number']}".strip() for part in parts),
            " | ".join(str(use["quantity"]) for use in answer["use"]),
            None if check.machine is None else check.machine.name,
            check.asked_by,
            check.catalogue_version,
            check.rulebook_id,
            str(check.pk),
        )
