"""Pieces on their way from the lines of a question to the numbers they are now: whole sets only, nothing merged.

What was asked for in several lines can become one thing (`together`). It is then counted in the first of them, and the
others show it with quantity 0; all of them share its fate.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from catalog.domain.answers import Fact
from catalog.domain.fuels import listed_words
from catalog.domain.supersession_chains import CatalogueError, Counted, Numbered, Supersession
from catalog.domain.supersession_choices import Choices
from catalog.domain.supersession_walk import Walk
from catalog.domain.supersessions import SupersessionKind


@dataclass(frozen=True, slots=True)
class Flow:
    """Pieces of one number that came of these lines (by index), and how they came."""

    part: Numbered
    quantity: int
    lines: tuple[int, ...]
    before: Flow | None = None
    by: Supersession | None = None

    def path(self) -> tuple[Supersession, ...]:
        """The steps taken, first to last."""
        steps, flow = [], self
        while flow.before is not None and flow.by is not None:
            steps.append(flow.by)
            flow = flow.before
        return tuple(reversed(steps))


@dataclass(slots=True)
class Arrived:
    """What became of one line: where its pieces ended, and what kept some of them from ending anywhere."""

    ends: list[Flow] = field(default_factory=list)
    discontinued: list[Numbered] = field(default_factory=list)
    errors: list[CatalogueError] = field(default_factory=list)
    missing: list[Fact] = field(default_factory=list)
    partners: set[int] = field(default_factory=set)

    @property
    def whole(self) -> bool:
        return not (self.discontinued or self.errors or self.missing)


def arrived(walk: Walk, chosen: Choices, lines: Sequence[Counted]) -> tuple[Arrived, ...]:
    """One for each line, in their order; linear in the steps taken and lines."""
    moving = _Moving(walk, chosen, tuple(Arrived(errors=[*chosen.of[line.part.id].errors]) for line in lines))
    for index, line in enumerate(lines):
        moving.on_part[line.part.id].append(Flow(walk.parts[line.part.id], line.quantity, (index,)))
    for kind, number in chosen.order:
        if kind == "part":
            moving.leave_part(walk.parts[number])
        else:
            moving.leave_step(walk.steps[number])
    return moving.lines


@dataclass(slots=True)
class _Moving:
    walk: Walk
    chosen: Choices
    lines: tuple[Arrived, ...]
    on_part: dict[int, list[Flow]] = field(default_factory=lambda: defaultdict(list))
    at_step: dict[int, list[Flow]] = field(default_factory=lambda: defaultdict(list))

    def leave_part(self, part: Numbered) -> None:
        choice, flows = self.chosen.of[part.id], _joined(self.on_part.pop(part.id, ()))
        for flow in flows:
            if choice.step is not None:
                self.at_step[choice.step.id].append(flow)
                continue
            for line in self._of(flow):
                line.errors.extend(choice.errors)
                line.missing.extend(choice.missing)
                line.ends.append(flow)

    def leave_step(self, step: Supersession) -> None:
        flows = self.at_step.pop(step.id, [])
        if step.kind is SupersessionKind.TOGETHER:
            self._together(step, flows)
            return
        for flow in flows:
            if step.kind is SupersessionKind.DISCONTINUED:
                for line in self._of(flow):
                    line.discontinued.append(flow.part)
            elif step.one_for_one:
                self._arrive(flow, step, flow.lines, step.new[0].part, flow.quantity)
            else:
                self._as_set(step, flow)

    def _as_set(self, step: Supersession, flow: Flow) -> None:
        sets, rest = divmod(flow.quantity, step.old_quantity(flow.part))
        if rest:
            self._ask([flow], _whole_sets(step, flow.part, flow.quantity))
            return
        for member in step.new:
            self._arrive(flow, step, flow.lines, member.part, sets * member.quantity)

    def _together(self, step: Supersession, flows: list[Flow]) -> None:
        if not flows:
            return
        totals = dict.fromkeys((member.part for member in step.old), 0)
        for flow in flows:
            totals[flow.part] += flow.quantity
        sets = max(-(-totals[member.part] // member.quantity) for member in step.old)
        lacking = [
            Counted(member.part, sets * member.quantity - totals[member.part])
            for member in step.old
            if totals[member.part] != sets * member.quantity
        ]
        if lacking:
            self._ask(flows, _other_half(step, totals, lacking))
            return
        lines = tuple(sorted({line for flow in flows for line in flow.lines}))
        first = next(flow for flow in flows if lines[0] in flow.lines)
        for line in lines:
            self.lines[line].partners.update(lines)
        for member in step.new:
            self._arrive(first, step, lines, member.part, sets * member.quantity)

    def _arrive(self, flow: Flow, step: Supersession, lines: tuple[int, ...], part: Numbered, quantity: int) -> None:
        self.on_part[part.id].append(Flow(self.walk.parts[part.id], quantity, lines, flow, step))

    def _ask(self, flows: Iterable[Flow], fact: Fact) -> None:
        for flow in flows:
            for line in self._of(flow):
                line.missing.append(fact)

    def _of(self, flow: Flow) -> list[Arrived]:
        return [self.lines[index] for index in flow.lines]


def _joined(flows: Iterable[Flow]) -> list[Flow]:
    """Pieces of the same lines that came to one number by several ways, as one."""
    joined: dict[tuple[int, ...], Flow] = {}
    for flow in flows:
        before = joined.get(flow.lines)
        if before is not None:
            flow = Flow(flow.part, before.quantity + flow.quantity, flow.lines, before.before, before.by)  # noqa: PLW2901
        joined[flow.lines] = flow
    return list(joined.values())


def _whole_sets(step: Supersession, part: Numbered, quantity: int) -> Fact:
    old, new = step.old_quantity(part), ", ".join(member.shown for member in step.new)
    return Fact(
        f"quantity of {part.shown}",
        f"{old} of {part.shown} are now {new}, whole sets only, and {quantity} cannot be divided by {old}. "
        f"How many are being replaced?",
    )


def _other_half(step: Supersession, totals: dict[Numbered, int], lacking: Sequence[Counted]) -> Fact:
    old, new = (listed_words([member.shown for member in side]) for side in (step.old, step.new))
    have = listed_words([Counted(part, quantity).shown for part, quantity in totals.items() if quantity])
    other = listed_words([member.shown for member in lacking])
    return Fact(
        f"replaced with it: {other}",
        f"{old} together are now {new}, and what is asked for is {have}. Replaced at the same time: {other}?",
    )
