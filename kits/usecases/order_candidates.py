"""Other parts that may serve a kit's line on its machine: old stock to be used up, and alternatives for a person.

Each is asked about on that machine, at that position, in one batch that records nothing; whatever is not accepted
there, as itself, is neither used nor shown.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from catalog.domain.answers import Verdict
from catalog.usecases.checking import Decided, weigh_batch
from kits.domain.kit_lines import Unit
from kits.loading.kit_needs import WantedLine, earlier_numbers
from service.errors import DomainError
from service.operations.models import Dealer

Place = tuple[int, int]  # a line's id, and another part's


@dataclass(frozen=True, slots=True)
class Candidates:
    """Parts by id that may be asked about for each line, by its id. `old` are earlier numbers of what it takes."""

    old: dict[int, tuple[int, ...]]
    others: dict[int, tuple[int, ...]]

    def parts(self) -> set[int]:
        return {part for named in (self.old, self.others) for parts in named.values() for part in parts}

    def of(self, line: WantedLine) -> tuple[int, ...]:
        return (*self.old.get(line.row.pk, ()), *self.others.get(line.row.pk, ()))


@dataclass(frozen=True, slots=True)
class Fitting:
    """Those that are accepted, by line: `old` may be used up, `others` a person may decide for. `refused` are not."""

    old: dict[int, tuple[int, ...]] = field(default_factory=dict)
    others: dict[int, tuple[int, ...]] = field(default_factory=dict)
    refused: frozenset[Place] = frozenset()


def candidates_of(lines: Iterable[WantedLine]) -> Candidates:
    """Of lines that take one part. A set is replaced as a whole, which its own check says."""
    placed = [line for line in lines if line.row.position and line.row.unit == Unit.EACH]
    single = {line.row.pk: line.uses[0].part.pk for line in placed if line.settled and len(line.uses) == 1}
    earlier = earlier_numbers(single.values())
    old = {line: tuple(sorted(earlier[part])) for line, part in single.items() if earlier[part]}
    others = {
        line.row.pk: tuple(
            part
            for part in line.alternatives
            if part != single.get(line.row.pk) and part not in old.get(line.row.pk, ())
        )
        for line in placed
        if line.row.pk in single or not line.settled
    }
    return Candidates(old, {line: parts for line, parts in others.items() if parts})


def fitting(
    candidates: Candidates, lines: Sequence[WantedLine], there: Collection[int], *, dealer: Dealer, now: datetime
) -> Fitting:
    """Those that are accepted on the machine of their line. Only parts that are `there` to be had are asked about."""
    asked = {
        (line.row.pk, part): _question(line, part) for line in lines for part in candidates.of(line) if part in there
    }
    if not asked:
        return Fitting()
    weighed = weigh_batch(list(asked.values()), dealer=dealer, asked_by="order plan", now=now)
    good = {place for place, outcome in zip(asked, weighed.outcomes, strict=True) if _as_itself(outcome, place[1])}
    return Fitting(_kept(candidates.old, good), _kept(candidates.others, good), frozenset(asked) - good)


def _question(line: WantedLine, part: int) -> dict[str, Any]:
    quantity = line.uses[0].quantity if line.uses else line.row.quantity
    item = {"part": {"id": part}, "quantity": quantity or 1}
    return {"machine": line.kit.machine_id, "position": line.row.position, "candidate": [item]}


def _as_itself(outcome: Decided | DomainError, part: int) -> bool:
    if isinstance(outcome, DomainError) or outcome.decision.verdict is not Verdict.ACCEPTED:
        return False
    return [use.part.id for use in outcome.decision.use] == [part]


def _kept(named: dict[int, tuple[int, ...]], good: set[Place]) -> dict[int, tuple[int, ...]]:
    kept = {line: tuple(part for part in parts if (line, part) in good) for line, parts in named.items()}
    return {line: parts for line, parts in kept.items() if parts}
