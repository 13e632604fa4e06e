"""What a body may be."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django.conf import settings
from rest_framework.parsers import BaseParser

from service.errors import Invalid
from service.http import bodies, strict_json


class StrictJSONParser(BaseParser):
    """``application/json``, no larger than its view takes, read by ``strict_json``."""

    media_type: ClassVar[str] = "application/json"  # type: ignore[misc]

    def parse(self, stream: Any, media_type: str | None = None, parser_context: Mapping[str, Any] | None = None) -> Any:
        context = parser_context or {}
        limit = bodies.limit_for(context.get("view"))
        if "request" in context:
            bodies.refuse_announced(context["request"].META, limit)
        longest = getattr(settings, "HTTP_MAX_STRING", strict_json.LONGEST_STRING)
        return strict_json.read(bodies.read_at_most(stream, limit), longest_string=longest)


class MergePatchParser(StrictJSONParser):
    """``application/merge-patch+json`` (RFC 7396): an object; null takes a member away."""

    media_type: ClassVar[str] = "application/merge-patch+json"  # type: ignore[misc]

    def parse(self, stream: Any, media_type: str | None = None, parser_context: Mapping[str, Any] | None = None) -> Any:
        patch = super().parse(stream, media_type, parser_context)
        if not isinstance(patch, dict):
            raise Invalid("A merge patch is an object of the members to change.", pointer="", code="not_an_object")
        return patch
