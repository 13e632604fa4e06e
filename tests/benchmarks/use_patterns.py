"""Invented machines of five patterns of use, day by day, with the readings a shop would have of them.

The patterns are those of the trade: steady shifts, weather-driven irrigation, ice season, standby, rental (common
practice, no source); every figure below is invented and written down before any method was measured. A machine is a
function of its seed alone. What a forecast may see (readings, the profile as the shop recorded it, the hours at which
work falls due) is kept apart from the truth.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from kits.domain.calendar_spans import DayOfYear
from kits.domain.meters import LifetimeReading
from kits.domain.use_profiles import Season, UsePeriod, UseProfile

START = date(2018, 1, 1)
TUNED_ON = range(5000, 5200)  # the seeds by which the constants of the forecast were chosen
DAYS = 365 * 14  # long enough for a standby set to come to its hours


@dataclass(frozen=True, slots=True)
class Case:
    """What is known on the day of asking, and the day on which the hours are truly reached."""

    pattern: str
    readings: tuple[LifetimeReading, ...]
    profile: UseProfile | None
    due_at: int
    asked_on: date
    truth: date


def shift(rng: Random) -> list[int]:
    """Five or six days a week at the machine's own level, three weeks off in August, slow drift from year to year."""
    level, days, week = rng.uniform(30, 110), [], rng.choice((5, 5, 6))
    for n in range(DAYS):
        day = START + timedelta(days=n)
        if n % 365 == 0:
            level *= rng.uniform(0.9, 1.1)
        works = day.weekday() < week and not (day.month == 8 and day.day <= 21)
        days.append(_clipped(rng.gauss(level, level * 0.2)) if works else 0)
    return days


def irrigation(rng: Random) -> list[int]:
    """Late April to late September, 14-20 h a day in dry spells and none in wet ones; no year is like another."""
    days: list[int] = []
    dry, opens, closes, wet_share = True, 0, 0, 0.0
    for n in range(DAYS):
        day = START + timedelta(days=n)
        if day.month == 1 and day.day == 1:
            opens, closes = 110 + rng.randint(-10, 10), 263 + rng.randint(-10, 10)
            wet_share = rng.uniform(0.03, 0.12)
        place = day.timetuple().tm_yday
        dry = rng.random() > wet_share if dry else rng.random() < 0.2
        days.append(rng.randint(140, 200) if opens <= place < closes and dry else 0)
    return days


def ice(rng: Random) -> list[int]:
    """September to mid April, longer at weekends; shut in summer but for odd days."""
    level, days = rng.uniform(25, 70), []
    for n in range(DAYS):
        day = START + timedelta(days=n)
        if not (day.month >= 9 or day.month < 4 or (day.month == 4 and day.day <= 15)):
            days.append(rng.randint(5, 20) if rng.random() < 0.03 else 0)
            continue
        weekend = 1.5 if day.weekday() >= 5 else 1.0
        days.append(_clipped(rng.gauss(level * weekend, level * 0.25)))
    return days


def standby(rng: Random) -> list[int]:
    """Half an hour a week as a test, and a few outages a year of some hours to some days."""
    weekday, outages, left, days = rng.randint(0, 6), rng.uniform(1.5, 6) / 365, 0, []
    for n in range(DAYS):
        day = START + timedelta(days=n)
        ran = 5 if day.weekday() == weekday else 0
        if rng.random() < outages:
            left += int(10 * rng.lognormvariate(1.6, 0.9))
        out = min(left, 240)
        left -= out
        days.append(min(240, ran + out))
    return days


def rental(rng: Random) -> list[int]:
    """On hire for days to weeks at that customer's hours, then in the yard for as long; busier in summer."""
    days: list[int] = []
    while len(days) < DAYS:
        month = (START + timedelta(days=len(days))).month
        busy = 1.3 if 4 <= month <= 10 else 0.8
        hours = rng.uniform(30, 110)
        out = 1 + int(rng.expovariate(1 / (14 * busy)))
        days.extend(_clipped(rng.gauss(hours, 20)) if rng.random() < 0.85 else 0 for _ in range(out))
        days.extend([0] * (1 + int(rng.expovariate(busy / 12))))
    return days[:DAYS]


def _clipped(tenths: float) -> int:
    return max(0, min(240, round(tenths)))


def _season(opens: DayOfYear, closes: DayOfYear, least: int, most: int, may_shift: int) -> UseProfile:
    return UseProfile((UsePeriod(least, most, season=Season(opens, closes), may_shift=may_shift),))


IRRIGATING = _season(DayOfYear(4, 20), DayOfYear(9, 20), 140, 200, 10)
ON_ICE = _season(DayOfYear(9, 1), DayOfYear(4, 15), 20, 100, 0)

# pattern: what the machine does, what the shop recorded of it, the interval in hours
PATTERNS: dict[str, tuple[Callable[[Random], list[int]], UseProfile | None, tuple[int, ...]]] = {
    "shift": (shift, None, (250, 500)),
    "irrigation": (irrigation, IRRIGATING, (250, 500)),
    "ice": (ice, ON_ICE, (250, 500)),
    "standby": (standby, None, (100, 150)),
    "rental": (rental, None, (250, 500)),
}


def case(pattern: str, seed: int) -> Case:
    """One machine asked about on one day; the work is not yet due by the last reading."""
    rng = Random(f"{pattern} {seed}")  # noqa: S311 - a simulation
    use, profile, intervals = PATTERNS[pattern]
    hours = use(rng)
    total = _summed(hours)
    while True:
        asked = rng.randint(500, 365 * 5)
        seen = _seen(rng, total, asked)
        interval = rng.choice(intervals) * 10
        done_at = max(0, seen[-1].hours - int(rng.random() * interval))
        due_at = done_at + interval
        if due_at > total[-1] or due_at <= seen[-1].hours:
            continue
        truth = next(n for n in range(DAYS) if total[n + 1] >= due_at)
        return Case(pattern, seen, profile, due_at, START + timedelta(days=asked), START + timedelta(days=truth))


def _summed(hours: list[int]) -> list[int]:
    total = [0]
    for amount in hours:
        total.append(total[-1] + amount)
    return total


def _seen(rng: Random, total: list[int], asked: int) -> tuple[LifetimeReading, ...]:
    """Readings every one to eight weeks over three months to two years; a third of machines have none in 90 days.

    Readings are to the whole hour, taken in the morning; one in a hundred is some hours out.
    """
    day = asked - rng.randint(90, 730)
    stop = asked - (rng.randint(90, 180) if rng.random() < 1 / 3 else rng.randint(0, 30))
    stop = max(stop, day + 60)
    found: list[LifetimeReading] = []
    gap = rng.choice((7, 14, 28, 56))
    while day <= stop:
        shows = total[day] // 10 * 10
        if rng.random() < 0.01:
            shows += rng.choice((-1, 1)) * 10 * rng.randint(1, 9)
        if not found or shows >= found[-1].hours:
            found.append(LifetimeReading(START + timedelta(days=day), shows))
        day += max(1, round(gap * rng.uniform(0.5, 1.5)))
    return tuple(found)
