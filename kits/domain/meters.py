"""An engine's hour meters and their readings, which of these can be believed, and the lifetime hours they add up to.

Lifetime is the sum of what every meter ran: removal reading less start reading, and of the present meter the reading
less its start (US Army pamphlet 738-750 adds the present meter to previous ones; the start taken off is common
practice, no source). A reading lower than the last, or higher than the clock allows, is held for somebody to look at
and moves nothing (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from kits.domain.engine_hours import MeterUnit, Tenths
from service.errors import Invalid


class Counts(StrEnum):
    """What makes a meter run: key-on and engine meters of one machine differ by 10-40 %."""

    ENGINE = "engine"
    KEY_ON = "key_on"


@dataclass(frozen=True, slots=True)
class Meter:
    """One meter while it was on the engine; readings in its own count. `removed_at` is what it showed at the end.

    `start` or `removed_at` None is not known, which leaves lifetime hours unknown from there.
    """

    code: str
    fitted_on: date | None = None
    start: Tenths | None = 0
    removed_on: date | None = None
    removed_at: Tenths | None = None
    unit: MeterUnit = MeterUnit.HOURS
    counts: Counts = Counts.ENGINE

    @property
    def removed(self) -> bool:
        return self.removed_on is not None or self.removed_at is not None


class InstantAmbiguous(Invalid):
    """An instant without an offset could be several."""

    code = "instant_ambiguous"


class Review(StrEnum):
    """What a person said of a reading that was held."""

    NONE = "none"
    CONFIRMED = "confirmed"
    REJECTED = "rejected"


@dataclass(frozen=True, slots=True)
class Reading:
    """What a meter showed, on a day of the dealer's zone; `at` is the instant (with its offset) where it is known.

    `entered` is when it was put on file, None where that is not known.
    """

    meter: str
    on: date
    shows: Tenths
    at: datetime | None = None
    review: Review = Review.NONE
    entered: datetime | None = None

    def __post_init__(self) -> None:
        if self.at is not None and self.at.utcoffset() is None:
            raise InstantAmbiguous(f"The instant {self.at.isoformat()} of a reading has no offset; give one, or a day.")


class HeldFor(StrEnum):
    """Why a reading is held."""

    ROLLBACK = "rollback"  # lower than the one before, with no replacement on file
    JUMP = "jump"  # more hours than the clock allows
    BACKDATED = "backdated"  # put on file afterwards, and more than what was read later and stood there already
    OTHER_TIME = "other_time"  # the meter was not on the engine that day
    BEYOND_REMOVAL = "beyond_removal"  # more than the meter showed when it was taken off
    BELOW_START = "below_start"
    NO_SUCH_METER = "no_such_meter"
    FUTURE = "future"  # later than the day of asking
    REJECTED = "rejected"
    OVERRULED = "overruled"  # a reading that somebody confirmed says otherwise


@dataclass(frozen=True, slots=True)
class Held:
    reading: Reading
    reason: HeldFor
    words: str


@dataclass(frozen=True, slots=True)
class LifetimeReading:
    """Hours the engine had run in its life, on that day."""

    on: date
    hours: Tenths
