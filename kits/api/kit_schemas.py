"""What kits look like in answers, for the API's description alone."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from catalog.api.approval_schemas import OrderName, PrintedName, WorkOrderAnswer
from catalog.api.schemas import CautionAnswer, PageAnswer, PartSummary
from kits.api import vocabulary
from kits.api.plan_schemas import AmountAnswer, texts
from kits.api.record_schemas import MissingFactAnswer
from service.http.operation_schemas import Members


@extend_schema_field({"type": "array", "items": {"type": "object", "additionalProperties": True}})
class Entries(serializers.Field[Any, Any, Any, Any]):
    """A list of objects whose members depend on what was done."""


class MoneyAmount(serializers.Serializer[Any]):
    amount = serializers.CharField(help_text="A decimal text, with at least the decimals of its currency.")
    currency = serializers.CharField(help_text="ISO 4217.")


class KitMachine(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    name = serializers.CharField()
    serial = serializers.CharField(allow_null=True)


class KitHead(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    number = serializers.IntegerField(help_text="By the dealer's own count.")
    state = serializers.ChoiceField(choices=vocabulary.KIT_STATES)
    complete = serializers.BooleanField(help_text="Every line accepted, or conditional with an approval that applies.")
    machine = KitMachine()
    customer = serializers.CharField(allow_null=True)
    branch = serializers.CharField()
    work_order = OrderName(allow_null=True)
    as_of = serializers.DateField()
    fitted_on = serializers.DateField()
    built_at = serializers.DateTimeField()
    built_by = serializers.CharField()


class KitPage(PageAnswer):
    results = KitHead(many=True)


class KitPlan(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    code = serializers.CharField()
    version = serializers.IntegerField()
    changed = serializers.BooleanField(help_text="Whether the plan has changed since the kit was built.")


class LineCheckAnswer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    verdict = serializers.ChoiceField(choices=vocabulary.VERDICTS)
    headline = serializers.CharField()
    conditions = texts()


class KitAlternative(serializers.Serializer[Any]):
    part = PrintedName()
    verdict = serializers.ChoiceField(choices=vocabulary.VERDICTS)
    headline = serializers.CharField()


class BinAnswer(serializers.Serializer[Any]):
    bin = serializers.CharField(allow_blank=True)
    date_code = serializers.DateField(allow_null=True)
    quantity = serializers.IntegerField()
    reserved = serializers.BooleanField()


class TooOldAnswer(serializers.Serializer[Any]):
    bin = serializers.CharField(allow_blank=True)
    quantity = serializers.IntegerField()
    why = serializers.ChoiceField(choices=vocabulary.PASSED_OVER)


class OtherSizeAnswer(serializers.Serializer[Any]):
    content = serializers.CharField(help_text="Litres in one container.")
    free = serializers.IntegerField()


class KitOldStockPart(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    maker = serializers.CharField()
    number = serializers.CharField()


class KitOldStockAnswer(serializers.Serializer[Any]):
    part = KitOldStockPart()
    free = serializers.IntegerField()
    why = serializers.CharField(help_text="What its own check on this machine says.")


class InsteadAnswer(serializers.Serializer[Any]):
    """What else lies free that would do, where too little does of the part itself; nothing of it is taken by itself."""

    other_sizes = OtherSizeAnswer(many=True, help_text="Of a fluid, containers of other sizes.")
    old_stock = KitOldStockAnswer(
        many=True, help_text="Earlier numbers that may be used up here, where somebody settles the line with one."
    )


class KitStock(serializers.Serializer[Any]):
    """The shelf of the kit's branch now. A number that is null is not known: nothing is recorded of the part there."""

    recorded = serializers.BooleanField()
    free = serializers.IntegerField(allow_null=True, help_text="Neither promised nor too old on the day of fitting.")
    reserved = serializers.IntegerField(help_text="For this kit.")
    incoming = serializers.IntegerField(
        allow_null=True, help_text="Promised in time, and meant for this kit or for no job yet."
    )
    short = serializers.IntegerField(allow_null=True)
    bins = BinAnswer(many=True, help_text="The oldest date code first.")
    passed_over = TooOldAnswer(many=True)
    instead = InsteadAnswer()


class KitUseAnswer(serializers.Serializer[Any]):
    part = PartSummary()
    content = serializers.CharField(allow_null=True, help_text="Litres in one container; null for pieces.")
    quantity = serializers.IntegerField()
    price = MoneyAmount(allow_null=True, help_text="The least that a supplier asks for one.")
    stock = KitStock(allow_null=True, help_text="Null once the kit has ended.")


class ContainerAnswer(serializers.Serializer[Any]):
    content = serializers.CharField(help_text="Litres.")
    count = serializers.IntegerField()


class ChosenPartAnswer(serializers.Serializer[Any]):
    by = serializers.CharField()
    at = serializers.DateTimeField()
    instead_of = PrintedName(allow_null=True)


class ToFollowAnswer(serializers.Serializer[Any]):
    reason = serializers.CharField()


