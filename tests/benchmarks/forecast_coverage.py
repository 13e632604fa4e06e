"""How often a forecast holds the truth, and how wide it is, beside the shop's slow-middle-fast method.

`python -m tests.benchmarks.forecast_coverage [FIRST_SEED [MACHINES_PER_PATTERN]]`. The constants of the method were
chosen by the seeds `TUNED_ON`; measure on others. The shop's method: the rate between every two neighbouring readings;
the slowest, the middle and the fastest divide what is left (common practice, no source).
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from statistics import median

from kits.domain.forecasting import hours_forecast
from kits.domain.windows import Window
from kits.statistics import RobustStatistics
from tests.benchmarks.use_patterns import PATTERNS, Case, case

MACHINES = 200  # of each pattern
NEVER = 10 * 366  # days: what an end that lies further out is counted as
STATISTICS = RobustStatistics()
Method = Callable[[Case], Window | None]


@dataclass(frozen=True, slots=True)
class Coverage:
    """Of one pattern: how many asked, answered, held the truth, and the median width of the ranges in days."""

    pattern: str
    asked: int
    answered: int
    held: int
    width: float

    @property
    def share(self) -> float:
        return self.held / self.answered if self.answered else 0.0


def ours(one: Case) -> Window | None:
    found = hours_forecast(one.readings, one.due_at, as_of=one.asked_on, profile=one.profile, statistics=STATISTICS)
    return found.window if found else None


def slow_middle_fast(one: Case) -> Window | None:
    rates = [(b.hours - a.hours) / (b.on - a.on).days for a, b in pairwise(one.readings)]
    if not rates:
        return None
    left, last = one.due_at - one.readings[-1].hours, one.readings[-1].on
    ends = [
        last + timedelta(days=int(left / rate)) if rate > 0 and left / rate < NEVER else None
        for rate in (max(rates), median(rates), min(rates))
    ]
    return Window(*ends)


def coverage(pattern: str, seeds: Iterable[int], method: Method) -> Coverage:
    cases = [case(pattern, seed) for seed in seeds]
    found = [(one, window) for one in cases if (window := method(one)) is not None]
    held = sum(_holds(window, one.truth) for one, window in found)
    width = median(_width(window, one.readings[-1].on) for one, window in found) if found else 0.0
    return Coverage(pattern, len(cases), len(found), held, width)


def _holds(window: Window, truth: date) -> bool:
    return (window.earliest or date.max) <= truth <= (window.latest or date.max)


def _width(window: Window, last: date) -> int:
    far = last + timedelta(days=NEVER)
    return ((window.latest or far) - (window.earliest or far)).days


def report(first: int, machines: int) -> list[str]:
    lines = []
    for name, method in (("ours", ours), ("slow-middle-fast", slow_middle_fast)):
        rows = [coverage(pattern, range(first, first + machines), method) for pattern in PATTERNS]
        held, answered = sum(row.held for row in rows), sum(row.answered for row in rows)
        lines.append(f"{name}: {held / answered:.1%} of {answered} held")
        lines.extend(
            f"  {row.pattern:<11}{row.share:7.1%}  median width {row.width:6.0f} d  none {row.asked - row.answered}"
            for row in rows
        )
    return lines


if __name__ == "__main__":
    given = [int(text) for text in sys.argv[1:3]]
    print("\n".join(report(*(given + [1, MACHINES][len(given) :]))))  # noqa: T201 - a command prints
