"""How fast a machine runs by its readings, and how unsteady it has been.

The rate is the median of the slopes between every two readings over running days, which one wrong reading does not
move. What is left between neighbouring readings gives the spread of a day; runs of neighbours are looked at too, since
hire and weather come in spells longer than the days between two readings. Texts on forecasting warn that calculated
ranges come out too narrow (Chatfield 1998), so every spread starts from a little that was not seen, and few readings
give Student's wide tails.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate, pairwise
from math import isqrt
from typing import Protocol

from kits.domain.engine_hours import DAY_AROUND
from kits.domain.meters import LifetimeReading
from kits.domain.running_time import RunningTime

# Older readings tell of another owner or another job; two years hold two of every season.
USED_FOR = timedelta(days=730)
# Two readings of less than half a running day apart show rounding and no use.
SHORTEST_PAIR = 0.5
# What is believed of the spread before anything is seen, weighed as one pair of readings (tuned on simulated machines):
# this share of the daily use, and one round-the-clock day a year that nobody told of.
UNSEEN_SHARE = 0.3
UNSEEN_DAY = DAY_AROUND**2 / 365
UNSEEN_WEIGHT = 1


class Statistics(Protocol):
    """What forecasts ask of a statistics library."""

    def slope(self, places: Sequence[float], values: Sequence[float]) -> float:
        """The median of the slopes between every two points."""

    def student_quantile(self, share: float, degrees: float) -> float:
        """The value that this share of Student's distribution with so many degrees of freedom stays below."""


@dataclass(frozen=True, slots=True)
class Rate:
    """Tenths of an hour per running day, the variance of one such day, and how much of each was seen.

    `seen` is running days between the first and the last reading used, `degrees` those of Student's distribution.
    """

    per_day: float
    variance: float
    seen: float
    degrees: float
    pairs: int
    used: tuple[LifetimeReading, ...]


@dataclass(frozen=True, slots=True)
class _Pair:
    days: float
    hours: float


def rate_of(readings: Iterable[LifetimeReading], time: RunningTime, statistics: Statistics) -> Rate | None:
    """The rate by readings in order of time; None where fewer than two lie apart in running days, or nothing ran."""
    used = _recent(tuple(readings))
    places = tuple(accumulate((time.between(a.on, b.on) for a, b in pairwise(used)), initial=0.0))
    pairs = _pairs(used, places)
    seen = sum(pair.days for pair in pairs)
    if not pairs:
        return None
    per_day = statistics.slope(places, [float(reading.hours) for reading in used])
    if per_day <= 0:  # it stood still more often than not: the whole span tells more than its middle
        per_day = sum(pair.hours for pair in pairs) / seen
    if per_day <= 0:
        return None
    return Rate(per_day, _variance(pairs, per_day), seen, max(1, len(pairs) - 1), len(pairs), used)


def _recent(readings: tuple[LifetimeReading, ...]) -> tuple[LifetimeReading, ...]:
    if not readings:
        return ()
    since = max(date.min + USED_FOR, readings[-1].on) - USED_FOR
    return tuple(reading for reading in readings if reading.on >= since)


def _pairs(used: tuple[LifetimeReading, ...], places: tuple[float, ...]) -> tuple[_Pair, ...]:
    found = (
        _Pair(there - here, float(later.hours - first.hours))
        for (first, later), (here, there) in zip(pairwise(used), pairwise(places), strict=True)
    )
    return tuple(pair for pair in found if pair.days > SHORTEST_PAIR)


def _variance(pairs: tuple[_Pair, ...], per_day: float) -> float:
    """Variance of one running day: of pairs and what is believed beforehand, or of runs of pairs where that is more."""
    unseen = (UNSEEN_SHARE * per_day) ** 2 + UNSEEN_DAY
    left = [_left(pair, per_day) for pair in pairs]
    of_pairs = (UNSEEN_WEIGHT * unseen + sum(left)) / (UNSEEN_WEIGHT + len(pairs) - 1)
    length = max(2, isqrt(len(pairs)))
    if len(pairs) < 2 * length:
        return of_pairs
    runs = [_left(_joined(pairs[n : n + length]), per_day) for n in range(len(pairs) - length + 1)]
    return max(of_pairs, sum(runs) / len(runs))


def _left(pair: _Pair, per_day: float) -> float:
    return (pair.hours - per_day * pair.days) ** 2 / pair.days


def _joined(pairs: tuple[_Pair, ...]) -> _Pair:
    return _Pair(sum(pair.days for pair in pairs), sum(pair.hours for pair in pairs))
