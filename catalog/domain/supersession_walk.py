"""Which numbers and which supersessions a question touches: each number walked once, whatever the data."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from catalog.domain.answers import Truth
from catalog.domain.applicability import Where
from catalog.domain.serials import SerialRange
from catalog.domain.supersession_chains import Chains, Numbered, Supersession


@dataclass(frozen=True, slots=True)
class Walk:
    """Numbers reached by steps that hold here or may hold, and every step out of one of them with its truth."""

    parts: Mapping[int, Numbered]
    steps: Mapping[int, Supersession]
    truths: Mapping[int, Truth]
    chains: Chains

    def out_of(self, number: int) -> tuple[Supersession, ...]:
        """The steps out of a number that hold or may hold here."""
        return tuple(step for step in self.all_out_of(number) if self.truths[step.id].holds is not False)

    def all_out_of(self, number: int) -> tuple[Supersession, ...]:
        return self.chains.out_of.get(number, ())

    def serials_in_doubt(self) -> tuple[SerialRange, ...]:
        """The serial ranges of the steps that cannot be told here: the breaks that may make a difference."""
        doubtful = (step for step in self.steps.values() if self.truths[step.id].holds is None)
        return tuple(entry for step in doubtful for entry in step.applicability.serials)

    def holds(self, step: Supersession) -> bool:
        return self.truths[step.id].holds is True


def walked(chains: Chains, asked: Iterable[Numbered], where: Where) -> Walk:
    """From the asked numbers on, breadth first; linear in the supersessions touched."""
    parts = {part.id: part for part in asked}
    steps: dict[int, Supersession] = {}
    truths: dict[int, Truth] = {}
    queue = list(parts)
    for number in queue:
        for step in chains.out_of.get(number, ()):
            if step.id in steps:
                continue
            steps[step.id], truths[step.id] = step, step.applicability.holds(where)
            if truths[step.id].holds is not False:
                new = [member.part for member in step.new if member.part.id not in parts]
                parts.update((part.id, part) for part in new)
                queue.extend(dict.fromkeys(part.id for part in new))
    return Walk(parts, steps, truths, chains)
