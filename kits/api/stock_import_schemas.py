"""What answers about stock imports look like, and examples of them, for the API's description alone."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from kits.models import ImportMode, ImportState, ImportTable

_ID = "7b0f6a42-3c7d-4f10-8f55-2f5e1d0a9c11"
_SHA = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"


class StockColumnAnswer(serializers.Serializer[Any]):
    name = serializers.CharField()
    needed = serializers.BooleanField()
    says = serializers.CharField()
    example = serializers.CharField()


class StockTableAnswer(serializers.Serializer[Any]):
    table = serializers.CharField()
    says = serializers.CharField()
    columns = StockColumnAnswer(many=True)


class StockTablesAnswer(serializers.Serializer[Any]):
    tables = StockTableAnswer(many=True)


class SentFileAnswer(serializers.Serializer[Any]):
    name = serializers.CharField()
    sha256 = serializers.CharField()


class HeldForAnswer(serializers.Serializer[Any]):
    code = serializers.CharField()
    detail = serializers.CharField()


class DecidedAnswer(serializers.Serializer[Any]):
    by = serializers.CharField()
    at = serializers.DateTimeField()
    why = serializers.CharField()


class StockImportAnswer(serializers.Serializer[Any]):
    id = serializers.UUIDField(help_text="That of its first job.")
    state = serializers.ChoiceField(choices=ImportState.choices)
    table = serializers.ChoiceField(choices=ImportTable.choices)
    feed = serializers.CharField()
    file = SentFileAnswer()
    dialect = serializers.DictField(help_text="As it was declared.")
    mode = serializers.ChoiceField(choices=ImportMode.choices)
    whole = serializers.BooleanField()
    supplied_on = serializers.DateField()
    held_for = HeldForAnswer(many=True)
    counts = serializers.DictField(
        help_text="What was found in the file, and what applying it did; or as "
        "refused, with code and detail, why none of it was applied."
    )
    job = serializers.UUIDField(allow_null=True, help_text="The latest job; its problems name the rows left out.")
    created_at = serializers.DateTimeField()
    created_by = serializers.CharField(allow_blank=True)
    applied_at = serializers.DateTimeField(allow_null=True)
    decided = DecidedAnswer(allow_null=True)


class StockImportPage(serializers.Serializer[Any]):
    results = StockImportAnswer(many=True)
    next = serializers.URLField(allow_null=True)
    previous = serializers.URLField(allow_null=True)


HELD: dict[str, Any] = {
    "id": _ID,
    "state": "held",
    "table": "stock",
    "feed": "stock",
    "file": {"name": "stock-2026-03-09.csv", "sha256": _SHA},
    "dialect": {"separator": "semicolon", "decimal": "comma", "encoding": None},
    "mode": "normal",
    "whole": False,
    "supplied_on": "2026-03-09",
    "held_for": [
        {
            "code": "leading_zeros_lost",
            "detail": "leading zeros lost: 312 numbers started with a zero last time, 0 do now. A spreadsheet may have "
            "taken them.",
        }
    ],
    "counts": {"rows": 400, "leading_zeros": 0, "header": ["branch", "maker", "number", "on_hand"]},
    "job": _ID,
    "created_at": "2026-03-09T01:30:00Z",
    "created_by": "night feed (a1b2c3d4)",
    "applied_at": None,
    "decided": None,
}
REJECTED: dict[str, Any] = {
    **HELD,
    "state": "rejected",
    "decided": {"by": "R. Tarnick", "at": "2026-03-09T07:10:00Z", "why": "Opened in a spreadsheet; sent again."},
}
RELEASED: dict[str, Any] = {
    **HELD,
    "state": "queued",
    "job": "0d8c0f54-52a4-4e9c-9c0c-6b6a4a1d7e21",
    "decided": {"by": "R. Tarnick", "at": "2026-03-09T07:10:00Z", "why": "These numbers were renamed by the maker."},
}
PAGE_EXAMPLE: dict[str, Any] = {"results": [HELD], "next": None, "previous": None}
QUEUED: dict[str, Any] = {
    "id": _ID,
    "kind": "stock_import",
    "state": "queued",
    "progress": {"done": 0, "total": None, "errors": 0},
    "result": None,
    "problem": None,
    "problems": f"/api/v1/jobs/{_ID}/problems/",
    "attempt": 0,
    "attempts_at_most": 3,
    "created_at": "2026-03-09T01:30:00Z",
    "run_after": "2026-03-09T01:30:00Z",
    "heartbeat_at": None,
    "cancel_asked_at": None,
    "finished_at": None,
}
TABLES: dict[str, Any] = {
    "tables": [
        {
            "table": "stock",
            "says": "What lies at a branch, a row for each bin and date code.",
            "columns": [
                {"name": "branch", "needed": True, "says": "The code of the branch.", "example": "main"},
                {"name": "on_hand", "needed": True, "says": "Pieces that lie there.", "example": "5"},
            ],
        }
    ]
}
