"""Published replacements by the parts they name, with every part and replacement that a chain from there can reach."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from catalog.domain.supersessions import SupersessionKind
from catalog.loading import remembered
from catalog.loading.rows import LoadedPart, parts_answering
from catalog.models import Side, Status, Supersession, SupersessionMember

Count = tuple[int, int]  # a part's id, and how many


@dataclass(frozen=True, slots=True)
class LoadedSupersession:
    """A replacement's row. `document` is all of it but its sides: kind, both ways, when it holds, who says so."""

    id: int
    old: tuple[Count, ...]
    new: tuple[Count, ...]
    document: tuple[Any, ...]

    def parts(self) -> tuple[int, ...]:
        return tuple(part for part, _ in (*self.old, *self.new))


def supersessions(stamp: str, parts: Iterable[LoadedPart]) -> tuple[LoadedSupersession, ...]:
    """Every replacement reached from these parts, one statement for each step of the longest chain.

    None where no part is in a chain. From a part on lead the replacements of it; back lead those that put it in the
    place of one other number, and not the sets that hold it, which a washer would draw in by the hundred.
    """
    kept = remembered.at(stamp)
    wanted, done = {part.id for part in parts if part.in_chain}, set[int]()
    found: dict[int, LoadedSupersession] = {}
    while wanted:
        new = sorted(number for number in wanted if ("chain", number) not in kept)
        if new:
            kept.update(_naming(new))
        steps = [step for number in sorted(wanted) for step in kept["chain", number]]
        found.update((step.id, step) for step in steps)
        done |= wanted
        wanted = {number for step in steps for number in step.parts()} - done
    return tuple(found[number] for number in sorted(found))


def parts_in(stamp: str, steps: Iterable[LoadedSupersession]) -> tuple[LoadedPart, ...]:
    """The parts that these replacements name: one statement, or none."""
    return parts_answering(stamp, (), {number for step in steps for number in step.parts()})


def _naming(numbers: Sequence[int]) -> dict[tuple[str, int], tuple[LoadedSupersession, ...]]:
    leads = Q(members__side=Side.OLD) | Q(members__side=Side.NEW, kind=SupersessionKind.ONE_FOR_ONE.value)
    named = Supersession.objects.filter(leads, members__part__in=numbers, status=Status.ACTIVE).values("pk")
    rows = SupersessionMember.objects.filter(supersession__in=named).order_by("supersession_id", "id")
    steps: dict[int, tuple[list[Count], list[Count], tuple[Any, ...]]] = {}
    for step, side, part, quantity, *document in rows.values_list(*_COLUMNS):
        old, new, _ = steps.setdefault(step, ([], [], tuple(document)))
        (new if side == Side.NEW else old).append((part, quantity))
    found: dict[tuple[str, int], tuple[LoadedSupersession, ...]] = {("chain", number): () for number in numbers}
    for step, (old, new, document) in steps.items():
        loaded = LoadedSupersession(step, tuple(old), tuple(new), document)
        own = {part for part, _ in old}
        if document[0] == SupersessionKind.ONE_FOR_ONE.value:
            own |= {part for part, _ in new}
        for number in own:
            if ("chain", number) in found:
                found["chain", number] = (*found["chain", number], loaded)
    return found


_COLUMNS = (
    "supersession_id", "side", "part_id", "quantity", "supersession__kind", "supersession__both_ways",
    "supersession__specification__model", "supersession__specification__spec", "supersession__serials",
    "supersession__any_fuel", "supersession__all_fuels", "supersession__places", "supersession__source_kind",
    "supersession__source_citation",
)  # fmt: skip
