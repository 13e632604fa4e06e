"""The way on from every number touched: where its use ends here, or why that cannot be told. Nothing is picked.

Steps out of one number agree where they come to the same end, in the same quantities, whatever numbers lie between.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from catalog.domain.answers import Fact, distinct
from catalog.domain.strong_components import strong_components
from catalog.domain.supersession_chains import CatalogueError, Numbered, Supersession
from catalog.domain.supersession_walk import Walk
from catalog.domain.supersessions import SupersessionKind

Node = tuple[str, int]  # ("part", id) or ("step", id)
Ends = dict[int, Fraction]  # by a number for each kind of end, how many come of one piece


@dataclass(frozen=True, slots=True)
class Choice:
    """`step` is the way on; None where the number stays, or where `errors` or `missing` say why nothing is chosen.

    Where there is a way on, `errors` and `missing` are what pieces meet further along it.
    """

    step: Supersession | None = None
    errors: tuple[CatalogueError, ...] = ()
    missing: tuple[Fact, ...] = ()


@dataclass(frozen=True, slots=True)
class Choices:
    """The choice at every number touched; in `order` a number or step comes after all that lead to it."""

    of: Mapping[int, Choice]
    order: tuple[Node, ...]


def choices(walk: Walk) -> Choices:
    """Linear in the steps touched, but for ends of sets, of which each step carries its own list."""
    deciding = _Deciding(walk, _loops(walk))
    components = strong_components((("part", number) for number in walk.parts), deciding.after)
    for component in components:
        deciding.component(component)
    order = [node for component in reversed(components) for node in sorted(component, key=_steps_first)]
    return Choices(deciding.chosen, tuple(order))


def _steps_first(node: Node) -> bool:
    """Inside a loop nothing is chosen, so only what comes in from outside moves: through a step, onto a number."""
    return node[0] == "part"


def _loops(walk: Walk) -> dict[int, CatalogueError]:
    """Numbers that come back to themselves by steps that all hold here."""

    def after(node: Node) -> Iterable[Node]:
        kind, number = node
        if kind == "part":
            return [("step", step.id) for step in walk.all_out_of(number) if walk.holds(step)]
        return [("part", member.part.id) for member in walk.steps[number].new]

    found = {}
    for component in strong_components((("part", number) for number in walk.parts), after):
        parts = [walk.parts[number] for kind, number in component if kind == "part"]
        if len(component) > 1:
            found.update(dict.fromkeys((part.id for part in parts), CatalogueError.loop(parts)))
    return found


@dataclass(slots=True)
class _Deciding:
    """Ends first: when a number is decided, all that its steps lead to are."""

    walk: Walk
    loops: Mapping[int, CatalogueError]
    chosen: dict[int, Choice] = field(default_factory=dict)
    ends: dict[int, Ends] = field(default_factory=dict)  # by number
    kinds_of_end: dict[Any, int] = field(default_factory=dict)

    def after(self, node: Node) -> list[Node]:
        kind, number = node
        if kind == "step":
            return [("part", member.part.id) for member in self.walk.steps[number].new]
        return [] if number in self.loops else [("step", step.id) for step in self.walk.out_of(number)]

    def component(self, nodes: tuple[Node, ...]) -> None:
        numbers = [number for kind, number in nodes if kind == "part"]
        if len(nodes) > 1:
            # Held together by at least one step of which it is not known whether it holds; settle that first.
            steps = sorted(number for kind, number in nodes if kind == "step")
            facts = distinct(fact for number in steps for fact in self.walk.truths[number].missing)
            for number in numbers:
                self._end(number, Choice(missing=facts))
        else:
            for number in numbers:
                self._decide(number)

    def _decide(self, number: int) -> None:
        part, steps = self.walk.parts[number], self.walk.out_of(number)
        holding = [step for step in steps if self.walk.holds(step)]
        open_ = [step for step in steps if not self.walk.holds(step)]
        faults = distinct(step.fault for step in holding if step.fault)
        if number in self.loops:
            self._end(number, Choice(errors=(self.loops[number],)))
        elif faults:
            self._end(number, Choice(errors=faults))
        elif not steps:
            self._end(number, Choice() if part.live else Choice(errors=(CatalogueError.dead_end(part),)))
        elif not holding:
            self._end(number, Choice(missing=self._facts(open_)))
        else:
            self._among(part, holding, open_)

    def _among(self, part: Numbered, holding: list[Supersession], open_: list[Supersession]) -> None:
        """One step is followed where all that hold agree, and none that may hold would say otherwise."""
        first = holding[0]
        ends = self._ends_of(first, part)
        different = [step for step in open_ if self._ends_of(step, part) != ends]
        ahead = self._ahead(holding)
        if any(self._ends_of(step, part) != ends for step in holding):
            if ahead.errors or ahead.missing:
                self._end(part.id, ahead)
            else:
                new = (member.part for step in holding for member in step.new)
                self._end(part.id, Choice(errors=(CatalogueError.two_ends(part, new),)))
        elif different:
            facts = distinct((*self._facts(different), *ahead.missing))
            self._end(part.id, Choice(missing=facts))
        else:
            further = self._ahead([first])
            self.chosen[part.id] = Choice(first, further.errors, further.missing)
            self.ends[part.id] = ends

    def _end(self, number: int, choice: Choice) -> None:
        self.chosen[number] = choice
        settled = not choice.errors and not choice.missing
        self.ends[number] = {self._kind_of_end(("stays" if settled else "open", number)): Fraction(1)}

    def _facts(self, steps: Iterable[Supersession]) -> tuple[Fact, ...]:
        """What would tell whether these hold, and what is open behind them."""
        steps = list(steps)
        own = (fact for step in steps for fact in self.walk.truths[step.id].missing)
        return distinct((*own, *self._ahead(steps).missing))

    def _ahead(self, steps: Iterable[Supersession]) -> Choice:
        """All that pieces meet after these steps, as a choice that goes nowhere."""
        met = [self.chosen[member.part.id] for step in steps for member in step.new]
        if len(met) == 1:
            return Choice(errors=met[0].errors, missing=met[0].missing)
        return Choice(
            errors=distinct(error for one in met for error in one.errors),
            missing=distinct(fact for one in met for fact in one.missing),
        )

    def _ends_of(self, step: Supersession, part: Numbered) -> Ends:
        """What comes of one piece of `part`; parts of a piece only tell quantities apart and are never used."""
        if step.fault:
            return {self._kind_of_end(("fault", step.id)): Fraction(1)}
        if step.kind is SupersessionKind.DISCONTINUED:
            return {self._kind_of_end(("discontinued", part.id)): Fraction(1)}
        if step.one_for_one:
            return self.ends[step.new[0].part.id]
        ends: Ends = {}
        for member in step.new:
            for end, count in self.ends[member.part.id].items():
                ends[end] = ends.get(end, Fraction(0)) + count * member.quantity
        old = frozenset((member.part.id, member.quantity) for member in step.old)
        if step.kind is SupersessionKind.TOGETHER:
            return {self._kind_of_end(("together", old, frozenset(ends.items()))): Fraction(1)}
        return {end: count / step.old_quantity(part) for end, count in ends.items()}

    def _kind_of_end(self, end: Any) -> int:
        return self.kinds_of_end.setdefault(end, len(self.kinds_of_end))
