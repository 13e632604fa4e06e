"""How keys look in the API's description. Imported once, from the front's ``AppConfig.ready``."""

from __future__ import annotations

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension


class KeyAuthenticationScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    target_class = "service.http.authentication.KeyAuthentication"
    name = "key"

    def get_security_definition(self, auto_schema: Any) -> dict[str, Any]:
        return {
            "type": "http",
            "scheme": "bearer",
            "bearerFormat": "gudgeon_live_... or gudgeon_test_...",
            "description": "A dealer's key, which may be bound to a person.",
        }
