"""Service plans as frozen values, each document read once for each of its versions."""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import lru_cache
from uuid import UUID

from kits.domain.meters import Counts
from kits.domain.plan_documents import ReadPlan, read_plan
from kits.models import ServicePlan

PLANS_KEPT = 512


def plan_read(plan: ServicePlan) -> ReadPlan:
    """The plan in both of the domain's shapes; no statement."""
    return _read(plan.pk, plan.version, plan.code, plan.counts, plan.document)


# The text is part of the key: a rolled back write gives its version to another.
@lru_cache(maxsize=PLANS_KEPT)
def _read(number: UUID, version: int, code: str, counts: str, document: str) -> ReadPlan:
    return read_plan(code, Counts(counts), json.loads(document))


def plans_of(ids: Iterable[UUID]) -> dict[UUID, ReadPlan]:
    """Plans by id, one statement, or none."""
    wanted = sorted(set(ids))
    if not wanted:
        return {}
    return {plan.pk: plan_read(plan) for plan in ServicePlan.objects.filter(pk__in=wanted)}
