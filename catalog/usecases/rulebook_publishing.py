"""Publishing a draft, putting a published rulebook in force again, and taking over what another one brought."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from catalog.domain.rulebook_differences import book_of, subject_of
from catalog.domain.rulebook_document import digest_of, publication_problems
from catalog.domain.rulebook_rows import Row, join
from catalog.models import CatalogueState, DraftStatus, RulebookDraft, RulebookVersion
from catalog.usecases.catalogue_writes import catalogue_write
from catalog.usecases.rulebook_drafting import keep_rows, revise
from catalog.usecases.rulebook_reading import (
    State,
    draft_head,
    find,
    name_of,
    problem_document,
    rows_of,
    state,
    version_head,
)
from catalog.usecases.rulebooks import add_version
from service.errors import Conflict, NotFound
from service.operations.idempotency import Claim

MOST_TOLD = 100


def publish(name: str, *, by: str, now: datetime, idempotency: Claim) -> None:
    """Publish a draft under the next number, or put a published rulebook in force again.

    Raises Conflict, with `problems`, where anything would be refused; where the draft is closed, is the same as a
    published one, or was not made from what is in force; nothing is published then.
    """
    found = find(name)
    if isinstance(found, RulebookDraft):
        _publish_draft(found, by, now, idempotency)
    else:
        _put_in_force(found, now, idempotency)


def _publish_draft(draft: RulebookDraft, by: str, now: datetime, idempotency: Claim) -> None:
    before, seen = state(), draft.revision
    rows = rows_of(draft)
    document = join(rows)
    _refuse_closed(draft)
    _refuse_base(draft, before)
    _refuse_problems(document, before, rows)
    digest = digest_of(document)
    with catalogue_write(now) as write:
        draft.refresh_from_db()
        _refuse_closed(draft)
        _refuse_moved(before, unchanged=draft.revision == seen)
        _refuse_known(digest)
        write.begin()
        row = add_version(write, now, document=document, digest=digest, published_by=by, note=draft.note,
                          based_on=draft.based_on)  # fmt: skip
        _refuse_moved(before, unchanged=revise(draft, by, now, status=DraftStatus.PUBLISHED, published=row) == seen + 1)
        CatalogueState.objects.update(rulebook=row)
        body = version_head(row, State(row, before.shipped))
        idempotency.complete(201, body, {"Location": f"/api/v1/rulebooks/{row.number}/"})


def _put_in_force(row: RulebookVersion, now: datetime, idempotency: Claim) -> None:
    """An editor's way back: what was published once is decided by again, if the gate that is shipped now allows it."""
    before = state()
    _refuse_problems(row.document, before, rows_of(row))
    with catalogue_write(now) as write:
        _refuse_moved(before)
        if before.in_force.pk != row.pk:
            write.begin()
            CatalogueState.objects.update(rulebook=row)
            write.touched("rulebook.in_force", "rulebook", row.number)
        idempotency.complete(200, version_head(row, State(row, before.shipped)))


def _refuse_closed(draft: RulebookDraft) -> None:
    if draft.status != DraftStatus.OPEN:
        as_number = f" as rulebook {draft.published.number}" if draft.published else ""
        raise Conflict(f"{name_of(draft)} is {draft.status}{as_number} already.", code="draft_closed")


def _refuse_base(draft: RulebookDraft, now: State) -> None:
    """What came into force after the draft was begun would be lost by publishing it."""
    newer_shipped = draft.based_on_id == now.shipped.pk and now.shipped.number > now.in_force.number
    if draft.based_on_id != now.in_force.pk and not newer_shipped:
        raise Conflict(
            f"{name_of(draft)} was made from rulebook {draft.based_on.number} and {now.in_force.number} is in force "
            "now; rebase the draft first, so that nothing of it is lost.",
            code="draft_behind",
            in_force=now.in_force.number,
        )


