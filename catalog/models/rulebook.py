"""Published rulebooks, and the one row that says which version of everything holds now."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q

DIGEST_LENGTH = 64


class RulebookVersion(models.Model):
    """One published document, never changed; `digest` is the SHA-256 of its canonical text."""

    number = models.PositiveIntegerField(unique=True)
    document: models.JSONField[Any, Any] = models.JSONField()
    digest = models.CharField(max_length=DIGEST_LENGTH, unique=True)
    published_at = models.DateTimeField()

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(number__gte=1), name="rulebookversion_is_numbered")]


class CatalogueState(models.Model):
    """One row: the version every catalogue write moves first, and the rulebook that is in force.

    `stamp` is drawn at random with every version, so that what a process keeps of one version is never taken for
    another's. Rows of the catalogue are written by `catalog.usecases` alone, which moves both.
    """

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    version = models.PositiveBigIntegerField(default=0)
    stamp = models.CharField(max_length=32, default="")
    rulebook = models.ForeignKey(RulebookVersion, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="cataloguestate_is_one_row")]
