"""What the numbers of one or several lines are today on this engine, by the makers' published supersessions.

An end is given only where every step to it holds here, or makes no difference; a chain in error picks nothing. Where a
fact is missing the questions name it, and only those are asked whose answer can change the numbers.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace

from catalog.domain.answers import Fact, Truth, distinct, unknown
from catalog.domain.applicability import Where
from catalog.domain.serial_worlds import SerialWorlds
from catalog.domain.supersession_chains import CatalogueError, Chains, Counted, Numbered, Supersession
from catalog.domain.supersession_choices import Choices, choices
from catalog.domain.supersession_flow import Arrived, arrived
from catalog.domain.supersession_walk import Walk, walked
from catalog.domain.supersession_words import shared_words, step_words, use_words
from catalog.domain.swapping import as_itself
from service.errors import Invalid


@dataclass(frozen=True, slots=True)
class ChainStep:
    """One supersession of the chain, whether it holds here, and the sentence that says why."""

    supersession: Supersession
    truth: Truth
    why: str


@dataclass(frozen=True, slots=True)
class ToUse:
    """A number to use, in pieces; quantity 0 where they are counted in another line that this one is part of."""

    part: Numbered
    quantity: int
    why: str


@dataclass(frozen=True, slots=True)
class Resolved:
    """What one line comes to. `use` is empty where nothing may be picked, and one of the last three says why.

    `itself` says whether the number asked for may still be judged as itself here. `lines` are the indexes of other
    lines that share this line's parts and its fate.
    """

    asked: Counted
    use: tuple[ToUse, ...]
    chain: tuple[ChainStep, ...]
    itself: Truth
    lines: tuple[int, ...] = ()
    catalogue_errors: tuple[CatalogueError, ...] = ()
    missing: tuple[Fact, ...] = ()
    discontinued: tuple[Numbered, ...] = ()

    @property
    def superseded(self) -> bool:
        """Whether another number than the one asked for is to be used."""
        return any(one.part != self.asked.part for one in self.use)


def resolve(
    chains: Chains, lines: Sequence[Counted], where: Where, *, blocks: tuple[str, ...] | None = None
) -> tuple[Resolved, ...]:
    """One answer for each line, in their order. Linear in the supersessions touched, for each serial break in doubt.

    `blocks` are the prefixes of the engine's serial scheme (`SerialScheme.prefixes`), None where that is not known.
    Raises Invalid for a quantity below one.
    """
    for index, line in enumerate(lines):
        if line.quantity < 1:
            raise Invalid("Ask for one piece or more.", pointer=f"/lines/{index}/quantity", code="no_quantity")
    asked = tuple(line.part for line in lines)
    touched = walked(chains, asked, where)
    worlds = SerialWorlds.of(where, touched.serials_in_doubt(), blocks)
    each = tuple(_World.of(chains, lines, world) for world in worlds.wheres)
    asking = _Asking(touched, where, worlds, each)
    return _sharing_fate([asking.line(index, line) for index, line in enumerate(lines)])


@dataclass(frozen=True, slots=True)
class _World:
    """All lines on one engine that the question may be about."""

    walk: Walk
    chosen: Choices
    lines: tuple[Arrived, ...]

    @classmethod
    def of(cls, chains: Chains, lines: Sequence[Counted], where: Where) -> _World:
        walk = walked(chains, (line.part for line in lines), where)
        chosen = choices(walk)
        return cls(walk, chosen, arrived(walk, chosen, lines))

    def answer(self, index: int) -> Hashable:
        """What tells the outcome of a line in this world from its outcome in another."""
        line = self.lines[index]
        ends = ((flow.part, flow.quantity, flow.lines) for flow in line.ends)
        # What is further down does not matter where there is anything further up.
        return frozenset(line.errors or line.discontinued or line.missing or ends), line.whole

    def itself(self, part: Numbered) -> Truth:
        return unknown(_current_number(part)) if self.chosen.of[part.id].errors else as_itself(self.walk, part)


@dataclass(frozen=True, slots=True)
class _Asking:
    """What is known of the engine asked about (`touched`, `where`), and every engine that it may be."""

    touched: Walk
    where: Where
    worlds: SerialWorlds
    each: tuple[_World, ...]

    def line(self, index: int, asked: Counted) -> Resolved:
        found = [world.lines[index] for world in self.each]
        deciding = self.worlds.deciding([world.answer(index) for world in self.each])
        resolved = Resolved(
            asked=asked,
            use=(),
            chain=_chain(asked.part, self.touched, self.where),
            itself=self.itself(asked.part),
            lines=tuple(sorted(set().union(*(line.partners for line in found)) - {index})),
        )
        if all(line.errors for line in found):
            # No fact about the engine mends the data, so none is asked for.
            errors = distinct(error for line in found for error in line.errors)
            return replace(resolved, catalogue_errors=errors, missing=(_current_number(asked.part),))
        missing = distinct((*deciding, *(fact for line in found for fact in line.missing)))
        if found[0].discontinued and not deciding:
            return replace(resolved, discontinued=distinct(found[0].discontinued))
        if missing:
            return replace(resolved, missing=missing)
        return replace(resolved, use=_use(index, asked.part, found[0], self.touched, self.where))

    def itself(self, part: Numbered) -> Truth:
        truths = [world.itself(part) for world in self.each]
        deciding = self.worlds.deciding([truth.holds for truth in truths])
        missing = distinct((*deciding, *(fact for truth in truths for fact in truth.missing)))
        return unknown(*missing) if missing else truths[0]


def _use(index: int, asked: Numbered, line: Arrived, touched: Walk, where: Where) -> tuple[ToUse, ...]:
    """In the order of the numbers' ids."""
    used = []
    for flow in sorted(line.ends, key=lambda one: (one.part.id, one.lines)):
        path = flow.path()
        if flow.lines[0] == index:
            used.append(ToUse(flow.part, flow.quantity, use_words(asked, flow.part, path, touched, where)))
        else:
            used.append(ToUse(flow.part, 0, shared_words(asked, path, flow.lines[0] + 1)))
    return tuple(used)


