"""Bodies with a file in them: multipart/form-data (RFC 7578), each field once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request

from service.errors import FieldProblem, Problems
from service.http import bodies


class UploadParser(MultiPartParser):
    """A form with its files, no larger than its view takes. Raises Problems for a field that is there twice."""

    media_type: ClassVar[str] = "multipart/form-data"  # type: ignore[misc]

    def parse(self, stream: Any, media_type: str | None = None, parser_context: Mapping[str, Any] | None = None) -> Any:
        context = dict(parser_context or {})
        if "request" in context:
            bodies.refuse_announced(context["request"].META, bodies.limit_for(context.get("view")))
        parsed = super().parse(stream, media_type, context)
        seen: set[str] = set()
        twice: list[FieldProblem] = []
        for name, found in (*parsed.data.lists(), *parsed.files.lists()):
            if name in seen or len(found) > 1:
                words = f"{name[:60]!r} is there more than once; send it once."
                twice.append(FieldProblem(f"/{name[:60]}", "repeated", words))
            seen.add(name)
        if twice:
            raise Problems(twice)
        return parsed


def form_of(request: Request) -> dict[str, Any]:
    """The fields and files of a form by name, each as it came."""
    data: Mapping[str, Any] = request.data  # type: ignore[assignment]
    return {name: data[name] for name in data}
