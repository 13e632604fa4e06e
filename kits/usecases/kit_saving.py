"""Writing the lines of a kit and what they take from the shelf."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from catalog.domain.answers import Fact
from kits.domain.kit_lines import LeftOut
from kits.loading.kits import LoadedKit, LoadedLine, parts_shown
from kits.loading.stock import PartSize
from kits.models import Kit, KitEvent, KitLine, KitUse
from kits.usecases.kit_deciding import Decided
from kits.usecases.kit_taking import Taken
from kits.usecases.kit_work import fact_document

Saved = list[tuple[KitLine, list[KitUse]]]


def save_lines(kit: Kit, decided: Sequence[Decided], taken: Taken) -> Saved:
    """Add the lines of a new kit with what they take, in two statements."""
    rows = [line_row(KitLine(kit=kit, line=at), one, taken.missing[at - 1]) for at, one in enumerate(decided, 1)]
    KitLine.objects.bulk_create(rows)
    saved = [(row, use_rows(row, uses)) for row, uses in zip(rows, taken.uses, strict=True)]
    KitUse.objects.bulk_create(use for _, uses in saved for use in uses)
    return saved


def as_saved(kit: Kit, saved: Saved, event: KitEvent) -> LoadedKit:
    """A new kit as it would be loaded, its parts as far as they are shown; one statement, for these."""
    ids = {row.part_id for row, _ in saved if row.part_id is not None}
    parts = parts_shown(ids | {use.part_id for _, uses in saved for use in uses})
    for row, uses in saved:
        row.part = None if row.part_id is None else parts[row.part_id]
        for use in uses:
            use.part = parts[use.part_id]
    lines = (LoadedLine(row, tuple((use, ()) for use in uses)) for row, uses in saved)
    return LoadedKit(kit, tuple(lines), (event,))


def line_row(row: KitLine, one: Decided, also: Sequence[Fact] = ()) -> KitLine:
    """The row as its line is decided now; `also` are facts that keep it from being bought and not from being right."""
    line, settled = one.line, one.settled
    row.position = line.position or ""
    row.part_id, row.quantity, row.unit = one.part, line.quantity, line.unit.value
    row.tasks, row.asked_by = list(line.tasks), line.asked_by or ""
    row.state, row.words = settled.state.value, list(settled.words)
    row.missing = [fact_document(fact) for fact in (*settled.missing, *also)]
    row.alternatives = [
        {"part": name_document(entry.part), "verdict": entry.verdict.value, "headline": entry.headline}
        for entry in settled.alternatives
    ]
    row.check_made = one.check
    return row


def use_rows(row: KitLine, uses: Mapping[PartSize, int]) -> list[KitUse]:
    return [KitUse(line=row, part_id=part, content=size, quantity=count) for (part, size), count in uses.items()]


def left_out_document(entry: LeftOut, by: str | None = None) -> dict[str, Any]:
    return {
        "position": entry.position,
        "part": name_document(entry.part),
        "why": entry.why,
        "tasks": list(entry.tasks),
        "by": by,
    }


def name_document(part: tuple[str, str]) -> dict[str, str]:
    return {"maker": part[0], "number": part[1]}
