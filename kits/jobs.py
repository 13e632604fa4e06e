"""The queued work of kits."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kits.usecases import order_planning, stock_importing
from service.operations import jobs


@jobs.register(stock_importing.KIND)
def stock_import(lease: jobs.Lease) -> Mapping[str, Any]:
    return stock_importing.run_stock_import(lease)


@jobs.register(order_planning.KIND)
def order_plan(lease: jobs.Lease) -> Mapping[str, Any]:
    return order_planning.improve_plan(lease)
