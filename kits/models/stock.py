"""What a branch has of a part: its pieces by bin and date code, what of them is promised, and what is on its way."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.db.models import F, Q, Sum, UniqueConstraint, Value
from django.db.models.functions import Coalesce

from catalog.models import Part
from kits.models.money_columns import currency, is_currency, never_below_zero
from kits.models.supplier import Supplier
from service.operations.models import Branch, Dealer, OwnedQuerySet

BIN_LENGTH = 40
LINE_LENGTH = 80


class StockItem(models.Model):
    """All of one part at one branch; `content` is the microlitres in one container, null for pieces.

    `counter_price` is what one piece costs at the counter, in ten-thousandths of `counter_currency`. `ages` marks
    goods that may be fitted only up to an age: of them pieces without a date code and a last day are never promised.
    """

    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="stock_items")
    # Found by the constraint of size below, which begins with it.
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="stock_items", db_index=False)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="stock_items")
    content = models.PositiveBigIntegerField(null=True, blank=True)
    counter_price = models.BigIntegerField(null=True, blank=True)
    counter_currency = currency(blank=True, default="")
    ages = models.BooleanField(default=False)
    reorder_point = models.PositiveIntegerField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = OwnedQuerySet["StockItem"].as_manager()

    class Meta:
        constraints = [
            UniqueConstraint("branch", "part", Coalesce("content", Value(0)), name="stockitem_once_a_branch_and_size"),
            models.CheckConstraint(condition=Q(content=None) | Q(content__gte=1), name="stockitem_size_is_filled"),
            models.CheckConstraint(
                condition=Q(counter_price=None, counter_currency="")
                | (Q(counter_price__isnull=False) & is_currency("counter_currency")),
                name="stockitem_price_has_its_currency",
            ),
            models.CheckConstraint(condition=never_below_zero("counter_price"), name="stockitem_price_not_below_zero"),
        ]


class StockBatchQuerySet(models.QuerySet["StockBatch"]):
    def reserve(self, batch: int, pieces: int) -> bool:
        """Promise that many more pieces of one batch; answers whether they were there to be promised.

        One statement, so of two that want the last piece exactly one gets it.
        """
        if pieces < 1:
            raise ValueError("Reserve at least one piece.")
        free = self.filter(pk=batch, on_hand__gte=F("reserved") + pieces)
        return bool(free.update(reserved=F("reserved") + pieces))

    def release(self, batch: int, pieces: int) -> bool:
        """Take back a promise of that many pieces; answers whether so many were promised."""
        if pieces < 1:
            raise ValueError("Release at least one piece.")
        return bool(self.filter(pk=batch, reserved__gte=pieces).update(reserved=F("reserved") - pieces))

    def take_out(self, batch: int, pieces: int) -> bool:
        """Pieces that were promised leave the shelf; answers whether so many were both there and promised."""
        if pieces < 1:
            raise ValueError("Take out at least one piece.")
        there = self.filter(pk=batch, reserved__gte=pieces, on_hand__gte=pieces)
        return bool(there.update(reserved=F("reserved") - pieces, on_hand=F("on_hand") - pieces))

    def overpromised(self) -> StockBatchQuerySet:
        """Batches that were counted and hold less than is promised: whoever was promised them is to look again."""
        return self.filter(reserved__gt=F("on_hand"))


class StockBatch(models.Model):
    """Pieces in one bin with one date code, which is the day they were made; `expires` the last day to fit them.

    A count may say that less is there than is promised. Both stand as they are, `overpromised` finds such batches, and
    nothing more is promised of them.
    """

    # Found by the constraint of places below, which begins with it.
    item = models.ForeignKey(StockItem, on_delete=models.CASCADE, related_name="batches", db_index=False)
    bin = models.CharField(max_length=BIN_LENGTH, blank=True, default="")
    date_code = models.DateField(null=True, blank=True)
    expires = models.DateField(null=True, blank=True)
    on_hand = models.PositiveIntegerField(default=0)
    reserved = models.PositiveIntegerField(default=0)

    objects = StockBatchQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "stock batches"
        constraints = [
            UniqueConstraint(fields=["item", "bin", "date_code"], name="stockbatch_once_a_place"),
            UniqueConstraint(
                fields=["item", "bin"], condition=Q(date_code=None), name="stockbatch_once_a_place_without_code"
            ),
            models.CheckConstraint(condition=Q(on_hand__gte=0, reserved__gte=0), name="stockbatch_not_below_zero"),
        ]


class IncomingQuerySet(models.QuerySet["Incoming"]):
    def unassigned_of(self, items: Iterable[Any]) -> int:
        """Pieces on their way that are meant for no job yet."""
        found = self.filter(item__in=items).aggregate(pieces=Sum(F("quantity") - F("assigned")))
        return int(found["pieces"] or 0)


class Incoming(models.Model):
    """Ordered and not here: how many, how many of them are meant for a job already, and when they were promised.

    Without a promise nobody knows when it comes. `order_line` says which order it is of, in words.
    """

    item = models.ForeignKey(StockItem, on_delete=models.PROTECT, related_name="incoming")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="incoming")
    quantity = models.PositiveIntegerField()
    assigned = models.PositiveIntegerField(default=0)
    promised_earliest = models.DateField(null=True, blank=True)
    promised_latest = models.DateField(null=True, blank=True)
    order_line = models.CharField(max_length=LINE_LENGTH, blank=True, default="")

    objects = IncomingQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "incoming"
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity__gte=1, assigned__gte=0, assigned__lte=F("quantity")),
                name="incoming_assigned_within_quantity",
            ),
            models.CheckConstraint(
                condition=Q(promised_earliest=None, promised_latest=None)
                | Q(promised_earliest__isnull=False, promised_latest__gte=F("promised_earliest")),
                name="incoming_promise_is_a_range",
            ),
        ]
