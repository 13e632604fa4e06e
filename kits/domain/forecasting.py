"""When an engine comes to so many lifetime hours: a range that should hold the truth four times out of five.

Hours run like a walk with drift: after X running days at rate r and daily variance v the hours are r X, give or take
the root of v X, and the rate itself is known to v / D after D running days. So the days needed for what is left have a
relative variance of (v / r^2)(1 / X + 1 / D), taken on the logarithm so that a range never reaches behind the last
reading nor out to never. Two constants widen it, tuned on simulated machines (`tests/benchmarks/use_patterns.py`).
Without two pairs of readings the least and the most of the profile give the range, and without either there is none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from math import exp, sqrt

from kits.domain.engine_hours import Tenths, hours_words
from kits.domain.meters import LifetimeReading
from kits.domain.rates import Rate, Statistics, rate_of
from kits.domain.running_time import RunningTime, day_filled, running_time
from kits.domain.use_profiles import Hours, UseProfile, days_from
from kits.domain.windows import Window, never_one_day

# Nine tenths would leave a tenth on each side were the spread known; whole days and what was not seen widen it again.
SHARE_BELOW = 0.88
DRIFT = 0.02  # how far a machine's use changes, whatever its readings say
OLD_AFTER = 60  # days: over this the trade widens and asks for a reading first (common practice, no source)
OLD_DRIFT = 0.1  # added for every further OLD_AFTER days without a reading
_FURTHEST = 12.0  # e^12 days are past every horizon; larger exponents only overflow
FEWEST_PAIRS = 2  # below this, what somebody said of the use is the better guide


class ForecastBasis(StrEnum):
    """What a forecast of hours was reached from."""

    READ = "read"  # the hours are on the meter
    READINGS = "readings"
    PROFILE = "profile"


@dataclass(frozen=True, slots=True)
class HoursForecast:
    """When the hours are reached, from what: the readings used, the age of the last in days, hours per running day.

    `per_day` is in tenths of an hour; None where the profile alone decides or the hours have been read.
    """

    window: Window
    basis: ForecastBasis
    used: tuple[LifetimeReading, ...]
    age_days: int
    per_day: float | None = None

    @property
    def old(self) -> bool:
        return self.age_days > OLD_AFTER

    @property
    def words(self) -> str:
        last = self.used[-1]
        if self.basis is ForecastBasis.READ:
            return f"{hours_words(last.hours)} were read on {last.on.isoformat()}"
        said = f"from {len(self.used)} reading{'' if len(self.used) == 1 else 's'}, last one {self.age_days} days old"
        return f"{said}, and the use profile" if self.basis is ForecastBasis.PROFILE else said


@dataclass(frozen=True, slots=True)
class Pace:
    """How one engine runs, worked out once for all its tasks: readings in order of time, and the rate they show."""

    readings: tuple[LifetimeReading, ...]
    time: RunningTime
    rate: Rate | None


def pace_of(readings: tuple[LifetimeReading, ...], profile: UseProfile | None, statistics: Statistics) -> Pace:
    time = running_time(profile)
    return Pace(readings, time, rate_of(readings, time, statistics))


def hours_forecast(pace: Pace, hours: Tenths, *, as_of: date, statistics: Statistics) -> HoursForecast | None:
    """When lifetime hours come to `hours`; None where nothing tells how the engine is used.

    None too without any reading: a profile says how fast, not from where.
    """
    readings, time, rate = pace.readings, pace.time, pace.rate
    if not readings:
        return None
    age = (as_of - readings[-1].on).days
    if readings[-1].hours >= hours:
        return _read(readings, hours, age)
    if rate is not None and (rate.pairs >= FEWEST_PAIRS or time.plain):
        spread = _spread(hours - readings[-1].hours, rate, statistics, age)
        window = _by_rate(readings[-1], hours, rate, time, spread)
        return HoursForecast(window, ForecastBasis.READINGS, rate.used, age, rate.per_day)
    if time.profile is None or time.plain:
        return None
    window = _by_profile(readings[-1], hours, time.profile, rate.per_day / (time.busiest / 2) if rate else 1.0)
    return HoursForecast(window, ForecastBasis.PROFILE, rate.used if rate else readings[-1:], age)


def _read(readings: tuple[LifetimeReading, ...], hours: Tenths, age: int) -> HoursForecast:
    at = next(n for n, reading in enumerate(readings) if reading.hours >= hours)
    before = readings[max(0, at - 1)].on
    return HoursForecast(
        Window(before if readings[at].hours > hours else readings[at].on, readings[at].on, readings[at].on),
        ForecastBasis.READ, readings[max(0, at - 1) : at + 1], age,
    )  # fmt: skip


def _spread(left: Tenths, rate: Rate, statistics: Statistics, age: int) -> float:
    """The factor by which the days needed may be fewer or more."""
    days = left / rate.per_day
    relative = rate.variance / rate.per_day**2 * (1 / days + 1 / rate.seen)
    old = OLD_DRIFT * max(0, age - OLD_AFTER) / OLD_AFTER
    quantile = statistics.student_quantile(SHARE_BELOW, rate.degrees)
    return exp(min(quantile * sqrt(relative + DRIFT**2 + old**2), _FURTHEST))


def _by_rate(last: LifetimeReading, hours: Tenths, rate: Rate, time: RunningTime, spread: float) -> Window:
    days = (hours - last.hours) / rate.per_day
    return never_one_day(
        Window(
            time.reached(last.on, days / spread, shifted=1),
            time.reached(last.on, days),
            time.reached(last.on, days * spread, shifted=-1),
        )
    )


def _by_profile(last: LifetimeReading, hours: Tenths, profile: UseProfile, seen: float) -> Window:
    """By the least and the most of every day, stretched to hold the one rate there is where that lies outside.

    `seen` is that rate as a share of the middle of what was said.
    """
    left = float(hours - last.hours)

    def days(shifted: int) -> Iterator[Hours]:
        return days_from(profile, last.on, shifted=shifted)

    most = (max(float(high), seen * (low + high) / 2) for low, high in days(1))
    middle = ((low + high) / 2 for low, high in days(0))
    least = (min(float(low), seen * (low + high) / 2) for low, high in days(-1))
    return never_one_day(Window(*(day_filled(last.on, left, amounts) for amounts in (most, middle, least))))
