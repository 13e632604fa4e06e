"""What answers about order plans look like, for the API's description alone."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from catalog.api.schemas import PageAnswer, PartSummary
from kits.api import order_vocabulary as vocabulary


def texts() -> serializers.ListField:
    return serializers.ListField(child=serializers.CharField())


class OrderAmount(serializers.Serializer[Any]):
    amount = serializers.CharField()
    currency = serializers.CharField()


class PartByNumber(serializers.Serializer[Any]):
    maker = serializers.CharField()
    number = serializers.CharField()


class PlannedLine(serializers.Serializer[Any]):
    kit = serializers.UUIDField()
    kit_number = serializers.IntegerField()
    line = serializers.IntegerField()
    machine = serializers.CharField()


class PlannedGoods(serializers.Serializer[Any]):
    part = PartSummary()
    content = serializers.CharField(allow_null=True, help_text="Litres in one container; null for pieces.")


class LastSafeDay(serializers.Serializer[Any]):
    day = serializers.DateField(help_text="The last safe day in the branch's zone.")
    instant = serializers.DateTimeField(allow_null=True, help_text="The supplier's cut-off, where one is recorded.")


class PurchaseAnswer(PlannedGoods):
    supplier = serializers.CharField()
    supplier_name = serializers.CharField()
    supplier_number = serializers.CharField(allow_null=True)
    packs = serializers.IntegerField()
    pack = serializers.IntegerField()
    pieces = serializers.IntegerField()
    minimum = serializers.IntegerField()
    pack_price = OrderAmount()
    cost = OrderAmount(help_text="Rounded by line.")
    core = OrderAmount(allow_null=True, help_text="Refundable, in no total of goods.")
    spare = serializers.IntegerField(help_text="Pieces that no line of the plan takes.")
    order_by = LastSafeDay(allow_null=True, help_text="Null for a back-order and for what serves no line in time.")
    arrives = serializers.DateField()
    promised_from = serializers.DateField(allow_null=True)
    returnable = serializers.BooleanField(allow_null=True)


class ServingAnswer(PlannedGoods):
    lines = PlannedLine(many=True)
    pieces = serializers.IntegerField()
    source = serializers.ChoiceField(choices=vocabulary.SERVED_FROM)  # type: ignore[assignment]
    supplier = serializers.CharField(allow_null=True)
    comes = serializers.DateField(allow_null=True, help_text="Null where it is here.")
    days_late = serializers.IntegerField()
    old_stock = serializers.BooleanField(help_text="An earlier number that may be used up on that machine.")


class WayAnswer(serializers.Serializer[Any]):
    way = serializers.ChoiceField(choices=vocabulary.WAYS)
    words = serializers.CharField()
    part = PartSummary(allow_null=True)


class LateLineAnswer(serializers.Serializer[Any]):
    lines = PlannedLine(many=True)
    part = PartSummary(allow_null=True)
    content = serializers.CharField(allow_null=True)
    pieces = serializers.IntegerField(allow_null=True)
    volume = serializers.CharField(allow_null=True, help_text="Litres, of a fluid.")
    needed_by = serializers.DateField()
    arrives = serializers.DateField(allow_null=True, help_text="Null where nothing serves it.")
    promised_from = serializers.DateField(allow_null=True)
    ways = WayAnswer(many=True)


class GapAnswer(serializers.Serializer[Any]):
    share = serializers.CharField(help_text="What a better plan could save at the most, as a share of the cost.")
    cost = OrderAmount()
    bound = OrderAmount()
    could_save = OrderAmount()


class PlannedKit(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    number = serializers.IntegerField()
    machine = serializers.CharField()
    work_order = serializers.CharField(allow_null=True)
    fitted_on = serializers.DateField()
    shelf = serializers.DateField(help_text="The branch's last working day before it.")


class WantedCounts(serializers.Serializer[Any]):
    need = serializers.IntegerField()
    short = serializers.IntegerField()
    order = serializers.IntegerField(allow_null=True)


class EarlierNumberAnswer(PlannedGoods):
    instead_of = PartSummary()
    free = serializers.IntegerField()
    allowed_on = texts()
    not_allowed_on = texts()
    without = WantedCounts()
    taken = serializers.IntegerField()
    words = serializers.CharField()

    def get_fields(self) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
        return {**super().get_fields(), "with": WantedCounts()}  # one of Python's own words


class FilledContainers(serializers.Serializer[Any]):
    content = serializers.CharField()
    count = serializers.IntegerField()
    price = OrderAmount()


class MixAnswer(serializers.Serializer[Any]):
    volume = serializers.CharField()
    containers = FilledContainers(many=True)
    cost = OrderAmount()
    left_over = serializers.CharField()


class JobMixAnswer(serializers.Serializer[Any]):
    job = serializers.CharField()
    volume = serializers.CharField()
    containers = FilledContainers(many=True, required=False)
    cost = OrderAmount(required=False)
    left_over = serializers.CharField(required=False)


class FluidAnswer(serializers.Serializer[Any]):
    part = PartByNumber()
    chosen = serializers.ChoiceField(choices=vocabulary.FLUID_BUYING)
    by_job = JobMixAnswer(many=True)
    apart = OrderAmount(allow_null=True)
    pooled = MixAnswer(allow_null=True)
    saves = OrderAmount(allow_null=True)
    words = serializers.CharField()


class PlannedKitOrLoose(serializers.Serializer[Any]):
    kit = serializers.UUIDField()
    kit_number = serializers.IntegerField()
    machine = serializers.CharField()
    boxed = PartSummary()
    supplier = serializers.CharField()
    boxed_price = OrderAmount()
    loose = OrderAmount(allow_null=True)
    to_buy = OrderAmount(allow_null=True, help_text="Loose, without what lies on the shelf for this kit.")
    loose_saves = OrderAmount(allow_null=True, help_text="Below zero where the boxed kit is cheaper.")
    boxed_whole = serializers.BooleanField(help_text="Whether the boxed kit could be shipped complete in time.")
    unpriced = PartByNumber(many=True)
    words = serializers.CharField()


class ReorderAnswer(PlannedGoods):
    left_after = serializers.IntegerField()
    reorder_point = serializers.IntegerField()
    pieces = serializers.IntegerField()
    supplier = serializers.CharField(allow_null=True)
    packs = serializers.IntegerField(allow_null=True)
    cost = OrderAmount(allow_null=True)


class PlacedOrderName(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    number = serializers.IntegerField()
    supplier = serializers.CharField()


class OrderPlanSummary(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    state = serializers.ChoiceField(choices=vocabulary.PLAN_STATES)
    job = serializers.UUIDField(allow_null=True, help_text="Null where nothing can be saved, or no time was given.")
    seconds = serializers.IntegerField()
    made_at = serializers.DateTimeField()
    made_by = serializers.CharField()
    branch = serializers.CharField()
    currency = serializers.CharField()
    goods = OrderAmount()
    charges = OrderAmount()
    gap = GapAnswer()


class PlanSettings(serializers.Serializer[Any]):
    old_stock = serializers.ChoiceField(choices=vocabulary.OLD_STOCK)
    fluids = serializers.ChoiceField(choices=vocabulary.FLUID_BUYING)


class OrderPlanAnswer(OrderPlanSummary):
    outdated = serializers.BooleanField(help_text="Kits, stock or prices have changed since; make it anew to order.")
    orders = PlacedOrderName(many=True)
    placed_at = serializers.DateTimeField()
    settings = PlanSettings()
    rounding = serializers.CharField()
    kits = PlannedKit(many=True)
    purchases = PurchaseAnswer(many=True)
    servings = ServingAnswer(many=True)
    late = LateLineAnswer(many=True)
    cores = OrderAmount(many=True)
    old_stock = EarlierNumberAnswer(many=True)
    fluids = FluidAnswer(many=True)
    kit_or_loose = PlannedKitOrLoose(many=True)
    reorder = ReorderAnswer(many=True)
    overpromised = PartByNumber(many=True, help_text="Parts of which more is promised than was last counted.")
    missing = texts()


class OrderPlanPage(PageAnswer):
    results = OrderPlanSummary(many=True)
