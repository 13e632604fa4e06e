"""How often a forecast holds the truth, and how wide it is, beside the shop's slow-middle-fast method.

The constants of the method were chosen by the seeds `TUNED_ON`; these here are others. The shop's method: the rate
between every two neighbouring readings; the slowest, the middle and the fastest divide what is left (common practice,
no source).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from statistics import median

from kits.domain.forecasting import hours_forecast, pace_of
from kits.domain.windows import Window
from kits.statistics import RobustStatistics
from tests.benchmarks.measuring import Row
from tests.benchmarks.use_patterns import PATTERNS, Case, case

FIRST_SEED = 20_000
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
    pace = pace_of(one.readings, one.profile, STATISTICS)
    found = hours_forecast(pace, one.due_at, as_of=one.asked_on, statistics=STATISTICS)
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


def measure() -> list[Row]:
    """The share of ranges that hold the truth, with their median width in days, over all and in each pattern."""
    seeds = range(FIRST_SEED, FIRST_SEED + MACHINES)
    both = [(coverage(name, seeds, ours), coverage(name, seeds, slow_middle_fast)) for name in PATTERNS]
    shares = [sum(row.held for row in rows) / sum(row.answered for row in rows) for rows in zip(*both, strict=True)]
    rows = [Row("forecasts that hold the truth", shares[0], "of ranges", "0.75 to 0.88", 0.75 <= shares[0] <= 0.88,
                {"slow-middle-fast": shares[1]})]  # fmt: skip
    return rows + [_row(mine, shops) for mine, shops in both]


def _row(mine: Coverage, shops: Coverage) -> Row:
    beside = {
        "days wide": mine.width, "unanswered": float(mine.asked - mine.answered),
        "slow-middle-fast": shops.share, "its days": shops.width,
    }  # fmt: skip
    return Row(f"  {mine.pattern}", mine.share, "of ranges", ">= 0.65", mine.share >= 0.65, beside)