class KitLineAnswer(serializers.Serializer[Any]):
    line = serializers.IntegerField()
    position = serializers.CharField(allow_null=True)
    part = PartSummary(allow_null=True)
    quantity = AmountAnswer(help_text="Pieces, or litres as a decimal text; null where it is not known.")
    unit = serializers.ChoiceField(choices=vocabulary.KIT_UNITS)
    containers = ContainerAnswer(many=True)
    left_over = serializers.CharField(allow_null=True, help_text="Litres left in the containers.")
    tasks = texts()
    asked_by = serializers.CharField(allow_null=True)
    check = LineCheckAnswer(allow_null=True)
    state = serializers.ChoiceField(choices=vocabulary.LINE_STATES)
    settled = serializers.BooleanField()
    words = texts()
    missing = MissingFactAnswer(many=True)
    alternatives = KitAlternative(many=True)
    choice = ChosenPartAnswer(allow_null=True, help_text="Who put this part in the place of another.")
    to_follow = ToFollowAnswer(allow_null=True)
    use = KitUseAnswer(many=True)


class KitTask(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField()
    kind = serializers.ChoiceField(choices=vocabulary.TASK_KINDS)
    who = serializers.ChoiceField(choices=vocabulary.WORKERS)


class BeatenAnswer(serializers.Serializer[Any]):
    task = serializers.CharField()
    by = serializers.CharField()


class NotToldAnswer(serializers.Serializer[Any]):
    task = serializers.CharField()
    missing = MissingFactAnswer(many=True)


class DueRange(serializers.Serializer[Any]):
    earliest = serializers.DateField(allow_null=True)
    latest = serializers.DateField(allow_null=True)


class KitWorkAnswer(serializers.Serializer[Any]):
    tasks = KitTask(many=True)
    levels = texts()
    beaten = BeatenAnswer(many=True, help_text="Done by another task of the same service: replace beats inspect.")
    not_here = texts()
    not_told = NotToldAnswer(many=True, help_text="Of which nobody can tell whether they are due; not in the kit.")
    due = DueRange(allow_null=True)


class LeftOutAnswer(serializers.Serializer[Any]):
    position = serializers.CharField(allow_null=True)
    part = PrintedName(allow_null=True)
    why = serializers.CharField()
    tasks = texts()
    by = serializers.CharField(allow_null=True)


class PackedAnswer(serializers.Serializer[Any]):
    part = PrintedName()
    quantity = serializers.IntegerField()


class PackageAnswer(serializers.Serializer[Any]):
    un_number = serializers.CharField(allow_null=True)
    dangerous = serializers.BooleanField()
    lines = PackedAnswer(many=True)


class SheetAnswer(serializers.Serializer[Any]):
    part = PrintedName()
    revision = serializers.CharField()


class BoxedKitAnswer(serializers.Serializer[Any]):
    """A boxed kit of the catalogue against its parts bought loose; the shop chooses."""

    part = PartSummary()
    price = MoneyAmount()
    loose = MoneyAmount(allow_null=True)
    to_buy = MoneyAmount(allow_null=True, help_text="Loose, without what lies free.")
    loose_saves = MoneyAmount(allow_null=True)
    whole = serializers.BooleanField(help_text="Whether every part of it can be had in time.")
    unpriced = PrintedName(many=True)


class UnpricedAnswer(serializers.Serializer[Any]):
    line = serializers.IntegerField()
    part = PrintedName()


class LineChangeAnswer(serializers.Serializer[Any]):
    """What of a line has changed since it was decided; without a line it is about the whole kit."""

    line = serializers.IntegerField(allow_null=True)
    position = serializers.CharField(allow_null=True)
    part = PrintedName(allow_null=True)
    words = texts()
    was = Members(allow_null=True)
    now = Members(allow_null=True)


class KitEventAnswer(serializers.Serializer[Any]):
    at = serializers.DateTimeField()
    by = serializers.CharField()
    what = serializers.CharField()
    detail = Members()


class KitAnswer(KitHead):
    plan = KitPlan()
    asked = Members(help_text="The request as it was sent.")
    work = KitWorkAnswer()
    lines = KitLineAnswer(many=True)
    count = serializers.CharField(help_text='Settled lines of all, such as "11 of 12".')
    left_out = LeftOutAnswer(many=True)
    packages = PackageAnswer(many=True)
    sheets = SheetAnswer(many=True, help_text="Safety sheets that go with it.")
    held_back = PackedAnswer(many=True, help_text="In no box while a question is open.")
    questions = texts()
    boxed_kits = BoxedKitAnswer(many=True)
    totals = MoneyAmount(many=True)
    rounding = serializers.ChoiceField(choices=vocabulary.ROUNDINGS)
    unpriced = UnpricedAnswer(many=True)
    cautions = CautionAnswer(many=True)
    review = LineChangeAnswer(many=True)
    events = KitEventAnswer(many=True)
    catalogue_version = serializers.IntegerField()
    rulebook = serializers.IntegerField()


class ReservedKitAnswer(KitAnswer):
    short = Entries(help_text="What of which line is short, why, what is on its way, and what to order of whom.")


class PickedKitAnswer(KitAnswer):
    picked = Entries(help_text="Line, part, bin, date code and pieces.")
    short = Entries(help_text="What was not in its bin.")


class CancelledKitAnswer(KitAnswer):
    released = Entries(help_text="What was held, by line and bin.")
    ordered = Entries(help_text="Goods on order, free to the next job; with a warning where they cannot go back.")


class ReleasedKit(serializers.Serializer[Any]):
    kit = Members()
    released = Entries()
    ordered = Entries()


class ChangedWorkOrderAnswer(WorkOrderAnswer):
    released = ReleasedKit(many=True, help_text="What the order's kits held and had on order, let go with this change.")
