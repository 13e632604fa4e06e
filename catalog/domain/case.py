"""One candidate at one position of one application, with everything the decision reads."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from catalog.domain.answers import YES, Truth, all_of, distinct
from catalog.domain.applicability import Where
from catalog.domain.fuels import Fuel
from catalog.domain.parts import SPECIFIES, Part, Position, Statement, StatementKind
from catalog.domain.rules import Category, Rulebook


@dataclass(frozen=True)
class Case:
    """`statements` are those about this position; `found` is the part taken off the engine, if any.

    `fuels_built_for` are the fuels the specification can be built for. `adapters` join candidate and position.
    Without slots, unlike the other values: every rule asks what the makers' statements come to, so that is worked out
    once and kept beside the fields. `dataclasses.replace` starts afresh.
    """

    rulebook: Rulebook
    where: Where
    position: Position
    candidate: Part
    statements: tuple[Statement, ...] = ()
    found: Part | None = None
    fuels_built_for: tuple[Fuel, ...] = ()
    adapters: tuple[Part, ...] = ()

    @cached_property
    def category(self) -> Category | None:
        """The category the position asks for: its rules are weighed, whatever is offered."""
        return self.rulebook.categories.get(self.position.category)

    def about_candidate(self, *kinds: StatementKind) -> tuple[Statement, ...]:
        return tuple(s for s in self.statements if s.kind in kinds and s.part.key == self.candidate.key)

    @cached_property
    def specified(self) -> Truth:
        """Whether the engine's maker specifies the candidate here, or it is the live replacement here."""
        return any_of(s.applicability.holds(self.where) for s in self.about_candidate(*SPECIFIES))

    def specified_for(self, fuels: Iterable[Fuel]) -> Truth:
        """Whether it is specified here by a statement that itself names each of these fuels burned."""
        wanted = tuple(fuels)
        return any_of(
            all_of((s.applicability.holds(self.where), *(s.applicability.names_fuel(f, self.where) for f in wanted)))
            for s in self.about_candidate(*SPECIFIES)
        )

    @cached_property
    def specified_here(self) -> tuple[tuple[Part, Truth], ...]:
        """The parts the engine's maker specifies here, or may; none where the candidate is one of them."""
        if self.specified.holds:
            return ()
        specifying: dict[tuple[str, str], list[Statement]] = {}
        for statement in self.statements:
            if statement.kind in SPECIFIES and statement.part.key != self.candidate.key:
                specifying.setdefault(statement.part.key, []).append(statement)
        groups = specifying.values()
        found = [(group[0].part, any_of(s.applicability.holds(self.where) for s in group)) for group in groups]
        return tuple((part, truth) for part, truth in found if truth.holds is not False)

    @cached_property
    def listed(self) -> Truth:
        """Whether the part's own maker lists it for this engine and every fuel it burns."""
        return any_of(
            all_of(
                (
                    s.applicability.holds(self.where),
                    *(s.applicability.names_fuel(f, self.where) for f in self.where.burned.fuels),
                )
            )
            for s in self.about_candidate(StatementKind.LISTED)
        )

    @cached_property
    def excluded(self) -> Truth:
        return any_of(s.applicability.holds(self.where) for s in self.about_candidate(StatementKind.EXCLUDED))

    @cached_property
    def beyond_a_break(self) -> Truth:
        """Whether it is specified at this position only on the other side of a serial break."""
        specifying = self.about_candidate(*SPECIFIES)
        other_side = any_of(
            all_of((s.applicability.holds_but_for_serial(self.where), negated(s.applicability.serial(self.where))))
            for s in specifying
        )
        return all_of((negated(self.specified), other_side))


def any_of(truths: Iterable[Truth]) -> Truth:
    """Disjunction: any yes is a yes, else any unknown is unknown, else no (nothing at all is a no)."""
    parts = tuple(truths)
    if any(part.holds for part in parts):
        return YES
    missing = distinct(fact for part in parts if part.holds is None for fact in part.missing)
    if any(part.holds is None for part in parts):
        return Truth(None, missing=missing)
    return Truth(False, because=distinct(reason for part in parts for reason in part.because))


def negated(truth: Truth) -> Truth:
    return truth if truth.holds is None else Truth(not truth.holds)
