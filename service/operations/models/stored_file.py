"""Files that were sent to be worked on, kept byte for byte."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models
from django.db.models import Q
from django.db.models.functions import Length
from django.db.models.lookups import Exact

from service.operations.models.dealer import Dealer
from service.operations.models.owned import OwnedQuerySet

SHA256_LENGTH = 64
NAME_LENGTH = 200


class StoredFile(models.Model):
    """One file of one dealer; without a dealer, of those who work on the shared catalogue. `sha256` is hex."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, null=True, blank=True, related_name="files")
    name = models.CharField(max_length=NAME_LENGTH)
    sha256 = models.CharField(max_length=SHA256_LENGTH, db_index=True)
    content: models.BinaryField[Any, Any] = models.BinaryField()
    created_at = models.DateTimeField(db_index=True)

    objects = OwnedQuerySet["StoredFile"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(Exact(Length("sha256"), SHA256_LENGTH)), name="storedfile_hash_is_whole"
            ),
            models.CheckConstraint(condition=~Q(name=""), name="storedfile_is_named"),
        ]
