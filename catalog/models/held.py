"""The derived text of a part's open holds: loaded with the part, and brought up to date in the same transaction."""

from __future__ import annotations

from collections.abc import Iterable

from catalog.models.facts import as_text
from catalog.models.outcome import Hold
from catalog.models.part import Part


def derive_held(parts: Iterable[int]) -> None:
    """Write anew what is on hold of these parts; belongs in the write that opened, confirmed or closed a hold.

    Nothing that is shown of a part changes, so `changed_in` stays.
    """
    for number in sorted(set(parts)):
        Part.objects.filter(pk=number).update(held=held_text(number))


def held_text(part: int) -> str:
    """Empty where nothing is on hold, else rows of specification, position, dealer (null for all), kind and day."""
    open_ones = Hold.objects.open().filter(part=part).select_related("outcome")
    rows = [
        [
            hold.specification_id,
            hold.position,
            None if hold.confirmed_at else str(hold.dealer_id),
            hold.outcome.kind,
            hold.outcome.reported_on.isoformat(),
        ]
        for hold in open_ones
    ]
    return as_text(sorted(rows, key=as_text)) if rows else ""
