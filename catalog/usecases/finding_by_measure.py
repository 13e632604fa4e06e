"""Parts found by what was measured of the piece in hand, nearest first; what is recorded nowhere is never a match."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Case, Exists, F, FloatField, OuterRef, Q, QuerySet, Subquery, When
from django.db.models import Value as Constant
from django.db.models.functions import Cast, Greatest

from catalog.domain.measuring import Allowed, allowed, difference_words, not_told_apart, off_by
from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.rules import AttributeDefinition, Rulebook
from catalog.domain.value_documents import read_value, write_value
from catalog.domain.value_text import value_document
from catalog.domain.values import Kind, Value
from catalog.models import Part, PartAttribute, Status
from catalog.usecases.answers import source_document
from catalog.usecases.attribute_filters import PREFIX, asked_attribute, asked_measure, with_attributes
from catalog.usecases.reading import part_head
from catalog.usecases.refusals import Gathered
from service.errors import Invalid

_LENGTH = AttributeDefinition("tolerance", "the tolerance", Kind.QUANTITY, Dimension.LENGTH, "mm")


@dataclass(frozen=True, slots=True)
class Measure:
    """One thing measured of the piece in hand; `slot` is empty where any slot may have it."""

    definition: AttributeDefinition
    slot: str
    measured: Quantity
    allowed: Allowed

    def rows(self) -> QuerySet[PartAttribute]:
        rows = PartAttribute.objects.filter(attribute=self.definition.code)
        return rows.filter(slot=self.slot) if self.slot else rows

    def within(self) -> Q:
        """A recorded size within what is allowed of the measure; a range with an open end is none."""
        at, off = self.measured.amount, self.allowed
        nominal = Q(lo=F("hi"), lo__lte=at + off.nominal, hi__gte=at - off.nominal)
        limits = Q(lo__lt=F("hi"), lo__lte=at + off.limits, hi__gte=at - off.limits)
        return Q(dimension=self.measured.dimension.value) & (nominal | limits)

    def could_be(self) -> Q:
        """A range that is open on one side, and does not speak against the measure with the other."""
        at, off = self.measured.amount, self.allowed.limits
        return Q(dimension=self.measured.dimension.value) & (
            Q(lo=None, hi__gte=at - off) | Q(hi=None, lo__lte=at + off)
        )

    def holds(self, row: PartAttribute) -> bool:
        """What `within` asks, of a row at hand."""
        if row.attribute != self.definition.code or (self.slot and row.slot != self.slot):
            return False
        if row.lo is None or row.hi is None or row.dimension != self.measured.dimension:
            return False
        off = self.allowed.nominal if row.lo == row.hi else self.allowed.limits
        return row.lo <= self.measured.amount + off and row.hi >= self.measured.amount - off

    @property
    def whole(self) -> int:
        """What a relative difference is taken of."""
        return max(abs(self.measured.amount), 1)


@dataclass(frozen=True, slots=True)
class Sought:
    """The question: measures, and what else is asked of parts that are in use."""

    measures: tuple[Measure, ...]
    parts: QuerySet[Part]


def read_sought(category: str, wanted: Mapping[str, str], tolerance: str | None, rulebook: Rulebook) -> Sought:
    """Read what is looked for; `wanted` is by the whole name of each parameter. Raises what `Gathered.tell` raises."""
    problems, measures, others = Gathered(), list[Measure](), dict[str, str]()
    wider = None
    with problems.each():
        if category not in rulebook.categories:
            words = f"There is no category {category[:60]!r}; see GET /categories/."
            raise Invalid(words, pointer="?category", code="unknown_category")
    with problems.each():
        wider = None if tolerance is None else _tolerance(tolerance)
    for parameter, text in wanted.items():
        with problems.each():
            found = _measure(parameter, text, wider, rulebook)
            if found is None:
                others[parameter] = text
            else:
                measures.append(found)
    parts = Part.objects.filter(category=category, status=Status.ACTIVE).select_related("maker").defer("facts")
    with problems.each():
        parts = with_attributes(parts, others, rulebook)
    if not measures and not problems.errors:
        words = f"Give a measure, like {PREFIX}ring_inner_diameter=18.6 mm."
        raise Invalid(words, pointer=f"?{PREFIX}", code="nothing_measured")
    problems.tell()
    return Sought(tuple(measures), parts)


def _tolerance(text: str) -> Quantity:
    try:
        payload = read_value(value_document(text, _LENGTH), _LENGTH, pointer="?tolerance").payload
    except Invalid as error:
        raise Invalid(error.message, pointer="?tolerance", code=error.code) from None
    if not isinstance(payload, Quantity) or payload.amount < 0:
        raise Invalid("A tolerance is one length, like 0.5 mm.", pointer="?tolerance", code="no_tolerance")
    return payload


def _measure(parameter: str, text: str, wider: Quantity | None, rulebook: Rulebook) -> Measure | None:
    """None for what is no measure: a code, a flag, a limit, a range."""
    definition, slot, operator = asked_attribute(parameter, rulebook)
    measured = None if operator else asked_measure(parameter, text, definition)
    if measured is None:
        return None
    try:
        off = allowed(definition.code, measured, rulebook.tables.reference, wider)
    except Invalid as error:
        raise Invalid(error.message, pointer=f"?{parameter}", code=error.code) from None
    return Measure(definition, slot, measured, off)


def find_by_measure(sought: Sought, rulebook: Rulebook, *, unknown_too: bool, most: int) -> dict[str, Any]:
    """The nearest parts, the largest of their relative differences deciding; those with something unrecorded last.

    As many statements whatever is found. `more` says that not all are shown.
    """
    found = list(_matching(sought)[: most + 1])
    if unknown_too and len(found) <= most:
        found += _perhaps(sought)[: most + 1 - len(found)]
    shown = found[:most]
    recorded = _recorded(shown, sought.measures, rulebook)
    return {
        "results": [_result(part, recorded.get(part.pk, ()), sought.measures, rulebook) for part in shown],
        "next": None,
        "previous": None,
        "more": len(found) > most,
        "measured": [_measure_document(measure) for measure in sought.measures],
        "look_alikes": list(_look_alikes(shown, recorded, sought.measures)),
    }


def _matching(sought: Sought) -> QuerySet[Part]:
    parts = sought.parts
    for measure in sought.measures:
        parts = parts.filter(Exists(measure.rows().filter(measure.within(), part=OuterRef("pk"))))
    off = [_relative(measure) for measure in sought.measures]
    worst = off[0] if len(off) == 1 else Greatest(*off)
    return parts.annotate(worst=worst).order_by("worst", "maker__code", "number", "id")


def _relative(measure: Measure) -> Any:
    """The smallest difference of what is recorded within the tolerance, as a share of what was measured."""
    at = measure.measured.amount
    apart = Case(When(lo__gt=at, then=F("lo") - at), When(hi__lt=at, then=at - F("hi")), default=Constant(0))
    rows = measure.rows().filter(measure.within(), part=OuterRef("pk")).annotate(apart=apart).order_by("apart")
    return Cast(Subquery(rows.values("apart")[:1]), FloatField()) / float(measure.whole)


def _perhaps(sought: Sought) -> QuerySet[Part]:
    """Parts that nothing recorded speaks against, and of which something measured is not recorded."""
    parts, matched = sought.parts, Q()
    for measure in sought.measures:
        rows = measure.rows().filter(part=OuterRef("pk"))
        match = Exists(rows.filter(measure.within()))
        parts = parts.filter(match | ~Exists(rows) | Exists(rows.filter(measure.could_be())))
        matched &= Q(match)
    return parts.exclude(matched).order_by("maker__code", "number", "id")


def _recorded(
    parts: Sequence[Part], measures: Iterable[Measure], rulebook: Rulebook
) -> dict[int, list[PartAttribute]]:  # fmt: skip
    """What is recorded of these parts that the answer tells, joints among it, in one statement."""
    joints = [table.joints for table in rulebook.tables.mates.values() if table.joints is not None]
    codes = {measure.definition.code for measure in measures} | {name for j in joints for name in (j.form, j.size)}
    found: dict[int, list[PartAttribute]] = {}
    rows = PartAttribute.objects.filter(part__in=[part.pk for part in parts], attribute__in=sorted(codes))
    for row in rows.order_by("id"):
        found.setdefault(row.part_id, []).append(row)
    return found


def _result(
    part: Part, rows: Sequence[PartAttribute], measures: Sequence[Measure], rulebook: Rulebook
) -> dict[str, Any]:  # fmt: skip
    nearest = [(measure, _nearest(measure, rows)) for measure in measures]
    lacking = [measure.definition.code for measure, row in nearest if row is None]
    matched = [(measure, row) for measure, row in nearest if row is not None]
    worst = max((abs(_off(measure, row)) / measure.whole for measure, row in matched), default=None)
    return {
        "part": part_head(part),
        "matches": not lacking,
        "largest_difference_percent": None if lacking or worst is None else f"{100 * worst:.3f}",
        "differences": [_difference(measure, row, rows) for measure, row in matched],
        "not_recorded": lacking,
        "look_alikes": list(dict.fromkeys(_joints(rows, rulebook))),
    }


def _nearest(measure: Measure, rows: Iterable[PartAttribute]) -> PartAttribute | None:
    holding = [row for row in rows if measure.holds(row)]
    return min(holding, key=lambda row: abs(_off(measure, row)), default=None)


def _off(measure: Measure, row: PartAttribute) -> int:
    return off_by(measure.measured, _size(row))


def _size(row: PartAttribute) -> Interval:
    payload = row.value.payload
    if isinstance(payload, Interval):
        return payload
    return Interval(payload, payload) if isinstance(payload, Quantity) else Interval(None, None)


def _difference(measure: Measure, row: PartAttribute, rows: Iterable[PartAttribute]) -> dict[str, Any]:
    """`others` are what other sources record in the same place, where that is no match: they are told, not hidden."""
    place, off = row.place, _off(measure, row)
    others = [other for other in rows if other.place == place and not measure.holds(other)]
    apart = Value(Quantity(off, measure.measured.dimension, measure.measured.unit))
    return {
        "attribute": row.attribute,
        "slot": row.slot,
        "recorded": write_value(row.value, units="as_given"),
        "difference": write_value(apart, units="as_given") if off else None,
        "text": f"{measure.definition.name}: {difference_words(measure.measured, _size(row))}",
        "source": source_document(row.source),
        "others": [
            {"recorded": write_value(other.value, units="as_given"), "source": source_document(other.source)}
            for other in others
        ],
    }


def _measure_document(measure: Measure) -> dict[str, Any]:
    def length(steps: int) -> str:
        return Quantity(steps, measure.measured.dimension, "mm").shown() if steps else "none"

    return {
        "attribute": measure.definition.code,
        "slot": measure.slot or None,
        "measured": write_value(Value(measure.measured), units="as_given"),
        "tolerance": length(measure.allowed.nominal),
        "tolerance_beyond_limits": length(measure.allowed.limits),
        "because": measure.allowed.because,
        "source": source_document(measure.allowed.source),
    }


def _look_alikes(
    parts: Sequence[Part], recorded: Mapping[int, Sequence[PartAttribute]], measures: Iterable[Measure]
) -> Iterator[str]:
    for measure in measures:
        sizes = []
        for part in parts:
            row = _nearest(measure, recorded.get(part.pk, ()))
            if row is not None:
                sizes.append((_size(row), part.shown))
        warning = not_told_apart(measure.definition.name, measure.slot or None, measure.measured, sizes)
        if warning is not None:
            yield warning


def _joints(rows: Sequence[PartAttribute], rulebook: Rulebook) -> Iterator[str]:
    """What the joints of a part are taken for, by the published tables of what mates."""
    for table in rulebook.tables.mates.values():
        joints = table.joints
        if joints is None:
            continue
        forms = {row.slot: code for row in rows if row.attribute == joints.form for code in row.codes or ()}
        for row in rows:
            if row.attribute == joints.size and row.slot in forms:
                for size in row.codes or ():
                    form, where = forms[row.slot], f", {row.slot.replace('_', ' ')}" if row.slot else ""
                    for other in joints.taken_for(form, size):
                        yield f"{joints.name(form)} {size}{where} is taken for {other}"
