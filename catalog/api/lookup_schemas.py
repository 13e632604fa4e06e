"""What looking parts up is answered with, for the API's description alone."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from catalog.api.examples import PROVENANCE
from catalog.api.schemas import PageAnswer, PartHead, Provenance
from catalog.domain.lookup.match_words import MatchedBy


class HitAnswer(serializers.Serializer[Any]):
    part = PartHead()
    matched_by = serializers.ChoiceField(choices=[(word.value, word.value) for word in MatchedBy])
    note = serializers.CharField(help_text="Why it is there, and what was left out to find it.")
    rank = serializers.IntegerField(help_text="Counted from 1.")
    pack_quantity = serializers.IntegerField(
        allow_null=True, help_text="How many are in the package that was scanned; null where that is not recorded."
    )


class LookupAnswer(Provenance):
    asked = serializers.CharField(help_text="What was typed or scanned, as it came.")
    results = HitAnswer(many=True)
    notes = serializers.ListField(
        child=serializers.CharField(), help_text="How it was read; where nothing was found, all that was tried."
    )
    more = serializers.BooleanField(help_text="There are further hits.")


class MissAnswer(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    text = serializers.CharField(help_text="As it was typed the first time.")
    count = serializers.IntegerField()
    first_seen = serializers.DateTimeField()
    last_seen = serializers.DateTimeField()


class MissPage(PageAnswer):
    results = MissAnswer(many=True)


LOOKUP: dict[str, Any] = {
    "asked": "vrd 0021 460",
    "results": [
        {
            "part": {
                "id": 3,
                "maker": "VRD",
                "number": "0021-460",
                "name": "oil filter",
                "category": "oil_filter",
                "status": "active",
                "supplied_as": "piece",
                "condition": "new",
            },
            "matched_by": "normalised",
            "note": "same number, different punctuation",
            "rank": 1,
            "pack_quantity": None,
        }
    ],
    "notes": [],
    "more": False,
    **PROVENANCE,
}
MISS_PAGE: dict[str, Any] = {
    "results": [
        {
            "id": 12,
            "text": "0099-777",
            "count": 4,
            "first_seen": "2026-03-02T08:01:00Z",
            "last_seen": "2026-03-09T09:15:00Z",
        }
    ],
    "next": None,
    "previous": None,
}
