"""What answers look like, for the API's description alone: answers are rendered as plain values, not through these."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema_field
from rest_framework import serializers

from catalog.domain.answers import Answer, Basis, Effect, SourceKind, TakenOver, Verdict
from catalog.domain.parts import PartCondition, SuppliedAs
from catalog.domain.rules import Approver, ComparisonKind, FuelRole
from catalog.domain.supersessions import SupersessionKind
from catalog.domain.values import Kind, State
from catalog.models import Status
from service.http.pagination import DEFAULT_SIZE, LARGEST_SIZE

PAGE = (
    OpenApiParameter("cursor", str, description="Where to go on; taken from next or previous, never made up."),
    OpenApiParameter(
        "page_size",
        {"type": "integer", "minimum": 1, "maximum": LARGEST_SIZE, "default": DEFAULT_SIZE},
        description="Rows a page.",
    ),
)


def _words(enum: Any, **more: Any) -> serializers.ChoiceField:
    return serializers.ChoiceField(choices=[(word.value, word.value) for word in enum], **more)


def _effect(**more: Any) -> serializers.RegexField:
    """An effect again under another name, as a pattern: one list of words can have one name in the description."""
    return serializers.RegexField(f"^({'|'.join(Effect)})$", **more)


def _texts() -> serializers.ListField:
    return serializers.ListField(child=serializers.CharField())


@extend_schema_field(
    {
        "description": "A quantity, a range, a text, a list of texts, a flag, a date or a state, as values are sent.",
        "type": ["object", "string", "array", "boolean", "null"],
    }
)
class AnyValue(serializers.Field[Any, Any, Any, Any]):
    pass


class PartSummary(serializers.Serializer[Any]):
    id = serializers.IntegerField(allow_null=True, help_text="Null for goods that were only described.")
    maker = serializers.CharField(allow_blank=True)
    number = serializers.CharField(allow_blank=True)
    name = serializers.CharField(allow_blank=True)


class SourceAnswer(serializers.Serializer[Any]):
    kind = _words(SourceKind)
    citation = serializers.CharField(allow_blank=True)


class DemandAnswer(serializers.Serializer[Any]):
    value = AnyValue()
    basis = _words(Basis)


class OfferAnswer(DemandAnswer):
    pass


class FindingAnswer(serializers.Serializer[Any]):
    attribute = serializers.CharField()
    slot = serializers.CharField(allow_null=True)
    outcome = _words(Answer)
    effect = _words(Effect)
    demand = DemandAnswer(allow_null=True)
    offer = OfferAnswer(allow_null=True)
    margin = serializers.CharField(allow_null=True)
    text = serializers.CharField()
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class UseAnswer(serializers.Serializer[Any]):
    part = PartSummary()
    quantity = serializers.IntegerField(allow_null=True)
    why = serializers.CharField(allow_blank=True)


class NumberAnswer(serializers.Serializer[Any]):
    maker = serializers.CharField()
    number = serializers.CharField()


class CountedAnswer(serializers.Serializer[Any]):
    part = NumberAnswer()
    quantity = serializers.IntegerField()


class ChainAnswer(serializers.Serializer[Any]):
    """One replacement of the chain walked, and whether it holds for the engine asked about."""

    to = CountedAnswer(many=True)
    kind = _words(SupersessionKind)
    both_ways = serializers.BooleanField(help_text="Whether the old number may be used up where the new one may.")
    holds = serializers.ChoiceField(choices=["yes", "no", "unknown"])
    text = serializers.CharField()
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from

    def get_fields(self) -> dict[str, Any]:
        # `from` is a word of Python's and can be no class attribute.
        return {"from": CountedAnswer(many=True), **super().get_fields()}


class FactAnswer(serializers.Serializer[Any]):
    fact = serializers.CharField()
    question = serializers.CharField()


class MissingAnswer(FactAnswer):
    decisive = serializers.BooleanField()


class CautionAnswer(serializers.Serializer[Any]):
    code = serializers.CharField()
    text = serializers.CharField()


class AlternativeAnswer(serializers.Serializer[Any]):
    part = PartSummary()
    verdict = _words(Verdict)
    headline = serializers.CharField()


class CheckSummary(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    verdict = _words(Verdict)
    headline = serializers.CharField()
    position = serializers.CharField(allow_null=True)
    use = UseAnswer(many=True)
    digest = serializers.CharField()
    catalogue_version = serializers.IntegerField()
    rulebook = serializers.IntegerField()
    checked_at = serializers.DateTimeField()
    checked_by = serializers.CharField()


class CheckAnswer(CheckSummary):
    machine = serializers.UUIDField(allow_null=True, help_text="The machine asked about.")
    chain = ChainAnswer(many=True)
    catalogue_errors = _texts()
    findings = FindingAnswer(many=True)
    conditions = _texts()
    missing = MissingAnswer(many=True)
    conflicts = _texts()
    cautions = CautionAnswer(many=True)
    alternatives = AlternativeAnswer(many=True)
    approvable = serializers.BooleanField()
    approvable_by = _words(Approver, allow_null=True)
    approval = serializers.DictField(
        allow_null=True, help_text="The approval that applies at the moment of asking, as /approvals/ shows it."
    )


class PageAnswer(serializers.Serializer[Any]):
    next = serializers.URLField(allow_null=True)
    previous = serializers.URLField(allow_null=True)


class CheckPage(PageAnswer):
    results = CheckSummary(many=True)


@extend_schema_field({"$ref": "#/components/schemas/Problem"})
class ProblemAnswer(serializers.Field[Any, Any, Any, Any]):
    pass


class BatchResult(CheckAnswer):
    """The members of a check, or `problem` alone."""

    index = serializers.IntegerField()
    problem = ProblemAnswer(required=False)

    def get_fields(self) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
        fields = super().get_fields()
        for name, field in fields.items():
            field.required = name == "index"
        return fields


class BatchAnswer(serializers.Serializer[Any]):
    results = BatchResult(many=True)


class Provenance(serializers.Serializer[Any]):
    catalogue_version = serializers.IntegerField()
    rulebook = serializers.IntegerField()


class PartHead(PartSummary):
    category = serializers.CharField()
    status = _words(Status)
    supplied_as = _words(SuppliedAs, allow_null=True)
    condition = _words(PartCondition)


class PartPage(PageAnswer, Provenance):
    results = PartHead(many=True)


class AttributeValue(serializers.Serializer[Any]):
    attribute = serializers.CharField()
    slot = serializers.CharField(allow_null=True)
    state = _words(State)
    value = AnyValue()
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class BarcodeAnswer(serializers.Serializer[Any]):
    code = serializers.CharField()
    pack_quantity = serializers.IntegerField()


class ContentAnswer(serializers.Serializer[Any]):
    part = PartSummary()
    quantity = serializers.IntegerField()


class NeedAnswer(ContentAnswer):
    reason = serializers.CharField(allow_null=True)


class PartAnswer(PartHead, Provenance):
    barcodes = BarcodeAnswer(many=True)
    matched_set = serializers.BooleanField()
    contains = ContentAnswer(many=True)
    needs = NeedAnswer(many=True)
    attributes = AttributeValue(many=True)


class ComparisonAnswer(serializers.Serializer[Any]):
    rule = serializers.CharField()
    comparison = _words(ComparisonKind)
    when_not_met = _effect()
    when_unknown = _effect()
    taken_over = _words(TakenOver)
    condition = serializers.CharField(allow_blank=True)
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class AttributeAnswer(serializers.Serializer[Any]):
    attribute = serializers.CharField()
    name = serializers.CharField()
    kind = _words(Kind)
    unit = serializers.CharField(allow_null=True)
    reference = serializers.CharField(allow_null=True)
    slots = serializers.ListField(child=serializers.CharField(allow_null=True))
    vocabulary = _texts()
    comparison = _words(ComparisonKind, allow_null=True)
    when_not_met = _effect(allow_null=True)
    when_unknown = _effect(allow_null=True)
    taken_over = _words(TakenOver, allow_null=True)
    source = SourceAnswer(allow_null=True)  # type: ignore[assignment] # the base's name for where it reads from
    rules = ComparisonAnswer(many=True)


class CategorySummary(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField()
    fuel_role = _words(FuelRole)
    ports = _texts()


class CategoryAnswer(CategorySummary, Provenance):
    replace_together = serializers.BooleanField()
    cautions = CautionAnswer(many=True)
    attributes = AttributeAnswer(many=True)


class CategoryList(PageAnswer, Provenance):
    results = CategorySummary(many=True)


class FuelAnswer(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField()
    family = serializers.CharField()
    grades = _texts()
    usual = serializers.CharField(allow_null=True)
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class FuelList(PageAnswer, Provenance):
    results = FuelAnswer(many=True)


class ServiceClassAnswer(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField()
    fuel_family = serializers.CharField()
    gas = serializers.BooleanField()
    phase = serializers.ChoiceField(choices=["liquid", "vapour"])
    container_pressure = serializers.BooleanField()
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class ServiceClassList(PageAnswer, Provenance):
    results = ServiceClassAnswer(many=True)
