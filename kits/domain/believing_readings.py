"""Which readings of one meter can be believed. Reviewed by people, never mended here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from fractions import Fraction
from itertools import groupby

from kits.domain.engine_hours import DAY_AROUND, Tenths, hours_words
from kits.domain.meters import Held, HeldFor, Meter, Reading, Review


def believed(meter: Meter, readings: Iterable[Reading], as_of: date) -> tuple[tuple[Reading, ...], tuple[Held, ...]]:
    """The readings of this meter that agree with it and with each other, in order of time, and those held."""
    every = tuple(readings)
    against_record = _backdated(meter, every, as_of)
    kept: list[Reading] = []
    held: list[Held] = []
    for reading in _in_time(every):
        reason = _alone(meter, reading, as_of) or against_record.get(reading)
        if reason is not None:
            held.append(reason)
        else:
            held.extend(_placed(meter, kept, reading))
    return tuple(kept), tuple(held)


def clock_allows(first: Reading, later: Reading) -> Tenths:
    """The most an engine can run between two readings: 24 hours a day.

    By the instants where both are known; by days else, two readings of one day being a day apart at most.
    """
    if first.at is not None and later.at is not None and first.at <= later.at:
        return int(Fraction((later.at - first.at) / timedelta(microseconds=1)) * DAY_AROUND / (86_400 * 1_000_000)) + 1
    return max(1, (later.on - first.on).days) * DAY_AROUND


def _backdated(meter: Meter, readings: tuple[Reading, ...], as_of: date) -> dict[Reading, Held]:
    """Readings put between two that stood on file and agreed, and higher than the later of them.

    Taken in order of time such a one would hold all that were read after it, right as they are, and bring the work
    forward by it. Where nothing stood before it on file nobody can say that the record is the one that is right
    (common practice, no source: what contradicts the record is held, and never moves a forecast).
    """
    found: dict[Reading, Held] = {}
    dated = sorted((reading for reading in readings if reading.entered is not None), key=_entered)
    last = date.min
    for reading in dated:
        if reading.on >= last:  # as nearly every one is: nothing that was read later stood there
            last = reading.on
            continue
        earlier = [one for one in dated if _entered(one) < _entered(reading) and one not in found]
        doubtful = any(one.on > reading.on and one.shows < reading.shows for one in earlier)
        if reading.review is not Review.NONE or not doubtful:
            continue
        stood, _ = believed(meter, [replace(one, entered=None) for one in earlier], as_of)
        after = next((one for one in stood if one.on > reading.on), None)
        if after is not None and after.shows < reading.shows and any(one.on <= reading.on for one in stood):
            found[reading] = Held(reading, HeldFor.BACKDATED, _backdated_words(reading, after))
    return found


def _backdated_words(reading: Reading, after: Reading) -> str:
    there = f"{hours_words(after.shows)} of {after.on.isoformat()}"
    words = f"{hours_words(reading.shows)} on {reading.on.isoformat()} is more than the {there}, which stood on file"
    return f"{words} before; which is right?"


def _entered(reading: Reading) -> datetime:
    if reading.entered is None:
        raise ValueError("Nobody knows when this reading was put on file.")
    return reading.entered


def _in_time(readings: Iterable[Reading]) -> Iterator[Reading]:
    """By day; within a day by instants where every reading has one, else by what they show."""
    by_day = sorted(readings, key=lambda reading: (reading.on, reading.shows))
    for _, group in groupby(by_day, key=lambda reading: reading.on):
        of_day = tuple(group)
        timed = [(reading.at, reading.shows, reading) for reading in of_day if reading.at is not None]
        if len(timed) == len(of_day):
            yield from (reading for *_, reading in sorted(timed, key=lambda entry: entry[:2]))
        else:
            yield from of_day


def _alone(meter: Meter, reading: Reading, as_of: date) -> Held | None:
    if reading.review is Review.REJECTED:
        return Held(reading, HeldFor.REJECTED, "Somebody looked at it and rejected it.")
    if reading.on > as_of:
        return Held(reading, HeldFor.FUTURE, f"It is of {reading.on.isoformat()}, after the day asked about.")
    if _off_engine(meter, reading.on):
        return Held(reading, HeldFor.OTHER_TIME, f"Meter {meter.code} was not on the engine that day.")
    if meter.start is not None and reading.shows < meter.start:
        words = f"Meter {meter.code} began at {hours_words(meter.start)}; was it replaced?"
        return Held(reading, HeldFor.BELOW_START, words)
    if meter.removed_at is not None and reading.shows > meter.removed_at:
        words = f"Meter {meter.code} showed {hours_words(meter.removed_at)} when it was taken off."
        return Held(reading, HeldFor.BEYOND_REMOVAL, words)
    return None


def _off_engine(meter: Meter, day: date) -> bool:
    early = meter.fitted_on is not None and day < meter.fitted_on
    return early or (meter.removed_on is not None and day > meter.removed_on)


def _placed(meter: Meter, kept: list[Reading], reading: Reading) -> list[Held]:
    """Put a reading after those kept, or hold it; a confirmed one displaces what was not confirmed."""
    displaced: list[Held] = []
    before = kept[-1] if kept else _as_fitted(meter)
    against = _contradiction(before, reading)
    while against is not None and reading.review is Review.CONFIRMED and kept:
        if kept[-1].review is Review.CONFIRMED:
            break
        displaced.append(Held(kept.pop(), HeldFor.OVERRULED, "A later reading that somebody confirmed says otherwise."))
        before = kept[-1] if kept else _as_fitted(meter)
        against = _contradiction(before, reading)
    if against is not None:
        return [*displaced, against]
    kept.append(reading)
    return displaced


def _as_fitted(meter: Meter) -> Reading | None:
    if meter.fitted_on is None or meter.start is None:
        return None
    return Reading(meter.code, meter.fitted_on, meter.start)


def _contradiction(before: Reading | None, reading: Reading) -> Held | None:
    if before is None:
        return None
    since = f"{hours_words(before.shows)} on {before.on.isoformat()}"
    if reading.shows < before.shows:
        words = f"{hours_words(reading.shows)} is lower than {since}, and no replaced meter is on file."
        return Held(reading, HeldFor.ROLLBACK, words)
    if reading.shows - before.shows > clock_allows(before, reading):
        words = f"{hours_words(reading.shows)} is more than 24 h a day since {since}."
        return Held(reading, HeldFor.JUMP, words)
    return None
