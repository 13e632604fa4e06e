"""The catalogue's queued work."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from catalog.usecases import importing, line_demanding
from service.operations import jobs


@jobs.register(importing.KIND)
def catalogue_import(lease: jobs.Lease) -> Mapping[str, Any]:
    return importing.run_import(lease)


@jobs.register(line_demanding.KIND)
def line_demands(lease: jobs.Lease) -> Mapping[str, Any]:
    return line_demanding.demand_of_lines(lease)
