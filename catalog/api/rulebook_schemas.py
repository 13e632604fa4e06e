"""What answers about rulebooks look like, for the API's description alone."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from catalog.domain.rulebook_differences import Kind
from catalog.domain.rulebook_rows import ROW_SECTIONS
from catalog.models import DraftStatus


@extend_schema_field(
    {"type": "object", "additionalProperties": True, "description": "A row as reference files have it."}
)
class Content(serializers.Field[Any, Any, Any, Any]):
    pass


# A row is sent as it is; what its members are depends on its section.
ROW_BODY = {
    media: {"type": "object", "additionalProperties": True}
    for media in ("application/json", "application/merge-patch+json")
}


class PublishedRulebook(serializers.Serializer[Any]):
    rulebook = serializers.CharField(help_text="How it is named in addresses.")
    number = serializers.IntegerField()
    digest = serializers.CharField(help_text="SHA-256 of its canonical text.")
    published_at = serializers.DateTimeField()
    by = serializers.CharField(allow_blank=True)
    note = serializers.CharField(allow_blank=True)
    based_on = serializers.IntegerField(allow_null=True)
    in_force = serializers.BooleanField()
    shipped = serializers.BooleanField(help_text="Whether drafts are held to its gate.")


class DraftAnswer(serializers.Serializer[Any]):
    rulebook = serializers.CharField()
    name = serializers.CharField()
    note = serializers.CharField(allow_blank=True)
    based_on = serializers.IntegerField()
    status = serializers.ChoiceField(choices=DraftStatus.choices)
    published_as = serializers.IntegerField(allow_null=True)
    created_at = serializers.DateTimeField()
    revised_at = serializers.DateTimeField()
    by = serializers.CharField(allow_blank=True)


class RulebookPage(serializers.Serializer[Any]):
    results = PublishedRulebook(many=True)
    next = serializers.URLField(allow_null=True)
    previous = serializers.URLField(allow_null=True)
    drafts = DraftAnswer(many=True)
    attention = serializers.CharField(allow_null=True, help_text="What an editor has to do about a newer shipped one.")


class RowAnswer(serializers.Serializer[Any]):
    section = serializers.ChoiceField(choices=[(section, section) for section in ROW_SECTIONS])
    key = serializers.CharField()
    content = Content()


class RulebookAnswer(serializers.Serializer[Any]):
    """The members of a published rulebook, or of a draft."""

    rulebook = serializers.CharField()
    number = serializers.IntegerField(required=False)
    digest = serializers.CharField(required=False)
    published_at = serializers.DateTimeField(required=False)
    in_force = serializers.BooleanField(required=False)
    shipped = serializers.BooleanField(required=False)
    name = serializers.CharField(required=False)
    status = serializers.CharField(required=False)
    published_as = serializers.IntegerField(required=False, allow_null=True)
    created_at = serializers.DateTimeField(required=False)
    revised_at = serializers.DateTimeField(required=False)
    by = serializers.CharField(allow_blank=True)
    note = serializers.CharField(allow_blank=True)
    based_on = serializers.IntegerField(allow_null=True)
    sections = serializers.DictField(child=serializers.IntegerField(), help_text="How many rows each section has.")
    rows = RowAnswer(many=True, required=False, help_text="Those of the section asked for.")


class RowPage(serializers.Serializer[Any]):
    results = RowAnswer(many=True)
    next = serializers.URLField(allow_null=True)
    previous = serializers.URLField(allow_null=True)


class MemberAnswer(serializers.Serializer[Any]):
    member = serializers.CharField()
    before = serializers.CharField()
    after = serializers.CharField()


class DifferenceAnswer(serializers.Serializer[Any]):
    change = serializers.ChoiceField(choices=[(kind.value, kind.value) for kind in Kind])
    section = serializers.CharField()
    key = serializers.CharField()
    text = serializers.CharField()
    before = Content(allow_null=True)
    after = Content(allow_null=True)
    members = MemberAnswer(many=True)


class DifferenceList(serializers.Serializer[Any]):
    results = DifferenceAnswer(many=True)
    next = serializers.URLField(allow_null=True)
    previous = serializers.URLField(allow_null=True)


class DraftProblemAnswer(serializers.Serializer[Any]):
    pointer = serializers.CharField(help_text="Path in the document.")
    section = serializers.CharField(allow_null=True)
    key = serializers.CharField(allow_null=True, help_text="The row to edit, where it is one.")
    code = serializers.CharField()
    detail = serializers.CharField()


class DraftProblemList(serializers.Serializer[Any]):
    results = DraftProblemAnswer(many=True)
    next = serializers.URLField(allow_null=True)
    previous = serializers.URLField(allow_null=True)


SOURCE = {"kind": "common_practice", "citation": "common practice, no source"}
DRAFT = {
    "rulebook": "draft-7",
    "name": "hose clamps after the recall",
    "note": "Band width decides from now on.",
    "based_on": 12,
    "status": "open",
    "published_as": None,
    "created_at": "2026-03-09T09:15:00Z",
    "revised_at": "2026-03-09T09:40:00Z",
    "by": "Oda Wren",
}
PUBLISHED = {
    "rulebook": "12",
    "number": 12,
    "digest": "9f2c" * 16,
    "published_at": "2026-03-02T07:00:00Z",
    "by": "reference files",
    "note": "",
    "based_on": 11,
    "in_force": True,
    "shipped": True,
}
PAGE = {"results": [PUBLISHED], "next": None, "previous": None, "drafts": [DRAFT], "attention": None}
ONE = {**PUBLISHED, "sections": {"categories": 34, "rules": 310}}
NEW_DRAFT = {"name": "hose clamps after the recall", "note": "Band width decides from now on."}
CAUTION = {"text": "The exhaust burns skin for an hour after the engine stops.", "source": SOURCE}
ROW = {"section": "cautions", "key": "hot_exhaust", "content": CAUTION}
ROWS = {"results": [ROW], "next": None, "previous": None}
DIFFERENCES = {
    "results": [
        {
            "change": "changed",
            "section": "rules",
            "key": "hose_clamp.band_width",
            "text": "hose clamp, band width: when not met was note, is reject.",
            "before": {"when_not_met": "note"},
            "after": {"when_not_met": "reject"},
            "members": [{"member": "when not met", "before": "note", "after": "reject"}],
        }
    ],
    "next": None,
    "previous": None,
}
PROBLEMS = {
    "results": [
        {
            "pointer": "/covers",
            "section": "covers",
            "key": None,
            "code": "looser_than_shipped",
            "detail": "LPG-V2 covers LPG-CL is not in the shipped table; pairs may be dropped, never added.",
        }
    ],
    "next": None,
    "previous": None,
}
