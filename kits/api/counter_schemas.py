"""What a counter answer looks like, for the API's description alone."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from catalog.api.also_needed import NeededAnswer
from catalog.api.schemas import CheckAnswer, FactAnswer, MissingAnswer, NumberAnswer, PartSummary
from catalog.domain.answers import Verdict
from kits.api.schemas import MoneyAnswer
from kits.domain.counter.offering import OfferFirst, OfferState, Sort
from kits.domain.money import Rounding
from kits.domain.stock import PassedOver


def _one_of(words: Any, **more: Any) -> serializers.RegexField:
    return serializers.RegexField(f"^({'|'.join(words)})$", **more)


def _texts() -> serializers.ListField:
    return serializers.ListField(child=serializers.CharField())


class ContentSizeAnswer(serializers.Serializer[Any]):
    value = serializers.CharField()
    unit = serializers.CharField()


class CounterBranchAnswer(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField()


class CounterOfferAnswer(serializers.Serializer[Any]):
    state = _one_of(OfferState)
    conditions = _texts()
    approval = serializers.DictField(allow_null=True, help_text="The approval that applies now.")
    approvable_by = serializers.CharField(allow_null=True)
    text = serializers.CharField()


class CounterChoiceAnswer(serializers.Serializer[Any]):
    parts = NumberAnswer(many=True)
    state = _one_of(OfferState)
    free = serializers.IntegerField(allow_null=True)
    enough = serializers.BooleanField(allow_null=True)

    def get_fields(self) -> dict[str, Any]:
        # `as` is a word of Python's and can be no class attribute.
        return {"as": _one_of(Sort), **super().get_fields()}


class CounterBinAnswer(serializers.Serializer[Any]):
    bin = serializers.CharField(allow_blank=True)
    date_code = serializers.DateField(allow_null=True)
    quantity = serializers.IntegerField()


class PassedOverBinAnswer(serializers.Serializer[Any]):
    bin = serializers.CharField(allow_blank=True)
    quantity = serializers.IntegerField()
    why = _one_of(PassedOver)
    text = serializers.CharField()


class FreeElsewhereAnswer(serializers.Serializer[Any]):
    branch = serializers.CharField()
    free = serializers.IntegerField()


class CounterIncomingAnswer(serializers.Serializer[Any]):
    quantity = serializers.IntegerField(help_text="Pieces that are meant for no job yet.")
    arrives_by = serializers.DateField(allow_null=True, help_text="Null where nobody promised a day.")


class OrderByAnswer(serializers.Serializer[Any]):
    day = serializers.DateField(help_text="In the branch's zone.")
    cut_off = serializers.DateTimeField(allow_null=True, help_text="Null where no cut-off hour is recorded.")


class OrderedNowAnswer(serializers.Serializer[Any]):
    """The earliest arrival of an order placed now; all but `missing` and `text` are null where it is not known."""

    supplier = CounterBranchAnswer(allow_null=True)
    arrives = serializers.DateField(allow_null=True)
    back_order_from = serializers.DateField(allow_null=True, help_text="The near end of a promise on back-order.")
    order_by = OrderByAnswer(allow_null=True)
    pieces = serializers.IntegerField(allow_null=True, help_text="What is short, in whole packs.")
    pack = serializers.IntegerField(allow_null=True)
    minimum = serializers.IntegerField(allow_null=True)
    returnable = serializers.BooleanField(allow_null=True)
    missing = _texts()
    text = serializers.CharField()


class CounterStockAnswer(serializers.Serializer[Any]):
    """One part, or one size of container of it. Where nothing is recorded of it here, its counts are null and not 0."""

    part = PartSummary()
    content = ContentSizeAnswer(allow_null=True, help_text="Of goods supplied by volume, what a container holds.")
    needed = serializers.IntegerField(allow_null=True)
    recorded = serializers.BooleanField()
    on_hand = serializers.IntegerField(allow_null=True)
    reserved = serializers.IntegerField(allow_null=True)
    free = serializers.IntegerField(allow_null=True)
    short = serializers.IntegerField(allow_null=True)
    bins = CounterBinAnswer(many=True, help_text="Where the free pieces lie, oldest date code first.")
    passed_over = PassedOverBinAnswer(many=True)
    overpromised = serializers.BooleanField(help_text="More is promised than was there when it was counted.")
    elsewhere = FreeElsewhereAnswer(many=True)
    incoming = CounterIncomingAnswer(many=True)
    if_ordered_now = OrderedNowAnswer(allow_null=True, help_text="Null where what is free is enough.")
    text = serializers.CharField()


class PackAnswer(serializers.Serializer[Any]):
    supplier = serializers.CharField()
    pack = serializers.IntegerField()
    minimum = serializers.IntegerField()


class CoreChargeAnswer(serializers.Serializer[Any]):
    supplier = serializers.CharField()
    each = MoneyAnswer(allow_null=True, help_text="Null where it is not recorded.")


class CounterPriceAnswer(serializers.Serializer[Any]):
    part = PartSummary()
    content = ContentSizeAnswer(allow_null=True)
    each = MoneyAnswer(allow_null=True, help_text="Null where it is not recorded, and where it is not offered.")
    quantity = serializers.IntegerField(allow_null=True)
    line = MoneyAnswer(allow_null=True, help_text="Rounded as the currency is paid; without core charges.")
    packs = PackAnswer(many=True)
    core_charges = CoreChargeAnswer(many=True)
    text = serializers.CharField()


class CounterPricesAnswer(serializers.Serializer[Any]):
    parts = CounterPriceAnswer(many=True)
    totals = MoneyAnswer(many=True, help_text="One for each currency; without core charges.")
    rounding = _one_of(Rounding)
    unpriced = serializers.ListField(child=serializers.CharField(), help_text="Parts that are in no total.")


class CounterNeededAnswer(NeededAnswer):
    stock = CounterStockAnswer(many=True)
    price = CounterPriceAnswer(many=True)


class CounterNeedsAnswer(serializers.Serializer[Any]):
    text = serializers.CharField()
    results = CounterNeededAnswer(many=True)


class CounterAlternativeAnswer(serializers.Serializer[Any]):
    part = PartSummary()
    verdict = _one_of((Verdict.ACCEPTED, Verdict.CONDITIONAL))
    headline = serializers.CharField()
    conditions = _texts()
    free_here = serializers.BooleanField()
    stock = CounterStockAnswer(many=True)
    price = CounterPriceAnswer(many=True)


class CounterOldStockAnswer(CounterAlternativeAnswer):
    instead_of = NumberAnswer()
    why = serializers.CharField(help_text="Why it may be used up on this engine.")


class NotOfferedAnswer(serializers.Serializer[Any]):
    part = PartSummary()
    verdict = _one_of(Verdict, allow_null=True)
    why = serializers.CharField()
    missing = MissingAnswer(many=True)
    instead = PartSummary(many=True, help_text="The numbers that stand for it on this engine.")
    free = serializers.IntegerField()


class HeardAnswer(serializers.Serializer[Any]):
    stale = serializers.BooleanField(allow_null=True, help_text="Older than a day; null where its age is not known.")
    feed = serializers.CharField(allow_null=True)
    as_of = serializers.DateField(allow_null=True)
    applied_at = serializers.DateTimeField(allow_null=True)


class CounterAgeAnswer(serializers.Serializer[Any]):
    asked_at = serializers.DateTimeField()
    stock = HeardAnswer(help_text="The feed of stock that was heard least lately.")
    prices = HeardAnswer(help_text="The feed of prices that was heard least lately.")
    check_catalogue_version = serializers.IntegerField()
    others_catalogue_version = serializers.IntegerField(help_text="At which old stock and alternatives were decided.")


class CounterAnswer(serializers.Serializer[Any]):
    check = CheckAnswer()
    offer = CounterOfferAnswer()
    branch = CounterBranchAnswer()
    headline_stock = serializers.CharField()
    offer_first = _one_of(OfferFirst)
    offered = CounterChoiceAnswer(many=True, help_text="What may be handed over, the first first.")
    stock = CounterStockAnswer(many=True, help_text="Of each part to use.")
    price = CounterPricesAnswer()
    also_needed = CounterNeedsAnswer()
    old_stock = CounterOldStockAnswer(many=True, help_text="Earlier numbers that lie free here and may be used up.")
    old_stock_missing = FactAnswer(many=True, help_text="What might allow more of them.")
    alternatives = CounterAlternativeAnswer(many=True, help_text="What would do, those that lie free here first.")
    not_offered = NotOfferedAnswer(many=True, help_text="Of the same category, lying free here, and why not offered.")
    more_not_offered = serializers.IntegerField()
    not_looked_at = serializers.IntegerField(help_text="Parts of the category lying here that were not decided.")
    age = CounterAgeAnswer()
