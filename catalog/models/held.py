"""The derived text of a part's open holds: loaded with the part, and brought up to date in the same transaction.

What a part holds may be on hold too, so its text says that of all that lies inside, however deep: a kit then costs a
check no statement of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any

from catalog.models.facts import as_text
from catalog.models.outcome import Hold
from catalog.models.part import Part, PartContent

ROWS_A_STATEMENT = 500


def derive_held(parts: Iterable[int]) -> None:
    """Write anew what is on hold of these parts and in all that hold them.

    Belongs in the write that opened, confirmed or closed a hold, or that changed what a part holds. Nothing that is
    shown of a part changes, so `changed_in` stays. The number of statements grows with how deep kits lie in kits.
    """
    concerned = resting_on(parts)
    inside = _inside(concerned)
    reported = _reported({*concerned, *(part for within in inside.values() for part in within)})
    written = []
    for part in Part.objects.filter(pk__in=concerned).only("pk", "held"):
        text = _text(reported.get(part.pk, ()), [row for one in inside[part.pk] for row in reported.get(one, ())])
        if text != part.held:
            part.held = text
            written.append(part)
    if written:
        Part.objects.bulk_update(written, ["held"], batch_size=ROWS_A_STATEMENT)


def resting_on(parts: Iterable[int]) -> frozenset[int]:
    """These parts and all that hold them, however deep."""
    found = set(parts)
    edge = set(found)
    while edge:
        edge = set(PartContent.objects.filter(part__in=edge).values_list("container", flat=True)) - found
        found |= edge
    return frozenset(found)


def kits_with(parts: Collection[int]) -> dict[int, frozenset[tuple[str, str]]]:
    """Of each of these parts that lies in others, the maker and number of all that hold it, however deep."""
    edge, around = set(parts), dict[int, set[int]]()
    names: dict[int, tuple[str, str]] = {}
    while edge:
        rows = PartContent.objects.filter(part__in=edge)
        columns = "part", "container", "container__maker__code", "container__number"
        around |= {part: set() for part in edge}
        for part, container, maker, number in rows.values_list(*columns):
            around[part].add(container)
            names[container] = maker, number
        edge = {container for found in around.values() for container in found} - around.keys()
    return {part: frozenset(names[one] for one in _closed(part, around)) for part in parts if around[part]}


def _inside(parts: Collection[int]) -> dict[int, frozenset[int]]:
    """All that lies in each of these parts, however deep."""
    held: dict[int, set[int]] = {}
    edge = set(parts)
    while edge:
        rows = list(PartContent.objects.filter(container__in=edge).values_list("container", "part"))
        held |= {number: set() for number in edge}
        for container, part in rows:
            held[container].add(part)
        edge = {part for _, part in rows} - held.keys()
    return {part: _closed(part, held) for part in parts}


def _closed(part: int, held: dict[int, set[int]]) -> frozenset[int]:
    found, edge = set[int](), set(held[part])
    while edge:
        found |= edge
        edge = {inner for one in edge for inner in held[one]} - found
    return frozenset(found)


def _reported(parts: Collection[int]) -> dict[int, list[list[Any]]]:
    """Of each of these parts the open holds: specification, position, dealer (null for all), kind, day and part."""
    found: dict[int, list[list[Any]]] = {}
    for hold in Hold.objects.open().filter(part__in=parts).select_related("outcome", "part__maker"):
        row = [
            hold.specification_id,
            hold.position,
            None if hold.confirmed_at else str(hold.dealer_id),
            hold.outcome.kind,
            hold.outcome.reported_on.isoformat(),
            [hold.part.maker.code, hold.part.number],
        ]
        found.setdefault(hold.part_id, []).append(row)
    return found


def _text(own: Iterable[list[Any]], inside: Iterable[list[Any]]) -> str:
    """Empty where nothing is on hold, else rows as `_reported` has them; those about the part itself name none."""
    rows = [*(row[:-1] for row in own), *inside]
    return as_text(sorted(rows, key=as_text)) if rows else ""
