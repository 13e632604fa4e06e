"""One stated value in columns: numbers as 64-bit integers at the resolution of their dimension, never as text."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db import models
from django.db.models import F, Q

from catalog.domain.answers import Source, SourceKind
from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.values import Payload, Slot, State, Value

YES, NO = "yes", "no"


def choices(words: Any) -> list[tuple[str, str]]:
    """A domain's closed vocabulary as Django's choices."""
    return [(word.value, word.value) for word in words]


class Form(models.TextChoices):
    """Which columns hold the payload."""

    NUMBER = "number"  # lo and hi, equal
    RANGE = "range"  # lo or hi or both; an end that is null is open
    CODES = "codes"  # codes; code too, where there is one only
    FLAG = "flag"  # code: yes or no
    DAY = "day"  # code: a date


class TypedValue(models.Model):
    """Attribute, slot and value. Without a row the value is missing; a row may also say that there is none."""

    attribute = models.CharField(max_length=60)
    slot = models.CharField(max_length=60, null=True, blank=True)  # noqa: DJ001 - no slot is not a slot without name
    state = models.CharField(max_length=20, choices=choices(State))
    form = models.CharField(max_length=10, choices=Form.choices, blank=True, default="")
    lo = models.BigIntegerField(null=True, blank=True)
    hi = models.BigIntegerField(null=True, blank=True)
    dimension = models.CharField(max_length=30, choices=choices(Dimension), blank=True, default="")
    unit = models.CharField(max_length=20, blank=True, default="")
    code = models.CharField(max_length=200, blank=True, default="")
    codes: models.JSONField[Any, Any] = models.JSONField(null=True, blank=True)
    as_entered: models.JSONField[Any, Any] = models.JSONField()
    source_kind = models.CharField(max_length=20, choices=choices(SourceKind))
    source_citation = models.CharField(max_length=400, blank=True, default="")

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(condition=~Q(attribute="") & ~Q(slot=""), name="%(class)s_names_its_place"),
            models.CheckConstraint(condition=Q(lo__lte=F("hi")), name="%(class)s_lo_not_above_hi"),
            models.CheckConstraint(condition=Q(source_kind__in=list(SourceKind)), name="%(class)s_source_is_known"),
            models.CheckConstraint(
                condition=(Q(state=State.VALUE) & ~Q(form=""))
                | (
                    Q(state__in=[State.KNOWN_NONE, State.NOT_APPLICABLE], form="", dimension="", unit="", code="")
                    & Q(lo=None, hi=None, codes__isnull=True)
                ),
                name="%(class)s_payload_only_in_a_value",
            ),
            models.CheckConstraint(
                condition=Q(form="")
                | (Q(form=Form.NUMBER, lo=F("hi"), lo__isnull=False, codes__isnull=True) & ~Q(dimension=""))
                | (Q(form=Form.RANGE, codes__isnull=True) & ~Q(dimension="") & ~Q(lo=None, hi=None))
                | Q(form=Form.CODES, codes__isnull=False, lo=None, hi=None, dimension="")
                | Q(form=Form.FLAG, code__in=[YES, NO], codes__isnull=True, lo=None, hi=None, dimension="")
                | (Q(form=Form.DAY, codes__isnull=True, lo=None, hi=None, dimension="") & ~Q(code="")),
                name="%(class)s_columns_suit_its_form",
            ),
        ]

    @property
    def place(self) -> tuple[str, Slot]:
        return self.attribute, self.slot

    @property
    def source(self) -> Source:
        return Source(SourceKind(self.source_kind), self.source_citation)

    @property
    def value(self) -> Value:
        if not self.form:
            return Value(None, State(self.state))
        return Value(self._payload())

    def _payload(self) -> Payload:
        if self.form in (Form.NUMBER, Form.RANGE):
            low, high = (self._quantity(amount) for amount in (self.lo, self.hi))
            return low if self.form == Form.NUMBER and low is not None else Interval(low, high)
        if self.form == Form.CODES:
            return tuple(self.codes)
        return self.code == YES if self.form == Form.FLAG else date.fromisoformat(self.code)

    def _quantity(self, amount: int | None) -> Quantity | None:
        return None if amount is None else Quantity(amount, Dimension(self.dimension), self.unit)


def columns_of(value: Value) -> dict[str, Any]:
    """The columns a value is kept in, all but where it stands and where it comes from."""
    payload = value.payload
    columns: dict[str, Any] = {"state": value.state.value, **_of_payload(payload)}
    return columns


def _of_payload(payload: Payload | None) -> dict[str, Any]:
    if isinstance(payload, Quantity):
        return {"form": Form.NUMBER, "lo": payload.amount, "hi": payload.amount, **_measured_in(payload)}
    if isinstance(payload, Interval):
        ends = {name: None if end is None else end.amount for name, end in (("lo", payload.low), ("hi", payload.high))}
        return {"form": Form.RANGE, **ends, **_measured_in(payload.low or payload.high)}
    if isinstance(payload, bool):
        return {"form": Form.FLAG, "code": YES if payload else NO}
    if isinstance(payload, tuple):
        return {"form": Form.CODES, "codes": list(payload), "code": payload[0] if len(payload) == 1 else ""}
    return {} if payload is None else {"form": Form.DAY, "code": payload.isoformat()}


def _measured_in(found: Quantity | None) -> dict[str, Any]:
    return {} if found is None else {"dimension": found.dimension.value, "unit": found.unit}