def _refuse_problems(document: Mapping[str, Any], now: State, rows: tuple[Row, ...]) -> None:
    problems = publication_problems(document, now.shipped.document)
    if problems:
        more = f" ({len(problems) - 1} more in problems)" if len(problems) > 1 else ""
        raise Conflict(
            f"Nothing was published. {problems[0].pointer}: {problems[0].detail}{more}",
            code="not_publishable",
            problems=[problem_document(problem, rows) for problem in problems[:MOST_TOLD]],
        )


def _refuse_moved(before: State, *, unchanged: bool = True) -> None:
    now = state()
    if not unchanged or (now.in_force.pk, now.shipped.pk) != (before.in_force.pk, before.shipped.pk):
        raise Conflict(
            "The draft or the rulebook in force changed while it was being checked; nothing was published. Look at it "
            "again and repeat.",
            code="rulebook_moved",
            in_force=now.in_force.number,
        )


def _refuse_known(digest: str) -> None:
    known = RulebookVersion.objects.filter(digest=digest).first()
    if known is not None:
        raise Conflict(
            f"This is rulebook {known.number}, digest for digest; nothing was published. To put it in force again, "
            f"POST /api/v1/rulebooks/{known.number}/publish/.",
            code="identical_rulebook",
            number=known.number,
        )


def rebase(draft: RulebookDraft, *, onto: int | None, prefer: str, by: str, now: datetime) -> dict[str, Any]:
    """Take over into a draft what another rulebook brought; what both changed is named, and the draft left as it is.

    Onto the shipped one where it is newer than what is in force, else onto that. `prefer` (`draft` or `rulebook`)
    settles what both changed. Raises Conflict with `rows` without it.
    """
    target = find(str(onto)) if onto is not None else max((state().in_force, state().shipped), key=lambda v: v.number)
    if isinstance(target, RulebookDraft):
        raise NotFound("A draft is rebased onto a published rulebook.")
    seen, ours = draft.revision, rows_of(draft)
    base, theirs = rows_of(_ancestor(draft.based_on, target)), rows_of(target)
    rows = _merged_rows(base, ours, theirs, prefer)
    with transaction.atomic():
        revision = revise(draft, by, now, based_on=target)
        if revision != seen + 1:
            raise Conflict("The draft changed while it was being rebased; repeat.", code="rulebook_moved")
        draft.rows.all().delete()
        keep_rows(draft, rows, revision)
    draft.refresh_from_db()
    return draft_head(draft)


def _ancestor(one: RulebookVersion, other: RulebookVersion) -> RulebookVersion:
    """The nearest rulebook that both stem from; the first itself where they have none in common."""
    line = {row.pk for row in _line(other)}
    return next((row for row in _line(one) if row.pk in line), one)


def _line(row: RulebookVersion | None) -> list[RulebookVersion]:
    found: list[RulebookVersion] = []
    while row is not None:
        found.append(row)
        row = row.based_on
    return found


def _merged_rows(base: tuple[Row, ...], ours: tuple[Row, ...], theirs: tuple[Row, ...], prefer: str) -> tuple[Row, ...]:
    old, mine, new = book_of(base), book_of(ours), book_of(theirs)
    both = [
        place
        for place in dict.fromkeys((*mine, *new, *old))
        if mine.get(place) != new.get(place) and old.get(place) not in (mine.get(place), new.get(place))
    ]
    if both and not prefer:
        named = [{"section": place[0], "key": place[1], "text": subject_of(place, {**new, **mine})} for place in both]
        more = f" and {len(named) - 1} more" if len(named) > 1 else ""
        raise Conflict(
            f"Both changed {named[0]['text']}{more}; say in prefer which to keep, draft or rulebook.",
            code="both_changed",
            rows=named[:MOST_TOLD],
        )
    chosen = {
        place: (mine if prefer == "draft" else new).get(place)
        if place in both
        else new.get(place)
        if mine.get(place) == old.get(place)
        else mine.get(place)
        for place in (*new, *(place for place in mine if place not in new))
    }
    return tuple(Row(*place, content) for place, content in chosen.items() if content is not None)
