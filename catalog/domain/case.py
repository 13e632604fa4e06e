"""One candidate at one position of one application, with everything the decision reads."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from functools import cached_property

from catalog.domain.answers import YES, Fact, Truth, all_of, any_of, distinct, negated, no, unknown
from catalog.domain.applicability import Where
from catalog.domain.fuels import Fuel, ServiceClass
from catalog.domain.outcomes import OnHold, ReportedOn
from catalog.domain.parts import SPECIFIES, Part, Position, Statement, StatementKind
from catalog.domain.rules import Category, FuelRole, Rulebook


@dataclass(frozen=True)
class Case:
    """`statements` are those about the engine, of which `here` are about this position; `found` is the part taken off.

    `fuels_built_for` are the fuels the specification can be built for. `adapters` join candidate and position.
    `holds` are the open reports about the candidate here, `reported` those about what comes along with it; they count
    at this position and at `within`: that of the set or kit which the candidate is a piece of.
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
    holds: tuple[OnHold, ...] = ()
    reported: tuple[ReportedOn, ...] = ()
    within: tuple[str, ...] = ()

    @cached_property
    def category(self) -> Category | None:
        """The category the position asks for: its rules are weighed, whatever is offered."""
        return self.rulebook.categories.get(self.position.category)

    @cached_property
    def fuels(self) -> tuple[Fuel, ...]:
        """The fuels burned that the position answers for: its branch's, or all where it is common."""
        branch = self.position.branch
        return tuple(fuel for fuel in self.where.burned.fuels if branch in (None, fuel.code))

    @cached_property
    def fuels_known(self) -> bool:
        """Whether nothing can be missing from `fuels`."""
        burned, branch = self.where.burned, self.position.branch
        return burned.complete or (branch is not None and burned.burns(branch) is True)

    def answering(self, port: str, fuel: Fuel) -> tuple[str, ...]:
        """The position's classes at a port that stand for a fuel, its grade included where one is stated."""
        known = self.rulebook.classes
        return tuple(
            code
            for entry in self.position.ports
            if entry.port == port and entry.fuel in (None, fuel.code)
            for code in entry.classes
            if code not in known or known[code].meant_for(fuel)
        )

    def required_classes(self, port: str) -> tuple[tuple[str, ...], tuple[Fuel, ...]]:
        """The service classes that reach a port, and the fuels burned that nothing there answers for."""
        by_fuel = {fuel: self.answering(port, fuel) for fuel in self.fuels}
        unanswered = tuple(fuel for fuel in self.fuels if not by_fuel[fuel])
        return distinct(code for fuel in self.fuels for code in by_fuel[fuel]), unanswered

    @cached_property
    def services(self) -> tuple[ServiceClass, ...]:
        """The service classes that reach the position at any port, as far as they are recorded and published."""
        ports = self.category.ports if self.category and self.position.carries_fuel else ()
        codes = distinct(code for port in ports for code in self.required_classes(port)[0])
        return tuple(self.rulebook.classes[code] for code in codes if code in self.rulebook.classes)

    @cached_property
    def here(self) -> tuple[Statement, ...]:
        """The statements about this position."""
        return tuple(s for s in self.statements if s.position == self.position.code)

    @cached_property
    def side_key(self) -> Hashable:
        """All of a question but the record of the part, see `kept_findings`; loaded values by their identity.

        Serials count only where a statement is about a block of them, and are told only of a part with such a block.
        """
        part, where, application = self.candidate, self.where, self.where.application
        own = [said for said in self.here if said.part.key == part.key]
        blocks = any(said.applicability.serials for said in own)
        return (
            id(self.position),
            None if self.found is None or self.found.key == part.key else id(self.found),
            (part.category, part.supplied_as, part.condition, part.described, part.member_of),
            (part.key, self.holds) if own or self.holds else None,
            (application.serial, application.serial_in_no_block) if blocks else None,
            (application.specification, application.plate_fuels, application.fuel_records, application.told_as_plate),
            (application.place_of_use, application.dusty, application.certified, application.ecu),
            self.fuels_built_for,
            *map(id, self.here),
            *[said.applicability.serial(where) for said in self.here if said.applicability.serials],
        )

    def reports_on(self, part: Part) -> tuple[OnHold, ...]:
        """The open reports here about a part that comes along."""
        heard = (self.position.code, *self.within)
        return tuple(one.hold for one in self.reported if one.part == part.key and one.hold.position in heard)

    def about_candidate(self, *kinds: StatementKind) -> tuple[Statement, ...]:
        """What makers say of the candidate here. Goods known only by a description are no maker's part."""
        if self.candidate.described and kinds != (StatementKind.EXCLUDED,):
            return ()
        return tuple(s for s in self.here if s.kind in kinds and s.part.key == self.candidate.key)

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
            if not s.in_place_of
        )

    @cached_property
    def specified_here(self) -> tuple[tuple[Part, Truth], ...]:
        """The parts the engine's maker specifies here, or may; none where the candidate is one of them."""
        if self.specified.holds:
            return ()
        specifying: dict[tuple[str, str], list[Statement]] = {}
        for statement in self.here:
            if statement.kind in SPECIFIES and statement.part.key != self.candidate.key:
                specifying.setdefault(statement.part.key, []).append(statement)
        groups = specifying.values()
        found = [(group[0].part, any_of(s.applicability.holds(self.where) for s in group)) for group in groups]
        return tuple((part, truth) for part, truth in found if truth.holds is not False)

    @cached_property
    def lending_by_fuel(self) -> tuple[tuple[Part, Truth], ...]:
        """Those of `specified_here` that lend what depends on the fuel: specified for every fuel burned here."""
        found = []
        for part, _ in self.specified_here:
            own = [s for s in self.here if s.kind in SPECIFIES and s.part.key == part.key]
            found.append((part, any_of(self._lends_by_fuel(statement) for statement in own)))
        return tuple((part, truth) for part, truth in found if truth.holds is not False)

    def _lends_by_fuel(self, statement: Statement) -> Truth:
        holds = statement.applicability.holds(self.where)
        if holds.holds is False:
            return holds
        specified_for = statement.applicability.fuels or self.fuels_built_for
        if not specified_for:
            question = "Which fuels can this specification be built for? See the maker's sheet."
            return all_of((holds, unknown(Fact("engine specification: fuels", question))))
        known = YES if self.fuels_known else unknown(self.where.burned.asks)
        return all_of((holds, known, *(self.where.any_names(specified_for, fuel) for fuel in self.fuels)))

    @cached_property
    def listed(self) -> Truth:
        """Whether the part's own maker lists it for this engine and, where fuel matters, for every fuel burned here."""
        any_fuel = self.category is not None and self.category.fuel_role is FuelRole.NONE
        fuels = () if any_fuel else self.fuels
        known = YES if any_fuel or self.fuels_known else unknown(self.where.burned.asks)
        return any_of(
            all_of(
                (s.applicability.holds(self.where), known, *(s.applicability.names_fuel(f, self.where) for f in fuels))
            )
            for s in self.about_candidate(StatementKind.LISTED)
        )

    @cached_property
    def unspoken_for(self) -> bool:
        """Whether no maker says anything that adds to the data: the candidate is neither specified nor listed here."""
        return self.listed.holds is False and self.specified.holds is False

    @cached_property
    def excluded(self) -> Truth:
        return any_of(s.applicability.holds(self.where) for s in self.about_candidate(StatementKind.EXCLUDED))

    @cached_property
    def beyond_a_break(self) -> Truth:
        """Whether it is specified at this position only on the other side of a serial break.

        A break of the number that it stands for is none of its own: no maker said so of it.
        """
        specifying = [said for said in self.about_candidate(*SPECIFIES) if not said.in_place_of]
        if not specifying or self.specified.holds:
            return no("serial break")
        other_side = any_of(
            all_of((s.applicability.holds_but_for_serial(self.where), negated(s.applicability.serial(self.where))))
            for s in specifying
        )
        return all_of((negated(self.specified), other_side))
