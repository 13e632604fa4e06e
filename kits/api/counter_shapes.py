"""What is sent for a counter answer: a check's question, and the counter's own members beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from rest_framework.exceptions import ErrorDetail, ValidationError

from catalog.api.shapes import LARGEST_QUANTITY, CheckShape
from catalog.api.units import UnitsParameter
from kits.domain.counter.offering import OfferFirst
from service.http.fields import Choice, Text, Whole

CODE_LENGTH = 40
BRANCH_HELP = "The code of a branch of yours; it may be left out where you have one."
FIRST_HELP = "Whether free old stock that may be used up is offered before the current number; old_stock if left out."
SEVERAL = "Several parts are offered together, and each has a quantity of its own; leave this one out."
TWICE = "The candidate has a quantity already; give it once."


class CounterShape(CheckShape):
    """A check's question, asked at a counter."""

    branch = Text(required=False, max_length=CODE_LENGTH, help_text=BRANCH_HELP)
    quantity = Whole(
        required=False, min_value=1, max_value=LARGEST_QUANTITY,
        help_text="How many are wanted of a candidate that is one part; else as many as the position takes.",
    )  # fmt: skip
    offer_first = Choice(choices=[first.value for first in OfferFirst], required=False, help_text=FIRST_HELP)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        attrs = super().validate(attrs)
        candidate = attrs["candidate"]
        if "quantity" in attrs and isinstance(candidate, list):
            raise ValidationError({"quantity": [ErrorDetail(SEVERAL, code="several_parts")]})
        if "quantity" in attrs and isinstance(candidate, Mapping) and candidate.get("quantity") is not None:
            raise ValidationError({"quantity": [ErrorDetail(TWICE, code="given_twice")]})
        return attrs


class CounterParameters(UnitsParameter):
    branch = Text(required=False, max_length=CODE_LENGTH, help_text=BRANCH_HELP)
    offer_first = Choice(choices=[first.value for first in OfferFirst], required=False, help_text=FIRST_HELP)


@dataclass(frozen=True, slots=True)
class AtCounter:
    """`question` has the shape of `POST /checks/`."""

    question: Mapping[str, Any]
    branch: str | None
    first: OfferFirst


@cache
def _shape() -> CounterShape:
    """One reader for every request, as for checks: reading keeps nothing on it."""
    return CounterShape()


def read_counter(data: Any) -> AtCounter:
    """The body, its shape checked. Raises DRF's ValidationError with every fault."""
    found: dict[str, Any] = dict(_shape().run_validation(data))
    branch, quantity = found.pop("branch", None), found.pop("quantity", None)
    first = OfferFirst(found.pop("offer_first", OfferFirst.OLD_STOCK))
    if quantity is not None:
        found["candidate"] = _with_quantity(found["candidate"], quantity)
    return AtCounter(found, branch, first)


def _with_quantity(candidate: str | Mapping[str, Any], quantity: int) -> dict[str, Any]:
    named = {"part": candidate} if isinstance(candidate, str) else dict(candidate)
    return {**named, "quantity": quantity}
