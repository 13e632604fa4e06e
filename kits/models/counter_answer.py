"""What was told at a counter beside a check: the shelf, the prices and the other parts as they were then."""

from __future__ import annotations

from django.db import models

from catalog.models import Check
from service.operations.models import Branch


class CounterAnswer(models.Model):
    """Kept so that the page of an answer shows what was said, as it was said. `beside` is JSON, as text.

    The check keeps the verdict; what is free and what it costs moves on, so whoever shows this says how old it is.
    """

    check_asked = models.OneToOneField(Check, on_delete=models.CASCADE, primary_key=True, related_name="told_beside")
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="+")
    beside = models.TextField()
    told_at = models.DateTimeField()
