"""Publishing a rulebook: from then on every new check is decided by it, and it is never changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Max

from catalog.domain.rulebook_document import digest_of, publication_problems, rulebook_from_document
from catalog.models import CatalogueState, RulebookVersion
from catalog.usecases.catalogue_writes import catalogue_write
from service.errors import Problems


@dataclass(frozen=True, slots=True)
class Published:
    """The rulebook's number, and whether it was published just now."""

    number: int
    new: bool


def publish_rulebook(
    document: Mapping[str, object], now: datetime, *, shipped: Mapping[str, object] | None = None
) -> Published:
    """Publish a document under the next number; one published before, digest for digest, is left as it is.

    `shipped` is the document that the gate may not be loosened against, itself by default. Raises Problems, one for
    each reason why it may not be published.
    """
    problems = publication_problems(document, document if shipped is None else shipped)
    if problems:
        raise Problems(problems)
    digest = digest_of(document)
    rulebook_from_document(document, number=0, digest=digest)
    with catalogue_write(now) as write:
        known = RulebookVersion.objects.filter(digest=digest).values_list("number", flat=True).first()
        if known is not None:
            return Published(known, new=False)
        write.begin()
        last: int | None = RulebookVersion.objects.aggregate(last=Max("number"))["last"]
        row = RulebookVersion.objects.create(
            number=(last or 0) + 1, document=document, digest=digest, published_at=now
        )  # fmt: skip
        CatalogueState.objects.update(rulebook=row)
        write.touched("rulebook.published", "rulebook", row.number)
    return Published(row.number, new=True)


def current_rulebook_number() -> int:
    """The number in force; 0 while none is."""
    number: int | None = CatalogueState.objects.values_list("rulebook__number", flat=True).first()
    return number or 0
