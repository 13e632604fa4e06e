"""Published rulebooks, drafts of the next one, and the one row that says which version of everything holds now."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q

DIGEST_LENGTH = 64
KEY_LENGTH = 200
NAME_LENGTH = 200


class RulebookVersion(models.Model):
    """One published document, never changed; `digest` is the SHA-256 of its canonical text.

    `based_on` is the one it was drafted from, or for shipped ones the shipped one before.
    """

    number = models.PositiveIntegerField(unique=True)
    document: models.JSONField[Any, Any] = models.JSONField()
    digest = models.CharField(max_length=DIGEST_LENGTH, unique=True)
    published_at = models.DateTimeField()
    published_by = models.CharField(max_length=NAME_LENGTH, blank=True, default="")
    note = models.TextField(blank=True, default="")
    based_on = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(number__gte=1), name="rulebookversion_is_numbered")]

    def __str__(self) -> str:
        return f"Rulebook {self.number}"


class DraftStatus(models.TextChoices):
    OPEN = "open"
    PUBLISHED = "published"
    DISCARDED = "discarded"


class RulebookDraft(models.Model):
    """A rulebook being edited. `revision` moves with every edit of any of its rows."""

    name = models.CharField(max_length=NAME_LENGTH)
    note = models.TextField(blank=True, default="")
    based_on = models.ForeignKey(RulebookVersion, on_delete=models.PROTECT, related_name="+")
    status = models.CharField(max_length=10, choices=DraftStatus.choices, default=DraftStatus.OPEN)
    published = models.ForeignKey(RulebookVersion, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    revision = models.PositiveBigIntegerField(default=1)
    created_at = models.DateTimeField()
    revised_at = models.DateTimeField()
    revised_by = models.CharField(max_length=NAME_LENGTH, blank=True, default="")

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="rulebookdraft_is_named"),
            models.CheckConstraint(condition=Q(status__in=DraftStatus.values), name="rulebookdraft_status_is_known"),
            models.CheckConstraint(
                condition=Q(status=DraftStatus.PUBLISHED, published__isnull=False)
                | (~Q(status=DraftStatus.PUBLISHED) & Q(published=None)),
                name="rulebookdraft_published_as_a_number",
            ),
        ]


class DraftRow(models.Model):
    """One row of a draft: a rule, an attribute, a pair of a table. `changed_in` is the draft's revision it is of."""

    draft = models.ForeignKey(RulebookDraft, on_delete=models.CASCADE, related_name="rows")
    section = models.CharField(max_length=40)
    key = models.CharField(max_length=KEY_LENGTH)
    position = models.PositiveIntegerField(default=0)
    content: models.JSONField[Any, Any] = models.JSONField()
    changed_in = models.PositiveBigIntegerField(default=1)

    class Meta:
        constraints = [
            models.UniqueConstraint("draft", "section", "key", name="draftrow_once_a_draft"),
            models.CheckConstraint(condition=~Q(section="") & ~Q(key=""), name="draftrow_has_a_key"),
        ]


class CatalogueState(models.Model):
    """One row: the version every catalogue write moves first, and the rulebook that is in force.

    `stamp` is drawn at random with every version, so that what a process keeps of one version is never taken for
    another's. Rows of the catalogue are written by `catalog.usecases` alone, which moves both. `shipped` is the
    rulebook last loaded from the reference files: no draft may be looser at the gate than it.
    """

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    version = models.PositiveBigIntegerField(default=0)
    stamp = models.CharField(max_length=32, default="")
    rulebook = models.ForeignKey(RulebookVersion, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    shipped = models.ForeignKey(RulebookVersion, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="cataloguestate_is_one_row")]
