"""Examples of kits for the API's description."""

from __future__ import annotations

from typing import Any

KIT_BODY: dict[str, Any] = {}
KIT: dict[str, Any] = {}
KIT_PAGE: dict[str, Any] = {}
CHANGE_BODY: dict[str, Any] = {}
SETTLE_BODY: dict[str, Any] = {}
RESERVED: dict[str, Any] = {}
PICK_BODY: dict[str, Any] = {}
PICKED: dict[str, Any] = {}
FULFIL_BODY: dict[str, Any] = {}
FULFILLED: dict[str, Any] = {}
CANCELLED: dict[str, Any] = {}
LET_GO: dict[str, Any] = {}
