"""Working days of a shop and a supplier, and what follows for orders: when one arrives, and the last day that is safe.

Lead time is counted in days on which both sides work (trade practice, no source). Instants are aware; zones are given.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from service.errors import Invalid, Unprocessable

MONDAY_TO_FRIDAY = frozenset(range(5))
_DAY = timedelta(days=1)


class CalendarEnds(Unprocessable):
    """A day is asked about for which the closed days are not known."""

    code = "calendar_ends"


@dataclass(frozen=True, slots=True)
class Calendar:
    """The days a house works. `closed` holds public holidays and its own closed days from `first` to `last`.

    Outside `first` to `last` the closed days are not known, so nothing is said of those days.
    """

    name: str
    first: date
    last: date
    closed: frozenset[date] = frozenset()
    weekdays: frozenset[int] = MONDAY_TO_FRIDAY  # 0 is Monday

    def works_on(self, day: date) -> bool:
        """Raises CalendarEnds where the closed days of that day are not known."""
        if not self.first <= day <= self.last:
            raise CalendarEnds(
                f"The closed days of {self.name} are known from {self.first} to {self.last}; {day} is outside. "
                "Record the closed days of that year first.",
                day=day.isoformat(),
            )
        return day.weekday() in self.weekdays and day not in self.closed

    def and_with(self, other: Calendar) -> Calendar:
        """The days on which both work, known where both are known. Raises CalendarEnds where that is nowhere."""
        first, last = max(self.first, other.first), min(self.last, other.last)
        name = f"{self.name} and {other.name}"
        if first > last:
            raise CalendarEnds(f"The closed days of {name} are known for no day in common.")
        return Calendar(name, first, last, self.closed | other.closed, self.weekdays & other.weekdays)

    def on_or_after(self, day: date) -> date:
        while not self.works_on(day):
            day += _DAY
        return day

    def on_or_before(self, day: date) -> date:
        while not self.works_on(day):
            day -= _DAY
        return day

    def forward(self, day: date, count: int) -> date:
        """The working day that many working days after the first one from `day` on."""
        day = self.on_or_after(day)
        for _ in range(count):
            day = self.on_or_after(day + _DAY)
        return day

    def back(self, day: date, count: int) -> date:
        """The working day that many working days before the last one up to `day`."""
        day = self.on_or_before(day)
        for _ in range(count):
            day = self.on_or_before(day - _DAY)
        return day


@dataclass(frozen=True, slots=True)
class Delivery:
    """How long goods take: `lead_days` on which `days` says that both sides work.

    Orders in by `cut_off`, in the supplier's `zone`, count from that day and later ones from the next. Where none is
    recorded days alone are counted.
    """

    lead_days: int
    days: Calendar
    zone: tzinfo
    cut_off: time | None = None

    def __post_init__(self) -> None:
        if self.lead_days < 0:
            raise Invalid("A lead time is a number of working days, 0 or more.", code="lead_time")


@dataclass(frozen=True, slots=True)
class LastOrder:
    """The last safe day to order in the branch's zone, and the instant of the cut-off where one is recorded."""

    day: date
    instant: datetime | None


def shelf_date(shop: Calendar, service: date) -> date:
    """The day by which goods must lie on the shelf: the shop's last working day before the service.

    Raises CalendarEnds, for the first of all days too, before which there is none.
    """
    return shop.on_or_before(service - _DAY if service > date.min else service)


def arrival(placed: datetime, delivery: Delivery) -> date:
    """The day an order placed at that instant is on the shelf. Raises Invalid for an instant without an offset."""
    if placed.utcoffset() is None:
        raise Invalid("An order is placed at an instant; give it with its offset.", code="no_offset")
    local = placed.astimezone(delivery.zone)
    late = delivery.cut_off is not None and local.time() > delivery.cut_off
    return delivery.days.forward(local.date() + _DAY * late, delivery.lead_days)


def last_order(shelf: date, delivery: Delivery, branch: tzinfo) -> LastOrder:
    """The last safe order for goods that must be on the shelf that day.

    The day is the branch's: the supplier's cut-off may fall on the day before there. An hour that the clocks pass
    twice or leave out at the supplier is taken at the earlier of its two readings.
    """
    day = delivery.days.back(shelf, delivery.lead_days)
    if delivery.cut_off is None:
        return LastOrder(day, None)
    local = datetime.combine(day, delivery.cut_off, delivery.zone)
    instant = min(local.replace(fold=fold).astimezone(UTC) for fold in (0, 1))
    return LastOrder(instant.astimezone(branch).date(), instant)
