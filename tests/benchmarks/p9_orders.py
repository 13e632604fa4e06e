"""P9: a feasible order plan with a bound at once, and the gap that is proven once the solver has had its time.

One round of orders: nothing is held back for a later one, so there is no cost of holding.
"""

from __future__ import annotations

import os
import statistics
import time
from dataclasses import dataclass

from kits.domain.order_plan.planning import plan
from kits.solver import HighsSolver
from tests.benchmarks.fleets import fleet
from tests.benchmarks.measuring import Row

SEEDS = range(1, 6)
AT_ONCE = 0.5  # seconds
AIMS: dict[int, float | None] = {10: 0.01, 50: 0.06, 500: None}  # machines and the gap; None is only printed


@dataclass(frozen=True, slots=True)
class _Run:
    at_once: float  # seconds, with the bound of the relaxed programme
    solving: float
    first_gap: float
    gap: float
    saved: float


def measure() -> list[Row]:
    """`P9_SECONDS` gives the solver less or more than its 60 seconds a plan."""
    seconds = float(os.environ.get("P9_SECONDS", "60"))
    return [row for machines, aim in AIMS.items() for row in _rows(machines, aim, seconds)]


def _rows(machines: int, aim: float | None, seconds: float) -> list[Row]:
    runs = [_run(machines, seed, seconds) for seed in SEEDS]
    at_once, gap = statistics.median(run.at_once for run in runs), max(run.gap for run in runs)
    beside = {
        "median gap %": 100 * statistics.median(run.gap for run in runs),
        "at once %": 100 * statistics.median(run.first_gap for run in runs),
        "saved %": 100 * statistics.median(run.saved for run in runs),
        "seconds": statistics.median(run.solving for run in runs),
    }
    names = f"P9 plan at once, {machines} machines", f"P9 worst gap, {machines} machines"
    if aim is None:
        return [Row(names[0], at_once, "s", "no aim", True), Row(names[1], gap, "of the cost", "no aim", True, beside)]
    return [
        Row(names[0], at_once, "s", f"<= {AT_ONCE}", at_once <= AT_ONCE),
        Row(names[1], gap, "of the cost", f"<= {aim}", gap <= aim, beside),
    ]


def _run(machines: int, seed: int, seconds: float) -> _Run:
    """Raises RuntimeError where the solved plan is dearer than the one at once."""
    question, solver = fleet(machines, seed), HighsSolver()
    plan(fleet(1, seed), solver)  # the solver is loaded on first use
    began = time.perf_counter()
    first = plan(question, solver)
    between = time.perf_counter()
    best = plan(question, solver, seconds)
    ended = time.perf_counter()
    if best.cost.ticks > first.cost.ticks:
        raise RuntimeError(f"{machines} machines, seed {seed}: {best.cost.shown} is dearer than {first.cost.shown}.")
    saved = 1 - best.cost.ticks / first.cost.ticks
    return _Run(between - began, ended - between, float(first.gap), float(best.gap), saved)
