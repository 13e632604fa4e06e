"""Order plans as they were worked out, and orders to suppliers."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models
from django.db.models import F, Q, UniqueConstraint
from django.db.models.functions import Length, Upper
from django.db.models.lookups import Exact

from catalog.models import Part
from kits.models.kit import Kit, KitUse
from kits.models.stock import Incoming
from kits.models.supplier import Supplier
from service.operations.models import Branch, Dealer, Job, OwnedQuerySet

DIGEST_LENGTH = 64


class OrderPlan(models.Model):
    """What to order for some kits of one branch. `answer` is JSON text, so that it reads as it was.

    `digest` is of all it was decided from (SHA-256, hex): another digest now means that kits, stock or prices have
    changed since. `gap` is what a better plan could save at the most, proven, as a share of the cost. `improved` says
    whether a solver has looked for a better one. `bought` is what to order: for each price its packs, and what of them
    is meant for which use of a kit.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="order_plans")
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="order_plans")
    kits: models.ManyToManyField[Kit, Any] = models.ManyToManyField(Kit, related_name="order_plans")
    asked: models.JSONField[Any, Any] = models.JSONField(default=dict)
    digest = models.CharField(max_length=DIGEST_LENGTH)
    answer = models.TextField()
    bought: models.JSONField[Any, Any] = models.JSONField(default=list)
    gap = models.FloatField(default=0)
    improved = models.BooleanField(default=False)
    job = models.ForeignKey(Job, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=250)
    version = models.PositiveIntegerField(default=1)

    objects = OwnedQuerySet["OrderPlan"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["dealer", "made_at", "id"], name="orderplan_of_a_dealer")]
        constraints = [
            models.CheckConstraint(condition=Q(gap__gte=0, gap__lte=1), name="orderplan_gap_is_a_share"),
            models.CheckConstraint(
                condition=Q(Exact(Length("digest"), DIGEST_LENGTH)), name="orderplan_digest_is_whole"
            ),
        ]


class OrderState(models.TextChoices):
    PLACED = "placed"
    RECEIVED = "received"
    CANCELLED = "cancelled"


class Order(models.Model):
    """One order to one supplier, by this dealer's own count. Money is in ticks of `currency`, rounded by line."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="orders")
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="orders")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")
    number = models.PositiveIntegerField()
    state = models.CharField(max_length=9, choices=OrderState.choices, default=OrderState.PLACED)
    plan = models.ForeignKey(OrderPlan, on_delete=models.PROTECT, null=True, blank=True, related_name="orders")
    currency = models.CharField(max_length=3)
    goods = models.BigIntegerField()
    charge = models.BigIntegerField(default=0)
    placed_at = models.DateTimeField()
    placed_by = models.CharField(max_length=250)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.CharField(max_length=250, blank=True, default="")
    note = models.CharField(max_length=1000, blank=True, default="")
    version = models.PositiveIntegerField(default=1)

    objects = OwnedQuerySet["Order"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["dealer", "placed_at", "id"], name="order_of_a_dealer")]
        constraints = [
            UniqueConstraint("dealer", "number", name="order_number_once_a_dealer"),
            models.CheckConstraint(condition=Q(state__in=OrderState.values), name="order_state_is_known"),
            models.CheckConstraint(condition=Q(goods__gte=0, charge__gte=0), name="order_costs_nothing_below_zero"),
            models.CheckConstraint(
                condition=Q(Exact(Length("currency"), 3)) & Q(currency=Upper(F("currency"))),
                name="order_currency_is_three_capitals",
            ),
            models.CheckConstraint(
                condition=Q(state="placed", ended_at=None, ended_by="")
                | (~Q(state="placed") & Q(ended_at__isnull=False) & ~Q(ended_by="")),
                name="order_ended_by_somebody",
            ),
        ]


class OrderLine(models.Model):
    """Whole packs of one part, or of its containers of `content` microlitres, at the price of that day.

    `price` is for `price_for` pieces; `core` is the refundable charge of the whole line, in no total of goods.
    `incoming` is what of it is still on its way, and is gone once all of it is here or the order is cancelled.
    """

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="lines")
    line = models.PositiveSmallIntegerField()
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="order_lines")
    content = models.PositiveBigIntegerField(null=True, blank=True)
    supplier_number = models.CharField(max_length=200, blank=True, default="")
    packs = models.PositiveIntegerField()
    pack = models.PositiveIntegerField(default=1)
    price = models.BigIntegerField()
    price_for = models.PositiveIntegerField(default=1)
    total = models.BigIntegerField()
    core = models.BigIntegerField(null=True, blank=True)
    returnable = models.BooleanField(null=True, blank=True)
    expected = models.DateField(null=True, blank=True)
    received = models.PositiveIntegerField(default=0)
    incoming = models.OneToOneField(Incoming, on_delete=models.SET_NULL, null=True, blank=True, related_name="ordered")

    class Meta:
        ordering = ["line"]
        constraints = [
            UniqueConstraint("order", "line", name="orderline_number_once_an_order"),
            models.CheckConstraint(
                condition=Q(packs__gte=1, pack__gte=1, price_for__gte=1), name="orderline_orders_whole_packs"
            ),
            models.CheckConstraint(condition=Q(price__gte=0, total__gte=0), name="orderline_costs_nothing_below_zero"),
            models.CheckConstraint(
                condition=Q(received__lte=F("packs") * F("pack")), name="orderline_receives_no_more_than_ordered"
            ),
        ]

    @property
    def pieces(self) -> int:
        return self.packs * self.pack


class Allocation(models.Model):
    """Pieces of an order line meant for a kit's use; what is not allocated is free to the next job.

    `kept` of them have come and are reserved for the use. Of a container that several kits share there are no pieces:
    `volume` microlitres of what the line brings are meant for this one.
    """

    line = models.ForeignKey(OrderLine, on_delete=models.CASCADE, related_name="allocations")
    use = models.ForeignKey(KitUse, on_delete=models.CASCADE, related_name="allocations")
    quantity = models.PositiveIntegerField(default=0)
    kept = models.PositiveIntegerField(default=0)
    volume = models.PositiveBigIntegerField(null=True, blank=True)

    class Meta:
        constraints = [
            UniqueConstraint("line", "use", name="allocation_use_once_a_line"),
            models.CheckConstraint(
                condition=Q(quantity__gte=1, volume=None) | Q(quantity=0, volume__gte=1),
                name="allocation_is_of_something",
            ),
            models.CheckConstraint(condition=Q(kept__lte=F("quantity")), name="allocation_keeps_no_more_than_meant"),
        ]

    @property
    def open(self) -> int:
        """Pieces of it that have not come yet."""
        return self.quantity - self.kept
