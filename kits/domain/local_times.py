"""Times of day as people write them down, without an offset: in some hours they are two instants, or none."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, tzinfo

from kits.domain.meters import InstantAmbiguous
from service.errors import Invalid


class InstantSkipped(Invalid):
    """A local time that the clocks pass over that day."""

    code = "instant_skipped"


def instant_in(zone: tzinfo, local: datetime) -> datetime:
    """The instant a local time is in a zone, with its offset; one that has an offset already is shown in the zone.

    Raises InstantAmbiguous where the clocks show it twice and InstantSkipped where never, naming both offsets.
    """
    if local.utcoffset() is not None:
        return local.astimezone(zone)
    first, second = (local.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if first.utcoffset() == second.utcoffset():
        return first
    shown, offsets = f"{local.isoformat(timespec='minutes')} in {zone}", (_offset(first), _offset(second))
    words = f"the offset: {offsets[0]} or {offsets[1]}"
    if first.astimezone(UTC).astimezone(zone).replace(tzinfo=None) == local:
        raise InstantAmbiguous(f"{shown} comes twice that day; write it with {words}.", offsets=offsets)
    raise InstantSkipped(
        f"{shown} never comes, the clocks pass over it that day; write it with {words}.", offsets=offsets
    )


def _offset(instant: datetime) -> str:
    minutes = (instant.utcoffset() or timedelta()) // timedelta(minutes=1)
    sign, (hours, rest) = "-" if minutes < 0 else "+", divmod(abs(minutes), 60)
    return f"{sign}{hours:02}:{rest:02}"
