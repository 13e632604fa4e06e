"""The catalogue's queued work."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from catalog.usecases import importing, line_demanding, line_planning
from service.operations import jobs


@jobs.register(importing.KIND)
def catalogue_import(lease: jobs.Lease) -> Mapping[str, Any]:
    return importing.run_import(lease)


@jobs.register(line_planning.CATALOGUE)
def line_demands(lease: jobs.Lease) -> Mapping[str, Any]:
    return line_demanding.demands_of_catalogue(lease)


@jobs.register(line_planning.MACHINE)
def machine_line_demands(lease: jobs.Lease) -> Mapping[str, Any]:
    return line_demanding.demands_of_machine(lease)
