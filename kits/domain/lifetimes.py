"""Lifetime hours from every meter an engine had, with what was held and what is missing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from catalog.domain.answers import Fact, distinct
from kits.domain.believing_readings import believed
from kits.domain.engine_hours import Tenths
from kits.domain.meters import Counts, Held, HeldFor, LifetimeReading, Meter, Reading


@dataclass(frozen=True, slots=True)
class Lifetime:
    """`readings` in order of time, one a day at most; none where there is no meter of hours or a count is broken.

    `cautions` are of days without a meter, `twice` of days on which two of them ran.
    """

    readings: tuple[LifetimeReading, ...] = ()
    held: tuple[Held, ...] = ()
    missing: tuple[Fact, ...] = ()
    metered: bool = False
    cautions: tuple[str, ...] = ()
    twice: tuple[str, ...] = ()

    @property
    def last(self) -> LifetimeReading | None:
        return self.readings[-1] if self.readings else None

    @property
    def in_doubt(self) -> tuple[Fact, ...]:
        """What to ask where a reading as new as the last one that counts was held: one of the two is wrong."""
        since = self.last.on if self.last is not None else date.min
        return distinct(
            Fact("held reading", f"Which reading is right? {held.words}")
            for held in self.held
            if held.reason in _DOUBTFUL and held.reading.on >= since
        )


_DOUBTFUL = (HeldFor.ROLLBACK, HeldFor.JUMP)


def lifetime(
    meters: tuple[Meter, ...], readings: tuple[Reading, ...], *, as_of: date, counts: Counts = Counts.ENGINE
) -> Lifetime:
    """What an engine has run by those of its meters that count what the schedule counts.

    Hours behind a broken count (no removal reading, no start reading) are unknown and ask for it; they are not guessed
    from what the new meter shows.
    """
    known = {meter.code for meter in meters}
    strays = tuple(
        Held(reading, HeldFor.NO_SUCH_METER, f"No meter {reading.meter} is on file for this engine.")
        for reading in readings
        if reading.meter not in known
    )
    wanted = _in_order(tuple(meter for meter in meters if meter.counts is counts and meter.unit.counts_hours))
    if not wanted:
        return Lifetime(held=strays, missing=_other_meter(meters, counts))
    added = _Adding(as_of)
    for meter in wanted:
        added.add(meter, tuple(reading for reading in readings if reading.meter == meter.code))
    return Lifetime(
        _one_a_day(added.found), (*strays, *added.held), distinct(added.missing), metered=True,
        cautions=tuple(added.cautions), twice=tuple(added.twice),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class HoursAt:
    """Lifetime hours when a meter showed something; None with the facts that would tell them."""

    hours: Tenths | None
    missing: tuple[Fact, ...] = ()


def hours_at(meters: tuple[Meter, ...], code: str, shows: Tenths, counts: Counts = Counts.ENGINE) -> HoursAt:
    """What an engine had run when that meter of its showed so much. The meter is one of those that count `counts`."""
    added = _Adding(date.max)
    for meter in _in_order(tuple(meter for meter in meters if meter.counts is counts and meter.unit.counts_hours)):
        added.carry_over(meter)
        if meter.start is None:
            added.break_off(start_fact(meter))
        if meter.code == code:
            known = None if added.base is None or meter.start is None else added.base + shows - meter.start
            return HoursAt(known, distinct(added.missing))
        added.before = meter
    raise ValueError(f"No meter {code} counts {counts.value} hours here.")


class _Adding:
    """Meters added up one after another; `base` is None once the count is broken."""

    def __init__(self, as_of: date) -> None:
        self.as_of = as_of
        self.base: Tenths | None = 0
        self.before: Meter | None = None
        self.found: list[LifetimeReading] = []
        self.held: list[Held] = []
        self.missing: list[Fact] = []
        self.cautions: list[str] = []
        self.twice: list[str] = []

    def add(self, meter: Meter, readings: tuple[Reading, ...]) -> None:
        if meter.fitted_on is not None and meter.fitted_on > self.as_of:
            return
        self.carry_over(meter)
        kept, held = believed(meter, readings, self.as_of)
        self.held.extend(held)
        if self.base is None or meter.start is None:
            self.break_off(start_fact(meter) if meter.start is None else None)
            self.before = meter
            return
        points = [(reading.on, reading.shows) for reading in kept]
        if meter.removed_on is not None and meter.removed_at is not None and meter.removed_on <= self.as_of:
            points.append((meter.removed_on, meter.removed_at))
        self.found.extend(LifetimeReading(on, self.base + shows - meter.start) for on, shows in points)
        self.before = meter

    def carry_over(self, meter: Meter) -> None:
        """Take over what the meter before had run."""
        before = self.before
        if before is None:
            return
        if before.removed_at is None or before.start is None:
            self.break_off(removal_fact(before) if before.removed_at is None else None)
        elif self.base is not None:
            self.base += before.removed_at - before.start
        fitted, removed = meter.fitted_on, before.removed_on
        if fitted is None or removed is None:
            return
        if fitted > removed + timedelta(days=1):
            self.cautions.append(f"No meter ran from {removed.isoformat()} to {fitted.isoformat()}.")
        if fitted < removed:
            words = f"both ran from {fitted.isoformat()} to {removed.isoformat()}; what they ran then counts twice."
            self.twice.append(f"Meters {before.code} and {meter.code} {words}")

    def break_off(self, fact: Fact | None) -> None:
        # Hours from before the break would be shown beside hours that cannot be told: they say nothing of today.
        self.base = None
        self.found.clear()
        if fact is not None:
            self.missing.append(fact)


def removal_fact(meter: Meter) -> Fact:
    return Fact("meter removal reading", f"What did meter {meter.code} show when it was taken off?")


def start_fact(meter: Meter) -> Fact:
    return Fact("meter start reading", f"What did meter {meter.code} show when it was fitted?")


def _in_order(meters: tuple[Meter, ...]) -> tuple[Meter, ...]:
    return tuple(sorted(meters, key=lambda m: (m.fitted_on or date.min, m.removed_on or date.max)))


def _other_meter(meters: tuple[Meter, ...], counts: Counts) -> tuple[Fact, ...]:
    if not meters:
        return ()
    name = "engine" if counts is Counts.ENGINE else "key-on"
    return (Fact(f"{name} hour meter", f"The schedule counts {name} hours; what does that meter show?"),)


def _one_a_day(found: list[LifetimeReading]) -> tuple[LifetimeReading, ...]:
    """The highest of each day: what the engine had run when the day was over, as far as it is known."""
    best: dict[date, Tenths] = {}
    for reading in found:
        best[reading.on] = max(best.get(reading.on, reading.hours), reading.hours)
    return tuple(LifetimeReading(on, best[on]) for on in sorted(best))
