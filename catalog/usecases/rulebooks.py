"""Publishing a rulebook: from then on every new check is decided by it, and it is never changed.

What is shipped is published by `publish_rulebook`, an editor's draft by `rulebook_publishing`. A newer shipped document
never pushes an editor's out of force: it gets its number, drafts are held to its gate, and its changes are taken over
by a draft.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Max

from catalog.domain.rulebook_document import digest_of, publication_problems, rulebook_from_document
from catalog.models import CatalogueState, RulebookVersion
from catalog.usecases.catalogue_writes import CatalogueWrite, catalogue_write
from service.errors import FieldProblem, Problems

SHIPPED_BY = "reference files"


@dataclass(frozen=True, slots=True)
class Published:
    """The rulebook's number, whether it was published just now, and which one is in force.

    `looser` is why the one in force, an editor's, would not be published today; empty where it would.
    """

    number: int
    new: bool
    in_force: int = 0
    looser: tuple[FieldProblem, ...] = ()


def publish_rulebook(document: Mapping[str, object], now: datetime) -> Published:
    """Publish what is shipped under the next number; one published before, digest for digest, is left as it is.

    It is in force at once where a shipped one, or none, was. Raises Problems, one for each reason why it may not be
    published.
    """
    problems = publication_problems(document, document)
    if problems:
        raise Problems(problems)
    digest = digest_of(document)
    rulebook_from_document(document, number=0, digest=digest)
    with catalogue_write(now) as write:
        known = RulebookVersion.objects.filter(digest=digest).first()
        state = CatalogueState.objects.select_related("rulebook").first()
        if known is not None and known.published_by == SHIPPED_BY:
            return Published(known.number, new=False, in_force=current_rulebook_number())
        write.begin()
        fields = {"document": document, "digest": digest, "published_by": SHIPPED_BY}
        row = known or add_version(write, now, **fields, based_on_id=state.shipped_id if state else None)
        edited = state.rulebook if state is not None and state.rulebook_id != state.shipped_id else None
        in_force = edited or row
        CatalogueState.objects.update(shipped=row, rulebook=in_force)
    looser = publication_problems(edited.document, document) if edited else ()
    return Published(row.number, known is None, in_force.number, looser)


def add_version(write: CatalogueWrite, now: datetime, **fields: object) -> RulebookVersion:
    """One more published rulebook. Inside a catalogue write, which is alone in drawing numbers."""
    last: int | None = RulebookVersion.objects.aggregate(last=Max("number"))["last"]
    row: RulebookVersion = RulebookVersion.objects.create(number=(last or 0) + 1, published_at=now, **fields)
    write.touched("rulebook.published", "rulebook", row.number)
    return row


def current_rulebook_number() -> int:
    """The number in force; 0 while none is."""
    number: int | None = CatalogueState.objects.values_list("rulebook__number", flat=True).first()
    return number or 0
