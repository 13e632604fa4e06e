"""Laws of numbers that replace numbers, on any statements however odd: the graphs are drawn at random.

Where an outcome is known without our own code it is worked out beside it: by trying every serial, or by reachability.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise
from typing import TypeVar

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from catalog.domain.applicability import Applicability, Where
from catalog.domain.resolving import Resolved, resolve
from catalog.domain.serials import SerialRange
from catalog.domain.strong_components import strong_components
from catalog.domain.supersession_chains import Chains, Counted, InCatalogue, Numbered, Supersession
from catalog.domain.supersessions import SupersessionKind
from catalog.domain.swapping import old_stock
from tests.domain.chains import PLAIN, engine

pytestmark = pytest.mark.domain
T = TypeVar("T")
law = settings(max_examples=100, deadline=None)
LAST = 6  # serials 0 to 6; breaks lie between them
PLACES = ("outdoor", "indoor")
PARTS = tuple(
    Numbered(
        index, "VRD" if index < 7 else "OLM", f"{index}", InCatalogue.WITHDRAWN if index == 6 else InCatalogue.LIVE
    )
    for index in range(8)
)
LIVE = PARTS[:6]
ranges = st.builds(
    lambda ends, openings: SerialRange(
        None if openings[0] else min(ends), None if openings[1] else max(ends)
    ),
    st.tuples(st.integers(0, LAST), st.integers(0, LAST)),
    st.tuples(st.booleans(), st.booleans()),
)  # fmt: skip
applicabilities = st.builds(
    Applicability,
    specification=st.sampled_from([None, None, None, "E", "F"]),
    serials=st.lists(ranges, max_size=2).map(tuple),
    places=st.sampled_from([(), (), ("outdoor",), ("indoor",)]),
)


@st.composite
def statement(draw: st.DrawFn, kinds: tuple[SupersessionKind, ...], parts: tuple[Numbered, ...]) -> Supersession:
    kind = draw(st.sampled_from(kinds))
    sides = {
        SupersessionKind.ONE_FOR_ONE: (draw(st.integers(1, 2)), 1),
        SupersessionKind.TOGETHER: (2, draw(st.integers(1, 2))),
        SupersessionKind.SET: (1, draw(st.integers(1, 2))),
        SupersessionKind.DISCONTINUED: (1, 0),
    }
    old, new = sides[kind]
    named = draw(st.permutations(parts))[: old + new]
    one = kind is SupersessionKind.ONE_FOR_ONE
    counted = [Counted(part, 1 if one else draw(st.integers(1, 2))) for part in named]
    both_ways = kind is not SupersessionKind.DISCONTINUED and draw(st.booleans())
    return Supersession(0, kind, tuple(counted[:old]), tuple(counted[old:]), both_ways, draw(applicabilities))


def catalogues(
    *kinds: SupersessionKind, parts: tuple[Numbered, ...] = PARTS
) -> st.SearchStrategy[tuple[Supersession, ...]]:
    drawn = st.lists(statement(kinds or tuple(SupersessionKind), parts), max_size=9)
    return drawn.map(lambda found: tuple(replace(one, id=index) for index, one in enumerate(found)))


lines_ = st.lists(st.builds(Counted, st.sampled_from(LIVE), st.integers(1, 3)), min_size=1, max_size=4)
engines = st.builds(
    lambda serial, place: engine(serial, place_of_use=place),
    st.none() | st.integers(0, LAST),
    st.sampled_from([None, *PLACES]),
)
known_engines = st.builds(
    lambda serial, place: engine(serial, place_of_use=place), st.integers(0, LAST), st.sampled_from(PLACES)
)


def answers(statements: tuple[Supersession, ...], lines: list[Counted], where: Where) -> tuple[Resolved, ...]:
    return resolve(Chains.of(statements), lines, where, blocks=PLAIN)


def numbers(line: Resolved) -> Counter[tuple[Numbered, int, bool]]:
    """What a line comes to, apart from words."""
    return Counter((entry.part, entry.quantity, entry.quantity == 0) for entry in line.use)


def outcome(line: Resolved) -> tuple[object, ...]:
    errors, gone = frozenset(line.catalogue_errors), frozenset(line.discontinued)
    return numbers(line), errors, gone, frozenset(line.missing), line.itself.holds, line.lines


@law
@given(catalogues(), lines_, engines)
def test_every_question_ends_with_each_step_walked_once_and_a_use_or_a_reason(
    statements: tuple[Supersession, ...], lines: list[Counted], where: Where
) -> None:
    for line in answers(statements, lines, where):
        walked = [step.supersession.id for step in line.chain]
        assert len(walked) == len(set(walked))
        reasons = (line.catalogue_errors, line.missing, line.discontinued)
        assert bool(line.use) != any(reasons)
        assert all(entry.part.live for entry in line.use)
        assert line.itself.holds is not None or line.itself.missing


@law
@given(lines_, engines)
def test_without_supersessions_every_number_is_itself(lines: list[Counted], where: Where) -> None:
    for asked, line in zip(lines, answers((), lines, where), strict=True):
        assert [(entry.part, entry.quantity) for entry in line.use] == [(asked.part, asked.quantity)]
        assert line.itself.holds is True


@law
@given(catalogues(), lines_, engines, statement(tuple(SupersessionKind), PARTS))
def test_a_statement_that_does_not_hold_here_changes_nothing(
    statements: tuple[Supersession, ...], lines: list[Counted], where: Where, more: Supersession
) -> None:
    elsewhere = replace(more, id=99, applicability=replace(more.applicability, specification="F"))
    before, after = answers(statements, lines, where), answers((*statements, elsewhere), lines, where)
    assert [outcome(line) for line in after] == [outcome(line) for line in before]


@law
@given(catalogues(), lines_, engines, st.randoms(use_true_random=False))
def test_the_order_of_statements_changes_nothing(
    statements: tuple[Supersession, ...], lines: list[Counted], where: Where, chance: object
) -> None:
    shuffled = list(statements)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    assert answers(tuple(shuffled), lines, where) == answers(statements, lines, where)


@law
@given(catalogues(SupersessionKind.ONE_FOR_ONE), lines_, engines)
def test_one_for_one_keeps_every_quantity(
    statements: tuple[Supersession, ...], lines: list[Counted], where: Where
) -> None:
    for asked, line in zip(lines, answers(statements, lines, where), strict=True):
        assert [entry.quantity for entry in line.use] in ([], [asked.quantity])


@law
@given(catalogues(SupersessionKind.ONE_FOR_ONE, parts=PARTS[:7]), st.sampled_from(LIVE), known_engines)
def test_with_everything_known_a_chain_ends_where_reachability_says(
    statements: tuple[Supersession, ...], asked: Numbered, where: Where
) -> None:
    """Beside it: one end, reached by every way, and no number that can be come back to."""
    after: dict[Numbered, set[Numbered]] = {part: set() for part in PARTS}
    for step in statements:
        if step.applicability.holds(where).holds:
            for old in step.old:
                after[old.part].add(step.new[0].part)
    reached = _reached(asked, after)
    loops = any(part in _reached(following, after) for part in reached for following in after[part])
    ends = {part for part in reached if not after[part]}
    (line,) = answers(statements, [Counted(asked)], where)
    fine = not loops and len(ends) == 1 and all(part.live for part in ends)
    assert {entry.part for entry in line.use} == (ends if fine else set())
    assert bool(line.catalogue_errors) is not fine


@law
@given(catalogues(), lines_, st.sampled_from(PLACES))
def test_a_blank_serial_is_told_exactly_where_every_serial_gives_the_same_numbers(
    statements: tuple[Supersession, ...], lines: list[Counted], place: str
) -> None:
    """Beside it: every serial up to one past the last break, tried one by one."""
    blank = answers(statements, lines, engine(place_of_use=place))
    each = [answers(statements, lines, engine(serial, place_of_use=place)) for serial in range(LAST + 2)]
    for index, line in enumerate(blank):
        told = [tried[index] for tried in each]
        same = len({frozenset(numbers(one).items()) for one in told}) == 1 and bool(told[0].use)
        assert bool(line.use) is same
        if same:
            assert numbers(line) == numbers(told[0])
        if line.catalogue_errors:
            assert all(one.catalogue_errors for one in told)
        if line.itself.holds is not None:
            assert {one.itself.holds for one in told} == {line.itself.holds}


@law
@given(catalogues(), lines_, st.none() | st.integers(0, LAST))
def test_what_is_told_without_a_place_is_told_at_every_place(
    statements: tuple[Supersession, ...], lines: list[Counted], serial: int | None
) -> None:
    blank = answers(statements, lines, engine(serial))
    for place in (*PLACES, "engine house"):
        for before, after in zip(
            blank, answers(statements, lines, engine(serial, place_of_use=place)), strict=True
        ):  # fmt: skip
            if before.use:
                assert numbers(after) == numbers(before)
            if before.catalogue_errors:
                assert after.catalogue_errors
            if before.itself.holds is not None:
                # The place may bring in a step that makes an error of the chain, and then nothing is told any more.
                assert after.itself.holds in (before.itself.holds, None)


@law
@given(st.integers(1, 3), st.integers(1, 3), st.integers(1, 3), st.lists(st.integers(0, 1), min_size=1, max_size=6))
def test_a_pair_becomes_one_in_whole_sets_or_not_at_all(first: int, second: int, new: int, order: list[int]) -> None:
    """Quantities over all lines: new pieces per set of old ones, counted once."""
    pair = (Counted(PARTS[0], first), Counted(PARTS[1], second))
    step = Supersession(1, SupersessionKind.TOGETHER, pair, (Counted(PARTS[2], new),))
    found = answers((step,), [Counted(PARTS[which]) for which in order], engine(1))
    sets, rest = divmod(order.count(0), first)
    whole = rest == 0 and order.count(1) == sets * second
    assert {bool(line.use) for line in found} == {whole}
    assert sum(entry.quantity for line in found for entry in line.use) == (sets * new if whole else 0)


@law
@given(catalogues(), st.sampled_from(LIVE), engines)
def test_old_stock_is_reached_backwards_by_steps_stated_both_ways_that_hold_here(
    statements: tuple[Supersession, ...], asked: Numbered, where: Where
) -> None:
    before: dict[Numbered, set[Numbered]] = {part: set() for part in PARTS}
    for step in statements:
        if step.both_ways and step.kind is SupersessionKind.ONE_FOR_ONE and step.applicability.holds(where).holds:
            before[step.new[0].part].update(member.part for member in step.old)
    assume(where.application.serial is not None)
    found = old_stock(Chains.of(statements), [asked], where, blocks=PLAIN)
    allowed = [earlier.part for earlier in found.allowed]
    assert set(allowed) <= _reached(asked, before) - {asked}
    assert all(part.live for part in allowed)
    for part in allowed:
        (line,) = answers(statements, [Counted(part)], where)
        assert line.itself.holds is not False
        assert not line.catalogue_errors


@law
@given(catalogues(), st.sampled_from(LIVE), st.sampled_from([None, *PLACES]))
def test_old_stock_offered_without_a_serial_is_offered_at_every_serial(
    statements: tuple[Supersession, ...], asked: Numbered, place: str | None
) -> None:
    chains = Chains.of(statements)
    blank = old_stock(chains, [asked], engine(place_of_use=place), blocks=PLAIN)
    for serial in range(LAST + 2):
        told = old_stock(chains, [asked], engine(serial, place_of_use=place), blocks=PLAIN)
        assert {one.part for one in blank.allowed} <= {one.part for one in told.allowed}


@law
@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), max_size=25))
def test_strong_components_are_what_can_reach_each_other_and_come_ends_first(edges: list[tuple[int, int]]) -> None:
    """By the definition of strong connection: each reaches the other."""
    after: dict[int, set[int]] = {node: {to for of, to in edges if of == node} for node in range(10)}
    found = strong_components(range(10), after.__getitem__)
    reached = {node: _reached(node, after) for node in range(10)}
    by_definition = {frozenset(o for o in range(10) if o in reached[n] and n in reached[o]) for n in range(10)}
    assert {frozenset(component) for component in found} == by_definition
    assert sum(len(component) for component in found) == 10
    place = {node: index for index, component in enumerate(found) for node in component}
    assert all(place[to] <= place[of] for of, to in edges)


def test_a_chain_far_longer_than_any_recursion_is_followed_to_its_end() -> None:
    parts = [Numbered(index, "VRD", str(index)) for index in range(5001)]
    steps = tuple(
        Supersession(index, SupersessionKind.ONE_FOR_ONE, (Counted(old),), (Counted(new),))
        for index, (old, new) in enumerate(pairwise(parts))
    )
    (line,) = answers(steps, [Counted(parts[0], 2)], engine(1))
    assert [(entry.part.id, entry.quantity) for entry in line.use] == [(5000, 2)]


def _reached(start: T, after: dict[T, set[T]]) -> set[T]:
    found, queue = {start}, [start]
    for node in queue:
        new = after[node] - found
        found |= new
        queue.extend(new)
    return found
