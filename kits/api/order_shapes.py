"""The shape of order plans and orders as they are sent."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from rest_framework import serializers
from rest_framework.exceptions import ValidationError

from catalog.api.shapes import LARGEST_QUANTITY, PartName
from kits.domain.order_plan.fluids import FluidBuying
from kits.models.stock import BIN_LENGTH
from kits.usecases.order_asking import MOST_KITS, MOST_SECONDS, SECONDS, OldStock
from service.http.fields import Choice, Day, DecimalString, Identifier, Instant, Text, Whole
from service.http.serializers import StrictSerializer

CODE_LENGTH = 40
CURRENCY_LENGTH = 3
REASON_LENGTH = 1_000
MOST_LINES = 1_000


class JobShape(StrictSerializer):
    """Kits that are one job: a fluid they all need is bought for them together."""

    name = Text(max_length=CODE_LENGTH)
    kits: serializers.ListField = serializers.ListField(child=Identifier(), min_length=1, max_length=MOST_KITS)


class OrderPlanShape(StrictSerializer):
    """The kits to order for. Their settled lines are planned for; what is not settled is told and never bought."""

    branch = Text(max_length=CODE_LENGTH, required=False, help_text="Its code; the only branch where it is left out.")
    kits: serializers.ListField = serializers.ListField(
        child=Identifier(), min_length=1, max_length=MOST_KITS, help_text="Ids of kits of that branch, not ended."
    )
    seconds = Whole(
        required=False, min_value=0, max_value=MOST_SECONDS,
        help_text=f"What the solver may spend on a better plan in a job; {SECONDS} where it is left out, 0 for none.",
    )  # fmt: skip
    placed_at = Instant(required=False, help_text="When the orders are taken to be placed; now where it is left out.")
    old_stock = Choice(
        choices=[word.value for word in OldStock], required=False,
        help_text="first: free earlier numbers that may be used up on the machine serve its line before anything else. "
        "shown: they are shown and the current number is planned with.",
    )  # fmt: skip
    fluids = Choice(
        choices=[word.value for word in FluidBuying], required=False,
        help_text="by_job: containers for each job. pooled: for all together, to be decanted. Both are shown.",
    )  # fmt: skip
    jobs: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=JobShape(), required=False, max_length=MOST_KITS,
        help_text="Which kits are one job. The kits of one work order are one; any other kit is a job by itself.",
    )  # fmt: skip


class AgreedPriceShape(StrictSerializer):
    amount = DecimalString(
        places=4, least=Decimal(0), most=Decimal(10_000_000), help_text="For one piece or container."
    )
    currency = Text(max_length=CURRENCY_LENGTH)


class OrderedLineShape(StrictSerializer):
    """Whole packs of one part, told as packs or as pieces."""

    part = PartName()
    content = DecimalString(
        places=6, least=Decimal("0.000001"), most=Decimal(100_000), required=False,
        help_text="Litres in one container, for goods supplied by volume.",
    )  # fmt: skip
    packs = Whole(required=False, min_value=1, max_value=LARGEST_QUANTITY)
    pieces = Whole(required=False, min_value=1, max_value=LARGEST_QUANTITY)
    price = AgreedPriceShape(
        required=False, help_text="What was agreed; the recorded price of that day where left out."
    )

    def validate(self, attrs: Any) -> Any:
        if ("packs" in attrs) == ("pieces" in attrs):
            raise ValidationError({"packs": "Give either packs or pieces."}, code="one_of")
        return attrs


class OrderShape(StrictSerializer):
    """Either a plan, ordered from as it stands, or a supplier with a branch and lines."""

    plan = Identifier(required=False)
    suppliers: serializers.ListField = serializers.ListField(
        child=Text(max_length=CODE_LENGTH), required=False, min_length=1, max_length=MOST_LINES,
        help_text="With a plan: the codes of those to order from now; all where it is left out.",
    )  # fmt: skip
    supplier = Text(max_length=CODE_LENGTH, required=False, help_text="Its code.")
    branch = Text(max_length=CODE_LENGTH, required=False, help_text="Its code; the only branch where it is left out.")
    lines: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=OrderedLineShape(), required=False, min_length=1, max_length=MOST_LINES
    )
    note = Text(max_length=REASON_LENGTH, required=False, lines=True)

    def validate(self, attrs: Any) -> Any:
        wrong = _of_a_plan(attrs) if "plan" in attrs else _of_lines(attrs)
        if wrong:
            raise ValidationError(wrong, code="one_of")
        return attrs


class ReceivedLineShape(StrictSerializer):
    line = Whole(min_value=1, max_value=MOST_LINES, help_text="Its number in the order.")
    pieces = Whole(min_value=1, max_value=LARGEST_QUANTITY)
    bin = Text(max_length=BIN_LENGTH)
    date_code = Day(required=False, help_text="The day the pieces were made, as it stands on them.")
    expires = Day(required=False, help_text="The last day to fit them.")


class ReceiptShape(StrictSerializer):
    """What came of an order; a line may come in parts, and in several bins or date codes at once."""

    lines: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=ReceivedLineShape(), min_length=1, max_length=MOST_LINES
    )


class OrderCancelShape(StrictSerializer):
    reason = Text(max_length=REASON_LENGTH)


def _of_a_plan(attrs: Mapping[str, Any]) -> dict[str, str]:
    words = "A plan says this already; leave it out, or order lines without a plan."
    return {name: words for name in ("supplier", "branch", "lines") if name in attrs}


def _of_lines(attrs: Mapping[str, Any]) -> dict[str, str]:
    wrong = {name: "Needed where no plan is given." for name in ("supplier", "lines") if name not in attrs}
    if "suppliers" in attrs:
        wrong["suppliers"] = "This chooses among a plan's suppliers; without a plan name one as supplier."
    return wrong
