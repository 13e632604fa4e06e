"""Suppliers, and what each of them asks for a part."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import F, Q, UniqueConstraint, Value
from django.db.models.functions import Coalesce

from catalog.models import Part, Status
from kits.models.calendar import WorkCalendar
from kits.models.money_columns import currency, is_currency, never_below_zero
from kits.models.stock_import import StockImport
from service.operations.models import Dealer, OwnedQuerySet
from service.operations.zones import validate_zone

NUMBER_TEXT_LENGTH = 80


class Supplier(models.Model):
    """A house a dealer orders from. Amounts are ten-thousandths of its currency; null is not known.

    Orders in by `cut_off` in its zone count from that day. Without a calendar nobody knows on which days it works.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="suppliers")
    code = models.SlugField(max_length=40)
    name = models.CharField(max_length=200)
    zone = models.CharField(max_length=64, validators=[validate_zone])
    cut_off = models.TimeField(null=True, blank=True)
    currency = currency()
    order_charge = models.BigIntegerField(null=True, blank=True)
    minimum_value = models.BigIntegerField(null=True, blank=True)
    calendar = models.ForeignKey(
        WorkCalendar, on_delete=models.PROTECT, null=True, blank=True, related_name="suppliers"
    )
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.ACTIVE)
    version = models.PositiveIntegerField(default=1)

    objects = OwnedQuerySet["Supplier"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint("dealer", "code", name="supplier_code_once_a_dealer"),
            models.CheckConstraint(condition=~Q(code="") & ~Q(name="") & ~Q(zone=""), name="supplier_is_named"),
            models.CheckConstraint(condition=is_currency(), name="supplier_currency_is_three_capitals"),
            models.CheckConstraint(
                condition=never_below_zero("order_charge", "minimum_value"), name="supplier_amounts_not_below_zero"
            ),
            models.CheckConstraint(condition=Q(status__in=Status.values), name="supplier_status_is_known"),
        ]


class PriceQuerySet(models.QuerySet["SupplierPrice"]):
    """A price is its supplier's dealer's: it names no dealer of its own, so the two cannot differ."""

    def visible_to(self, dealer: Dealer | None) -> PriceQuerySet:
        """Only this dealer's own rows; without a dealer, none."""
        return self.none() if dealer is None else self.filter(supplier__dealer=dealer)


class SupplierPrice(models.Model):
    """What a supplier asks for a part: `price` ten-thousandths of its currency for `price_for` pieces.

    `content` is the microlitres in one container of goods supplied by volume, so that one part has a price for each
    size; null for pieces. `pack` and `minimum` are in pieces (containers). Both promised dates are those of a
    back-order. Null is not known.
    """

    # Found by the constraint of size below, which begins with it.
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="prices", db_index=False)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="supplier_prices")
    content = models.PositiveBigIntegerField(null=True, blank=True)
    number_text = models.CharField(max_length=NUMBER_TEXT_LENGTH, blank=True, default="")
    pack = models.PositiveIntegerField(default=1)
    minimum = models.PositiveIntegerField(default=0)
    price = models.BigIntegerField()
    price_for = models.PositiveIntegerField(default=1)
    currency = currency()
    lead_days = models.PositiveSmallIntegerField(null=True, blank=True)
    promised_earliest = models.DateField(null=True, blank=True)
    promised_latest = models.DateField(null=True, blank=True)
    core_charge = models.BigIntegerField(null=True, blank=True)
    returnable = models.BooleanField(null=True, blank=True)
    # The file that said so. Nothing is looked up by it, and no import is ever removed: that the row it names is there
    # would be asked of the database anew for each of a file's hundred thousand prices.
    stock_import = models.ForeignKey(
        StockImport,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="prices",
        db_index=False,
        db_constraint=False,
    )
    version = models.PositiveIntegerField(default=1)

    objects = PriceQuerySet.as_manager()

    class Meta:
        constraints = [
            UniqueConstraint(
                "supplier", "part", Coalesce("content", Value(0)), name="supplierprice_once_a_supplier_and_size"
            ),
            models.CheckConstraint(condition=Q(content=None) | Q(content__gte=1), name="supplierprice_size_is_filled"),
            models.CheckConstraint(
                condition=Q(pack__gte=1, minimum__gte=0, price_for__gte=1), name="supplierprice_pack_is_not_empty"
            ),
            models.CheckConstraint(condition=Q(price__gt=0), name="supplierprice_is_above_zero"),
            models.CheckConstraint(condition=is_currency(), name="supplierprice_currency_is_three_capitals"),
            models.CheckConstraint(condition=never_below_zero("core_charge"), name="supplierprice_core_not_below_zero"),
            models.CheckConstraint(
                condition=Q(promised_earliest=None, promised_latest=None)
                | Q(promised_earliest__isnull=False, promised_latest__gte=F("promised_earliest")),
                name="supplierprice_promise_is_a_range",
            ),
        ]
