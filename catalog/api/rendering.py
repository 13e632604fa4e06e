"""An answer given out as it is kept: its text is written once, when it is recorded."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework.renderers import JSONRenderer

from catalog.usecases.showing import AsKept


class KeptAnswerRenderer(JSONRenderer):
    """JSON, byte for byte what `JSONRenderer` makes of the same document."""

    def render(
        self, data: Any, accepted_media_type: str | None = None, renderer_context: Mapping[str, Any] | None = None
    ) -> bytes:
        context = dict(renderer_context or {})
        if isinstance(data, AsKept) and self.get_indent(accepted_media_type or "", context) is None:
            # Ends of lines to JavaScript and not to JSON: written as escapes, as in every other answer.
            return data.text.replace("\u2028", "\\u2028").replace("\u2029", "\\u2029").encode()
        rendered: bytes = super().render(data, accepted_media_type, context)
        return rendered
