"""How a part is shipped and by whom it is fitted, and which safety sheets have gone to whom."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.db.models.functions import Length
from django.db.models.lookups import Exact

from catalog.models import Customer, Part
from catalog.models.typed_values import choices
from kits.domain.packing import Nature, TransportClass
from service.operations.models import Dealer, OwnedQuerySet

REVISION_LENGTH = 40
UN_NUMBER_LENGTH = 6  # UN and four digits


class PartHandling(models.Model):
    """What a dealer knows of shipping and fitting a part. Empty texts and null are not known."""

    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="handling")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="handling")
    transport = models.CharField(max_length=20, choices=choices(TransportClass), default=TransportClass.UNKNOWN.value)
    un_number = models.CharField(max_length=UN_NUMBER_LENGTH, blank=True, default="")
    sheet_revision = models.CharField(max_length=REVISION_LENGTH, blank=True, default="")
    nature = models.CharField(max_length=20, choices=choices(Nature), default=Nature.PLAIN.value)
    fitted_by_licence = models.BooleanField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = OwnedQuerySet["PartHandling"].as_manager()

    class Meta:
        verbose_name_plural = "part handling"
        constraints = [
            models.UniqueConstraint("dealer", "part", name="parthandling_once_a_part"),
            models.CheckConstraint(condition=Q(transport__in=list(TransportClass)), name="parthandling_class_is_known"),
            models.CheckConstraint(condition=Q(nature__in=list(Nature)), name="parthandling_nature_is_known"),
            models.CheckConstraint(
                condition=Q(un_number="")
                | (Q(un_number__startswith="UN") & Q(Exact(Length("un_number"), UN_NUMBER_LENGTH))),
                name="parthandling_un_number_is_whole",
            ),
            models.CheckConstraint(
                condition=~Q(nature=Nature.LICENSED.value) | Q(fitted_by_licence=True),
                name="parthandling_licensed_is_fitted_by_licence",
            ),
        ]


class SheetSent(models.Model):
    """A safety sheet of one revision that went to a customer."""

    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="sheets_sent")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="sheets_sent")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="sheets_sent")
    revision = models.CharField(max_length=REVISION_LENGTH)
    sent_on = models.DateField()

    objects = OwnedQuerySet["SheetSent"].as_manager()

    class Meta:
        verbose_name_plural = "sheets sent"
        constraints = [
            models.UniqueConstraint("customer", "part", "revision", name="sheetsent_once_a_customer_and_revision"),
            models.CheckConstraint(condition=~Q(revision=""), name="sheetsent_has_a_revision"),
        ]
