"""Service plans as frozen values, each document read once for each of its versions."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable
from functools import cache, lru_cache
from uuid import UUID

from django.db import connection
from django.db.models import Q

from catalog.loading.written import STATEMENTS_KEPT, Written, columns_of, written
from catalog.models import Status
from kits.domain.meters import Counts
from kits.domain.plan_documents import ReadPlan, read_plan
from kits.models import ServicePlan
from service.operations.models import Dealer

PLANS_KEPT = 512


def plan_read(plan: ServicePlan) -> ReadPlan:
    """The plan in both of the domain's shapes; no statement."""
    return _read(plan.pk, plan.version, plan.code, plan.counts, plan.document)


# The text is part of the key: a rolled back write gives its version to another.
@lru_cache(maxsize=PLANS_KEPT)
def _read(number: UUID, version: int, code: str, counts: str, document: str) -> ReadPlan:
    return read_plan(code, Counts(counts), json.loads(document))


def plans_offered(
    dealer: Dealer, models: Collection[str], named: Collection[UUID]
) -> list[tuple[ServicePlan, str | None]]:
    """The living plans for these models and those named, by code: this dealer's and the shared ones.

    With each the number of the specification that it is for. One statement, or none.
    """
    if not models and not named:
        return []
    found = _offered(len(named), len(models)).rows(dealer.pk, *sorted(named), *sorted(models))
    return [(ServicePlan.from_db(connection.alias, _columns(), row), spec) for *row, spec in found]


@lru_cache(maxsize=STATEMENTS_KEPT)
def _offered(named: int, models: int) -> Written:
    by_name = Q(pk__in=[UUID(int=one) for one in range(named)])
    by_engine = Q(model__in=[str(one) for one in range(models)]) & Q(status=Status.ACTIVE)
    visible = Q(dealer=UUID(int=0)) | Q(dealer=None)
    rows = ServicePlan.objects.filter(visible, by_name | by_engine).order_by("code")
    return written(rows.values_list(*_columns(), "specification__spec"), 1 + named + models)


@cache
def _columns() -> tuple[str, ...]:
    return columns_of(ServicePlan)


def plans_of(ids: Iterable[UUID]) -> dict[UUID, ReadPlan]:
    """Plans by id, one statement, or none."""
    wanted = sorted(set(ids))
    if not wanted:
        return {}
    return {plan.pk: plan_read(plan) for plan in ServicePlan.objects.filter(pk__in=wanted)}
