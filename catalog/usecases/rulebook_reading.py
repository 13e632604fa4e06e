"""Rulebooks and drafts to look at: which there are, what is in one, what differs between two."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from catalog.domain.rulebook_differences import Difference, differences
from catalog.domain.rulebook_document import publication_problems
from catalog.domain.rulebook_rows import ROW_SECTIONS, Row, join, row_at, split
from catalog.models import CatalogueState, DraftRow, DraftStatus, RulebookDraft, RulebookVersion
from catalog.usecases.refusals import NoRulebook
from service.errors import FieldProblem, NotFound

_NAME = re.compile(r"(draft-)?([1-9][0-9]{0,8})", re.ASCII)


@dataclass(frozen=True, slots=True)
class State:
    """Which rulebook is in force, and which was shipped last."""

    in_force: RulebookVersion
    shipped: RulebookVersion


def state() -> State:
    """Raises NoRulebook while none is published."""
    row = CatalogueState.objects.select_related("rulebook", "shipped").first()
    if row is None or row.rulebook is None:
        raise NoRulebook("No rulebook is published yet; load the reference data.")
    return State(row.rulebook, row.shipped or row.rulebook)


def attention(found: State) -> str | None:
    """What an editor has to do about a newer shipped rulebook; None where there is nothing to do."""
    if found.in_force.number >= found.shipped.number:
        return None
    return (
        f"Rulebook {found.shipped.number} was shipped after {found.in_force.number}, which is in force. Draft from "
        f"{found.in_force.number}, rebase the draft onto {found.shipped.number} and publish it."
    )


def find(name: str) -> RulebookVersion | RulebookDraft:
    """A published rulebook by its number, a draft by `draft-` and its own. Raises NotFound."""
    named = _NAME.fullmatch(name)
    found: RulebookVersion | RulebookDraft | None = None
    if named is not None:
        drafts, number = named[1], int(named[2])
        found = (
            RulebookDraft.objects.select_related("based_on", "published").filter(pk=number).first()
            if drafts
            else RulebookVersion.objects.select_related("based_on").filter(number=number).first()
        )
    if found is None:
        raise NotFound(f"There is no rulebook {name[:40]!r}; they are named by number, drafts like draft-7.")
    return found


def find_draft(name: str) -> RulebookDraft:
    """Raises NotFound for a published rulebook too: only drafts have rows to edit."""
    found = find(name)
    if not isinstance(found, RulebookDraft):
        raise NotFound(f"Rulebook {name} is published and is never changed; draft from it: POST /api/v1/rulebooks/.")
    return found


def rows_of(book: RulebookVersion | RulebookDraft) -> tuple[Row, ...]:
    """Every row, those of a list in their order."""
    if isinstance(book, RulebookVersion):
        return split(book.document)
    stored = book.rows.order_by("section", "position", "id").values_list("section", "key", "content")
    return tuple(Row(*row) for row in stored)


def sections_of(rows: tuple[Row, ...]) -> dict[str, int]:
    return {section: sum(row.section == section for row in rows) for section in ROW_SECTIONS}


def version_head(row: RulebookVersion, now: State) -> dict[str, Any]:
    return {
        "rulebook": str(row.number),
        "number": row.number,
        "digest": row.digest,
        "published_at": _instant(row.published_at),
        "by": row.published_by,
        "note": row.note,
        "based_on": row.based_on.number if row.based_on else None,
        "in_force": row.pk == now.in_force.pk,
        "shipped": row.pk == now.shipped.pk,
    }


def draft_head(draft: RulebookDraft) -> dict[str, Any]:
    return {
        "rulebook": name_of(draft),
        "name": draft.name,
        "note": draft.note,
        "based_on": draft.based_on.number,
        "status": draft.status,
        "published_as": draft.published.number if draft.published else None,
        "created_at": _instant(draft.created_at),
        "revised_at": _instant(draft.revised_at),
        "by": draft.revised_by,
    }


def name_of(draft: RulebookDraft) -> str:
    return f"draft-{draft.pk}"


def open_drafts() -> list[dict[str, Any]]:
    drafts = RulebookDraft.objects.select_related("based_on", "published").filter(status=DraftStatus.OPEN)
    return [draft_head(draft) for draft in drafts.order_by("-revised_at", "-id")]


def row_document(row: Row) -> dict[str, Any]:
    return {"section": row.section, "key": row.key, "content": row.content}


def stored_row(row: DraftRow) -> dict[str, Any]:
    return row_document(Row(row.section, row.key, row.content))


def known_section(section: str) -> str:
    """Raises NotFound for what is no section of rows."""
    if section not in ROW_SECTIONS:
        raise NotFound(f"There is no section {section[:40]!r}; there are {', '.join(ROW_SECTIONS)}.")
    return section


def differing(one: str, other: str) -> list[dict[str, Any]]:
    """What differs on the way from one rulebook or draft to another."""
    found = differences(rows_of(find(one)), rows_of(find(other)))
    return [difference_document(difference) for difference in found]


def difference_document(found: Difference) -> dict[str, Any]:
    members = [{"member": m.name, "before": m.before, "after": m.after} for m in found.members]
    return {
        "change": found.kind.value,
        "section": found.section,
        "key": found.key,
        "text": found.text,
        "before": found.before,
        "after": found.after,
        "members": members,
    }


def problems_of(draft: RulebookDraft) -> list[dict[str, Any]]:
    """What would refuse its publication today, each with the path in the document and the row to edit."""
    rows = rows_of(draft)
    problems = publication_problems(join(rows), state().shipped.document)
    return [problem_document(problem, rows) for problem in problems]


def problem_document(problem: FieldProblem, rows: tuple[Row, ...]) -> dict[str, Any]:
    section, key = row_at(problem.pointer, rows)
    return {
        "pointer": problem.pointer,
        "section": section or None,
        "key": key,
        "code": problem.code,
        "detail": problem.detail,
    }


def _instant(at: datetime) -> str:
    return at.isoformat().replace("+00:00", "Z")
