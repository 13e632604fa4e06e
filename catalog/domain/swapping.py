"""Whether a number may still be used as itself here although others replace it, and which old stock may be used up.

Both ways is stated, never assumed from a one-way entry (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from catalog.domain.answers import YES, Fact, Truth, all_of, distinct, no, unknown
from catalog.domain.applicability import Where
from catalog.domain.serial_worlds import SerialWorlds
from catalog.domain.supersession_chains import Chains, Numbered, Supersession
from catalog.domain.supersession_choices import Choices, choices
from catalog.domain.supersession_walk import Walk, walked
from catalog.domain.supersession_words import holding_words
from catalog.domain.supersessions import SupersessionKind


@dataclass(frozen=True, slots=True)
class Earlier:
    """An earlier number that may be used up here, one for one, in place of `instead_of`."""

    part: Numbered
    instead_of: Numbered
    why: str


@dataclass(frozen=True, slots=True)
class OldStock:
    """Earlier numbers allowed here, oldest first; `missing` is what might allow more of them."""

    allowed: tuple[Earlier, ...] = ()
    missing: tuple[Fact, ...] = ()


def as_itself(walk: Walk, part: Numbered) -> Truth:
    """Whether the number may be judged as itself: every step on its way that holds says that it may be used up.

    A number that may be used up in place of one that is passed over itself is passed over too. What is discontinued
    has no number in its place, so what is left of it is judged like any other part.
    """
    if not part.live:
        return no("withdrawn")
    numbers, doubtful = _reached_for_sure(walk, part)
    truth = all_of(_may_leave(walk, number) for number in numbers)
    beyond = [one for step in doubtful if not _may_go_beyond(walk, step).holds for one in walk.truths[step.id].missing]
    return all_of((truth, unknown(*distinct(beyond)))) if beyond else truth


def _reached_for_sure(walk: Walk, part: Numbered) -> tuple[list[int], list[Supersession]]:
    """Numbers that it leads to by steps that hold here, itself first; and the steps out of these that may hold."""
    numbers, doubtful, seen = [part.id], list[Supersession](), {part.id}
    for number in numbers:
        for step in walk.out_of(number):
            if not walk.holds(step):
                doubtful.append(step)
                continue
            new = [member.part.id for member in step.new if member.part.id not in seen]
            seen.update(new)
            numbers.extend(dict.fromkeys(new))
    return numbers, doubtful


def _may_go_beyond(walk: Walk, step: Supersession) -> Truth:
    """Whether nothing beyond a step says that what leads there may not be used up."""
    numbers = list(dict.fromkeys(member.part.id for member in step.new))
    seen = set(numbers)
    for number in numbers:
        found = {member.part.id for onward in walk.out_of(number) for member in onward.new} - seen
        seen |= found
        numbers.extend(sorted(found))
    return all_of(_may_leave(walk, number) for number in numbers)


def _may_leave(walk: Walk, number: int) -> Truth:
    """Whether every step out of a number that holds lets it be used up."""
    steps = [step for step in walk.out_of(number) if step.kind is not SupersessionKind.DISCONTINUED]
    return all_of(_permits(step, steps, walk) for step in steps if not _has_exception(step, steps, walk))


def old_stock(
    chains: Chains, parts: Iterable[Numbered], where: Where, *, blocks: tuple[str, ...] | None = None
) -> OldStock:
    """Earlier numbers that may be used up in place of these here: each step between is both ways and holds.

    `chains` holds what `still_to_load` asks for. Whole sets have no single earlier number, so only one-for-one steps
    are walked back. A number whose own chain is in error is not offered, nor is one that is withdrawn.
    """
    asked = distinct(parts)
    behind = _behind(chains, asked)
    touched = walked(chains, behind, where)
    worlds = SerialWorlds.of(where, touched.serials_in_doubt(), blocks)
    found = [_in_world(chains, behind, asked, world) for world in worlds.wheres]
    allowed = tuple(frozenset(_pairs(one.allowed)) for one in found)
    common = frozenset.intersection(*allowed)
    kept = tuple(earlier for earlier in found[0].allowed if (earlier.part, earlier.instead_of) in common)
    if len(worlds.wheres) > 1:
        kept = tuple(replace(earlier, why="swap allowed both ways") for earlier in kept)
    missing = distinct((*worlds.deciding(allowed), *(fact for one in found for fact in one.missing)))
    return OldStock(kept, missing)


def _permits(step: Supersession, steps: Sequence[Supersession], walk: Walk) -> Truth:
    if step.both_ways:
        return YES
    truth = walk.truths[step.id]
    if truth.holds is None:
        return unknown(*truth.missing)
    same = [other for other in steps if other.both_ways and _same_numbers(step, other)]
    maybe = [other for other in same if _narrower(other, step) and not walk.holds(other)]
    if maybe:
        return unknown(*distinct(fact for other in maybe for fact in walk.truths[other.id].missing))
    if any(walk.holds(other) and not _narrower(step, other) for other in same):
        return unknown(_sources_disagree(step))
    return no("replaced, one way")


def _has_exception(step: Supersession, steps: Sequence[Supersession], walk: Walk) -> bool:
    """A statement about some engines says more of them than the one about all (common practice, no source)."""
    return any(walk.holds(other) and _same_numbers(step, other) and _narrower(other, step) for other in steps)


def _same_numbers(one: Supersession, other: Supersession) -> bool:
    return one.kind is other.kind and set(one.old) == set(other.old) and set(one.new) == set(other.new)


def _narrower(one: Supersession, other: Supersession) -> bool:
    """Whether `one` asks everything that `other` asks, and something more."""
    here, general = one.applicability, other.applicability
    facets = [
        (here.specification or (), general.specification or ()), (here.serials, general.serials),
        (here.any_fuel, general.any_fuel), (here.all_fuels, general.all_fuels), (here.places, general.places),
    ]  # fmt: skip
    return here != general and all(not wide or narrow == wide for narrow, wide in facets)


def _sources_disagree(step: Supersession) -> Fact:
    old, new = (" + ".join(member.part.shown for member in side) for side in (step.old, step.new))
    return Fact(
        f"supersession {old} > {new}",
        f"One notice lets {old} be used up in place of {new} here, another one does not. Which holds? Ask the maker.",
    )


def _behind(chains: Chains, asked: Sequence[Numbered]) -> tuple[Numbered, ...]:
    """The asked numbers and all that lead to them by steps stated both ways, wherever these hold; each once."""
    found = {part.id: part for part in asked}
    queue = list(found)
    for number in queue:
        for step in chains.into.get(number, ()):
            if _goes_back(step):
                new = [member.part for member in step.old if member.part.id not in found]
                found.update((part.id, part) for part in new)
                queue.extend(part.id for part in new)
    return tuple(found.values())


def _goes_back(step: Supersession) -> bool:
    return step.both_ways and step.one_for_one and step.fault is None


def _in_world(chains: Chains, behind: Iterable[Numbered], asked: Sequence[Numbered], where: Where) -> OldStock:
    walk = walked(chains, behind, where)
    chosen = choices(walk)
    allowed: dict[int, Earlier] = {}
    missing: list[Fact] = []
    for part in asked:
        found, facts = _back_from(part, walk, chosen, where)
        missing.extend(facts)
        allowed.update((earlier.part.id, earlier) for earlier in found if earlier.part.id not in allowed)
    order = {number: place for place, (kind, number) in enumerate(chosen.order) if kind == "part"}
    return OldStock(tuple(sorted(allowed.values(), key=lambda one: order[one.part.id])), distinct(missing))


def _back_from(
    part: Numbered, walk: Walk, chosen: Choices, where: Where
) -> tuple[list[Earlier], list[Fact]]:  # fmt: skip
    """Backwards from one number, each earlier number once."""
    found: list[Earlier] = []
    missing: list[Fact] = []
    if chosen.of[part.id].errors:
        return found, missing
    why: dict[int, tuple[str, ...]] = {part.id: ()}
    queue = [part.id]
    for number in queue:
        for step in walk.chains.into.get(number, ()):
            if not _goes_back(step):
                continue
            for old in (member.part for member in step.old if member.part.id not in why):
                truth = all_of((walk.truths[step.id], _may_stay(walk, chosen, old)))
                if truth.holds is None:
                    missing.extend(truth.missing)
                if not truth.holds:
                    continue
                reason = holding_words(step.applicability, where)
                why[old.id] = distinct((*why[number], *([reason] if reason else [])))
                queue.append(old.id)
                if old.live:
                    found.append(Earlier(old, part, ", ".join((*why[old.id], "swap allowed both ways"))))
    return found, missing


def _may_stay(walk: Walk, chosen: Choices, old: Numbered) -> Truth:
    if chosen.of[old.id].errors:
        return no("catalogue error")
    # A withdrawn number between is passed through and not offered, so only its steps count here.
    return as_itself(walk, old if old.live else Numbered(old.id, old.maker, old.number))


def _pairs(earlier: Iterable[Earlier]) -> list[tuple[Numbered, Numbered]]:
    return [(one.part, one.instead_of) for one in earlier]
