"""What was done to a kit, kept with it and told in the feed, in the transaction that does it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from catalog.usecases.one_version import Asking
from kits.models import Kit, KitEvent
from service.errors import Stale
from service.operations.changes import NewChange, append


def moved_on(kit: Kit, **columns: Any) -> None:
    """Write these columns and move the version on. Raises Stale where the kit has changed since it was loaded."""
    rows = Kit.objects.filter(pk=kit.pk, version=kit.version)
    if not rows.update(**columns, version=kit.version + 1):
        raise Stale("The kit has changed since it was read; read it again, then ask once more.")
    for name, value in columns.items():
        setattr(kit, name, value)
    kit.version += 1


def tell(kit: Kit, what: str, asking: Asking, detail: Mapping[str, Any] | None = None) -> KitEvent:
    """Keep who did what, and tell the feed."""
    event = KitEvent.objects.create(kit=kit, at=asking.now, by=asking.asked_by, what=what, detail=dict(detail or {}))
    payload = {"version": kit.version, "state": str(kit.state), "number": kit.number}
    append(NewChange(f"kit.{what}", "kit", kit.pk, kit.dealer, payload), asking.now)
    return event
