"""Makers, their parts, what is recorded of each part, what it holds, and what else it needs."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.db.models import F, Q, UniqueConstraint, Value
from django.db.models.functions import Coalesce, Upper

from catalog.domain.lookup.look_alikes import look_alike_key
from catalog.domain.part_numbers import number_key, without_zeros
from catalog.domain.parts import PartCondition, SuppliedAs
from catalog.models.typed_values import TypedValue, choices

NUMBER_LENGTH = 80


class MakerQuerySet(models.QuerySet["Maker"]):
    def known_as(self, codes: Iterable[str]) -> frozenset[str]:
        """Those of the codes that are a maker's, whatever their case, as the makers write them."""
        wanted = sorted({code.upper() for code in codes})
        return frozenset(self.annotate(upper=Upper("code")).filter(upper__in=wanted).values_list("code", flat=True))


class Maker(models.Model):
    """Who makes a part or an engine; `code` is the short name it is quoted by."""

    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=200)

    objects = MakerQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(code="") & ~Q(name=""), name="maker_is_named"),
            UniqueConstraint(Upper("code"), name="maker_code_once_in_any_case"),
        ]

    def __str__(self) -> str:
        return self.code


class Status(models.TextChoices):
    """A withdrawn row stays, since checks point at it, and answers to no new question."""

    ACTIVE = "active"
    WITHDRAWN = "withdrawn"


class Part(models.Model):
    """A maker's number. `facts` is derived from the rows, see `catalog.models.facts`; its keys from the number.

    `held` is derived from its open holds, see `catalog.models.held`, so that they cost a check no statement.
    """

    maker = models.ForeignKey(Maker, on_delete=models.PROTECT, related_name="parts")
    number = models.CharField(max_length=NUMBER_LENGTH)
    # Compatibility forms may unfold into several characters.
    number_key = models.CharField(max_length=4 * NUMBER_LENGTH, db_index=True, editable=False)
    number_no_zeros = models.CharField(max_length=4 * NUMBER_LENGTH, db_index=True, editable=False)
    number_look_alike = models.CharField(max_length=4 * NUMBER_LENGTH, default="", editable=False)
    category = models.CharField(max_length=60, db_index=True)
    name = models.CharField(max_length=200, blank=True, default="")
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.ACTIVE)
    supplied_as = models.CharField(  # noqa: DJ001 - null is unknown
        max_length=20, choices=choices(SuppliedAs), null=True, blank=True
    )
    condition = models.CharField(max_length=10, choices=choices(PartCondition), default=PartCondition.NEW.value)
    in_chain = models.BooleanField(default=False, editable=False)  # whether any replacement names it
    facts = models.TextField(default="", editable=False)
    held = models.TextField(default="", blank=True, editable=False)
    changed_in = models.PositiveBigIntegerField(default=0)

    class Meta:
        indexes = [models.Index(fields=["number_look_alike"], name="part_by_look_alike")]
        constraints = [
            UniqueConstraint("maker", "number", name="part_number_once_a_maker"),
            models.CheckConstraint(condition=~Q(number="") & ~Q(number_key=""), name="part_has_a_number"),
            models.CheckConstraint(condition=~Q(category=""), name="part_has_a_category"),
            models.CheckConstraint(condition=Q(status__in=Status.values), name="part_status_is_known"),
            models.CheckConstraint(
                condition=Q(supplied_as=None) | Q(supplied_as__in=list(SuppliedAs)), name="part_supplied_as_is_known"
            ),
            models.CheckConstraint(condition=Q(condition__in=list(PartCondition)), name="part_condition_is_known"),
        ]

    def __str__(self) -> str:
        return f"{self.maker.code} {self.number}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        self.derive_keys()
        super().save(*args, **kwargs)

    @property
    def shown(self) -> str:
        return f"{self.maker.code} {self.number}"

    def derive_keys(self) -> None:
        """Work out what is searched by; belongs before every save, since bulk writes pass `save` by."""
        self.number_key = number_key(self.number)
        self.number_no_zeros = without_zeros(self.number_key)
        self.number_look_alike = look_alike_key(self.number_key)


class PartAttribute(TypedValue):
    """One value from one source; several sources may disagree about one place."""

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="attributes")

    class Meta(TypedValue.Meta):
        constraints = [
            *TypedValue.Meta.constraints,
            UniqueConstraint(
                "part",
                "attribute",
                Coalesce("slot", Value("")),
                "source_kind",
                "source_citation",
                name="partattribute_once_a_place_and_source",
            ),
        ]

    def __str__(self) -> str:
        return self.attribute if self.slot is None else f"{self.attribute}, {self.slot}"


class Barcode(models.Model):
    """A code on a package, and how many pieces are in it."""

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="barcodes")
    code = models.CharField(max_length=40, unique=True)
    pack_quantity = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(code=""), name="barcode_has_a_code"),
            models.CheckConstraint(condition=Q(pack_quantity__gte=1), name="barcode_package_is_not_empty"),
        ]


class PartContent(models.Model):
    """A part inside a kit or set, and how many.

    `only_together` marks the pieces of a matched set: they are never fitted apart, and a piece is of one such set.
    """

    container = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="contents")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="contained_in")
    quantity = models.PositiveIntegerField(default=1)
    only_together = models.BooleanField(default=False)

    class Meta:
        constraints = [
            UniqueConstraint("container", "part", name="partcontent_once_a_container"),
            UniqueConstraint(fields=["part"], condition=Q(only_together=True), name="partcontent_of_one_matched_set"),
            models.CheckConstraint(condition=~Q(container=F("part")), name="partcontent_is_not_itself"),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="partcontent_is_not_empty"),
        ]


class PartNeed(models.Model):
    """A part that is needed as well when this one is fitted: a gasket, a washer, a bolt that stretches."""

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="needs")
    needed = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="needed_for")
    quantity = models.PositiveIntegerField(default=1)
    reason = models.CharField(max_length=200, blank=True, default="")

    class Meta:
        constraints = [
            UniqueConstraint("part", "needed", name="partneed_once_a_part"),
            models.CheckConstraint(condition=~Q(part=F("needed")), name="partneed_is_not_itself"),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="partneed_is_not_empty"),
        ]
