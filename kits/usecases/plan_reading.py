"""Service plans as they are shown."""

from __future__ import annotations

import json
from typing import Any

from catalog.usecases.reading import part_name
from kits.domain.plan_documents import needs_of
from kits.models import ServicePlan
from kits.usecases.plan_writing import engine_row


def plan_head(row: ServicePlan) -> dict[str, Any]:
    """What a list shows of a plan; maker and specification have to be loaded with it."""
    return {
        "id": str(row.pk),
        "code": row.code,
        "name": row.name,
        "shared": row.dealer_id is None,
        **engine_row(row),
        "counts": row.counts,
        "status": row.status,
        "version": row.version,
    }


def plan_page(row: ServicePlan) -> dict[str, Any]:
    """A plan with its tasks, levels and joints, each part with its id and name."""
    named = row.plan_parts.select_related("part__maker")
    parts = {(one.part.maker.code, one.part.number): part_name(one.part) for one in named}
    document = json.loads(row.document)
    for _, need in needs_of(document):
        for choice in need["choices"]:
            choice["part"] = parts[choice["part"]["maker"], choice["part"]["number"]]
    return {**plan_head(row), **document}