def _chain(asked: Numbered, touched: Walk, where: Where) -> tuple[ChainStep, ...]:
    """Every step out of a number reached from the one asked for, nearest first."""
    reached, steps = {asked.id: None}, {}
    queue = [asked.id]
    for number in queue:
        for step in touched.all_out_of(number):
            steps[step.id] = step
            if touched.truths[step.id].holds is not False:
                new = [member.part.id for member in step.new if member.part.id not in reached]
                reached.update(dict.fromkeys(new))
                queue.extend(new)
    truths = touched.truths
    return tuple(ChainStep(step, truths[step.id], step_words(step, truths[step.id], where)) for step in steps.values())


def _sharing_fate(lines: Sequence[Resolved]) -> tuple[Resolved, ...]:
    """Lines whose pieces became one thing are used together or not at all.

    A line that is settled by itself shares its pieces for certain; one that is not has reasons of its own.
    """
    done = list(lines)
    seen: set[int] = set()
    for start in range(len(lines)):
        if start in seen or not lines[start].use:
            continue
        group = {start: None}
        queue = [start]
        for index in queue:
            new = [other for other in lines[index].lines if other not in group and lines[other].use]
            group.update(dict.fromkeys(new))
            queue.extend(new)
        seen.update(group)
        others = sorted({other for index in group for other in lines[index].lines} - set(group))
        for index in group if others else ():
            done[index] = _kept_back(lines[index], [lines[other] for other in others])
    return tuple(done)


def _kept_back(line: Resolved, by: Sequence[Resolved]) -> Resolved:
    return replace(
        line,
        use=(),
        catalogue_errors=distinct(error for other in by for error in other.catalogue_errors),
        missing=distinct(fact for other in by for fact in other.missing),
        discontinued=distinct(part for other in by for part in other.discontinued),
    )


def _current_number(part: Numbered) -> Fact:
    return Fact(
        f"number supplied today for {part.shown}",
        f"Which number does the maker supply today in place of {part.shown}? The catalogue is in error; ask the maker.",
    )
