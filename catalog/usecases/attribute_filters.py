"""Parts by what is recorded of them: `attr__max_pressure__gte=350 psi gauge`, `attr__joint_form@inlet=npt`.

A part is found where one source at least says so. A value known only as a range is at or above a limit where all of it
is. What is not recorded is never found.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet, TextField
from django.db.models.functions import Cast

from catalog.domain.quantities import Interval, Quantity
from catalog.domain.rules import AttributeDefinition, Rulebook
from catalog.domain.value_documents import read_value
from catalog.domain.value_text import value_document
from catalog.domain.values import Kind, Value
from catalog.models import Part, PartAttribute
from catalog.models.typed_values import NO, YES, Form
from catalog.usecases.refusals import Gathered
from service.errors import Invalid

PREFIX = "attr__"
EXACT = "exact"
_MEASURED = (Kind.QUANTITY, Kind.RANGE)
_LIMITS: Mapping[str, Callable[[int], Q]] = {
    "gte": lambda amount: Q(lo__gte=amount),
    "gt": lambda amount: Q(lo__gt=amount),
    "lte": lambda amount: Q(hi__lte=amount),
    "lt": lambda amount: Q(hi__lt=amount),
}
_DAYS = {"gte": "code__gte", "gt": "code__gt", "lte": "code__lte", "lt": "code__lt"}


def with_attributes(parts: QuerySet[Part], wanted: Mapping[str, str], rulebook: Rulebook) -> QuerySet[Part]:
    """The parts of which all of this is recorded; `wanted` is by the whole name of each parameter.

    Raises what `Gathered.tell` raises, each problem naming its parameter as `?name`.
    """
    problems, found = Gathered(), parts
    for parameter, text in wanted.items():
        with problems.each():
            found = found.filter(_recorded(parameter, text, rulebook))
    problems.tell()
    return found


def asked_attribute(parameter: str, rulebook: Rulebook) -> tuple[AttributeDefinition, str, str]:
    """The attribute, the slot (empty for any) and the operator (empty for equal) of a parameter's name."""
    named, _, operator = parameter.removeprefix(PREFIX).partition("__")
    code, _, slot = named.partition("@")
    definition = rulebook.attributes.get(code)
    if definition is None:
        words = f"There is no attribute {code[:60]!r}; see GET /categories/."
        raise Invalid(words, pointer=f"?{parameter}", code="unknown_attribute")
    return definition, slot, operator


def asked_measure(parameter: str, text: str, definition: AttributeDefinition) -> Quantity | None:
    """The one figure a parameter gives, None where it gives anything else. Raises Invalid for what cannot be read."""
    if definition.kind not in _MEASURED:
        return None
    payload = _read(text, definition, next(iter(_LIMITS)), f"?{parameter}").payload
    return payload if isinstance(payload, Quantity) else None


def _recorded(parameter: str, text: str, rulebook: Rulebook) -> Exists:
    definition, slot, operator = asked_attribute(parameter, rulebook)
    code, at = definition.code, f"?{parameter}"
    known = (EXACT, *_LIMITS) if definition.kind in (*_MEASURED, Kind.DATE) else (EXACT,)
    operator = operator or EXACT
    if operator not in known:
        words = f"{definition.name} cannot be asked for by {operator[:20]!r}; use {', '.join(known)}."
        raise Invalid(words, pointer=at, code="unknown_operator")
    value = _read(text, definition, operator, at)
    rows = PartAttribute.objects.filter(_says(value, operator, text, at), part=OuterRef("pk"), attribute=code)
    return Exists(rows.filter(slot=slot) if slot else rows)


def _read(text: str, definition: AttributeDefinition, operator: str, at: str) -> Value:
    """The value to hold against; a limit of a range attribute is one measure."""
    if operator != EXACT and definition.kind is Kind.RANGE:
        definition = AttributeDefinition(
            definition.code, definition.name, Kind.QUANTITY, definition.dimension, definition.unit
        )
    try:
        return read_value(value_document(text, definition), definition, pointer=at)
    except Invalid as error:
        raise Invalid(error.message, pointer=at, code=error.code) from None


def _says(value: Value, operator: str, text: str, at: str) -> Q:
    payload = value.payload
    if payload is None:
        return Q(state=value.state.value)
    if isinstance(payload, Quantity):
        measured = Q(dimension=payload.dimension.value)
        return measured & (Q(lo=payload.amount, hi=payload.amount) if operator == EXACT
                           else _LIMITS[operator](payload.amount))  # fmt: skip
    if isinstance(payload, Interval):
        if operator != EXACT:
            raise Invalid(f"{text[:60]!r} is a range, and a limit is one figure.", pointer=at, code="not_a_quantity")
        return _range(payload)
    if isinstance(payload, bool):
        return Q(form=Form.FLAG, code=YES if payload else NO)
    if isinstance(payload, tuple):
        return _codes(payload)
    return Q(**{"form": Form.DAY, _DAYS.get(operator, "code"): payload.isoformat()})


def _range(payload: Interval) -> Q:
    low, high = payload.low, payload.high
    dimension = next(end.dimension for end in (low, high) if end is not None)
    return Q(
        form=Form.RANGE, dimension=dimension.value, lo=None if low is None else low.amount,
        hi=None if high is None else high.amount,
    )  # fmt: skip


def _codes(codes: tuple[str, ...]) -> Q:
    """Every one of these codes is among those recorded."""
    found = Q(form=Form.CODES)
    for code in codes:
        spelled = {json.dumps(code), json.dumps(code, ensure_ascii=False)}
        listed = Q()
        for text in spelled:
            listed |= Q(pk__in=_listing(text))
        found &= Q(code=code) | listed
    return found


def _listing(text: str) -> Any:
    """The rows with this among their codes. The column is JSON, and only its text can be searched everywhere."""
    rows = PartAttribute.objects.filter(form=Form.CODES).annotate(listed=Cast(F("codes"), TextField()))
    return rows.filter(listed__contains=text).values("pk")
