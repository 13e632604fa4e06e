"""Editing a draft, a row at a time. Nothing here is decided by until the draft is published."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import F, Max

from catalog.domain.rulebook_document import canonical
from catalog.domain.rulebook_rows import Row, check_row
from catalog.models import DraftRow, DraftStatus, RulebookDraft
from catalog.models.rulebook import KEY_LENGTH
from catalog.usecases.rulebook_reading import draft_head, find, name_of, rows_of, state
from service.errors import Conflict, Invalid, NotFound, Stale
from service.operations.idempotency import Claim


@dataclass(frozen=True, slots=True)
class Edit:
    """Who edits which row of which draft, and when. `seen` is the version it was read in, None where it is new."""

    draft: RulebookDraft
    section: str
    key: str
    by: str
    now: datetime
    seen: int | None = None


def start_draft(*, name: str, note: str, based_on: int | None, by: str, now: datetime, idempotency: Claim) -> None:
    """A copy of the rulebook in force, or of the one named, to be edited. Raises NotFound for a number there is not."""
    base = state().in_force if based_on is None else find(str(based_on))
    if isinstance(base, RulebookDraft):
        raise NotFound("A draft is made from a published rulebook.")
    with transaction.atomic():
        draft = RulebookDraft.objects.create(
            name=name, note=note, based_on=base, created_at=now, revised_at=now, revised_by=by
        )
        keep_rows(draft, rows_of(base), draft.revision)
        body = draft_head(draft)
        idempotency.complete(201, body, {"Location": f"/api/v1/rulebooks/{name_of(draft)}/"})


def keep_rows(draft: RulebookDraft, rows: tuple[Row, ...], revision: int) -> None:
    DraftRow.objects.bulk_create(
        [
            DraftRow(draft=draft, section=row.section, key=row.key, content=row.content, position=place,
                     changed_in=revision)
            for place, row in enumerate(rows, 1)
        ],
        batch_size=500,
    )  # fmt: skip


def revise(draft: RulebookDraft, by: str, now: datetime, **fields: Any) -> int:
    """Move the draft's revision on, which lets one editor at a time through. Raises Conflict once it is closed."""
    still_open = RulebookDraft.objects.filter(pk=draft.pk, status=DraftStatus.OPEN)
    if not still_open.update(revision=F("revision") + 1, revised_at=now, revised_by=by, **fields):
        draft.refresh_from_db()
        raise Conflict(
            f"{name_of(draft)} is {draft.status} and is not edited any more; draft anew from a published rulebook.",
            code="draft_closed",
            status_of_draft=draft.status,
        )
    revision: int = RulebookDraft.objects.values_list("revision", flat=True).get(pk=draft.pk)
    return revision


def put_row(edit: Edit, content: object) -> DraftRow:
    """Write a row whole. Raises Invalid for what can be no row, Stale where it has changed since it was seen."""
    written = _checked(edit, content)
    with transaction.atomic():
        revision = revise(edit.draft, edit.by, edit.now)
        if edit.seen is not None:
            _replace(edit, content=written, changed_in=revision)
        elif _rows(edit).exists():
            raise _stale(edit)
        else:
            last: int | None = edit.draft.rows.aggregate(last=Max("position"))["last"]
            DraftRow.objects.create(draft=edit.draft, section=edit.section, key=edit.key, content=written,
                                    position=(last or 0) + 1, changed_in=revision)  # fmt: skip
        return find_row(edit.draft, edit.section, edit.key)


def patch_row(edit: Edit, patch: Mapping[str, Any]) -> DraftRow:
    """Change members of a row as RFC 7396 has it: what is null is taken away."""
    row = find_row(edit.draft, edit.section, edit.key)
    if row.changed_in != edit.seen:
        raise _stale(edit)
    return put_row(edit, merged(row.content, patch))


def merged(target: Any, patch: Any) -> Any:
    if not isinstance(patch, Mapping):
        return patch
    kept = dict(target) if isinstance(target, Mapping) else {}
    for name, value in patch.items():
        if value is None:
            kept.pop(name, None)
        else:
            kept[name] = merged(kept.get(name), value)
    return kept


def delete_row(edit: Edit) -> None:
    with transaction.atomic():
        revise(edit.draft, edit.by, edit.now)
        gone, _ = _rows(edit).filter(changed_in=edit.seen).delete()
        if not gone:
            raise _stale(edit)


def discard(draft: RulebookDraft, *, seen: int, by: str, now: datetime) -> None:
    """Close a draft unpublished; its rows stay readable."""
    with transaction.atomic():
        if revise(draft, by, now, status=DraftStatus.DISCARDED) != seen + 1:
            raise Stale("The draft has changed since it was read; read it again before discarding it.")


def row_if_there(draft: RulebookDraft, section: str, key: str) -> DraftRow | None:
    # No key holds the character, and PostgreSQL takes it in no text at all.
    return None if "\0" in key else draft.rows.filter(section=section, key=key).first()


def find_row(draft: RulebookDraft, section: str, key: str) -> DraftRow:
    row = row_if_there(draft, section, key)
    if row is None:
        raise NotFound(f"{name_of(draft)} has no row {key[:80]!r} in {section}; PUT one there to add it.")
    return row


def _checked(edit: Edit, content: object) -> Any:
    if len(edit.key) > KEY_LENGTH:
        raise Invalid(f"The key has {len(edit.key)} characters; at most {KEY_LENGTH} are taken.", pointer="")
    check_row(edit.section, edit.key, content)
    if isinstance(content, Mapping):
        canonical(content)  # names a number that has no exact form
    return content


def _rows(edit: Edit) -> Any:
    return DraftRow.objects.filter(draft=edit.draft, section=edit.section, key=edit.key)


def _replace(edit: Edit, **fields: Any) -> None:
    if not _rows(edit).filter(changed_in=edit.seen).update(**fields):
        raise _stale(edit)


def _stale(edit: Edit) -> Stale:
    return Stale(f"The row {edit.key} has changed since it was read; read it again and send the new ETag in If-Match.")
