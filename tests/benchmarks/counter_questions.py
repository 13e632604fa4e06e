"""Many questions over the demo catalogue, so that none that is timed has been asked before it is timed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import count
from typing import Any

from catalog.models import Part, Position

LEAST_FINDINGS = 15
Body = dict[str, Any]


@dataclass(frozen=True, slots=True)
class CounterQuestions:
    """`before` asks about half of the parts of each position, `timed` about the other half; no pair is in both.

    `again` asks about the pairs of `timed` for other engines of the same kind: no serial number comes twice anywhere.
    """

    before: tuple[Body, ...]
    timed: tuple[Body, ...]
    again: tuple[Body, ...]


def counter_questions(findings: Callable[[Body], int], most: int | None = None) -> CounterQuestions:
    """`findings` asks one question; positions where it comes to fewer than fifteen are left out.

    Of each position's parts at most so many are asked about, from all over its category.
    """
    serials, before, timed, again = count(100_001), list[Body](), list[Body](), list[Body]()
    for position in Position.objects.filter(inside_of=None).select_related("specification").order_by("id"):
        first, *parts = Part.objects.filter(category=position.category).order_by("id").values_list("id", flat=True)
        if findings(_body(position, first, serials)) < LEAST_FINDINGS:
            continue
        parts = parts[:: 1 if most is None else max(1, len(parts) // most)][:most]
        before += [_body(position, part, serials) for part in parts[1::2]]
        timed += [_body(position, part, serials) for part in parts[::2]]
        again += [_body(position, part, serials) for part in parts[::2]]
    return CounterQuestions(tuple(before), tuple(timed), tuple(again))


def _body(position: Position, part: int, serials: Iterator[int]) -> Body:
    specification = position.specification
    burned = specification.fuels[:1]
    return {
        "candidate": {"id": part},
        "position": position.code,
        "application": {
            "spec": {"model": specification.model, "spec": specification.spec},
            "serial": f"{specification.serial_prefixes[0] if specification.serial_prefixes else ''}{next(serials)}",
            "plate_fuels": burned,
            "fuel_records": [{"fuels": burned, "mode": "only_fuel", "found_on": "2026-01-12"}],
            "place_of_use": "outdoor",
        },
    }
