"""Questions with all the facts they are decided from, loaded for all of them together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from catalog import loading
from catalog.domain.questions import Question
from catalog.domain.rules import Rulebook
from catalog.loading import LoadedPart, LoadedSpecification, LoadedStatement, Wanted
from catalog.usecases.asked import Asked
from catalog.usecases.chaining import Chaining
from catalog.usecases.facts_used import FactsUsed, question_of
from catalog.usecases.gathering_facts import facts_of, places_of
from catalog.usecases.one_version import Asking, Machines, machine_in_use
from catalog.usecases.part_finding import PartFinder
from catalog.usecases.specification_finding import SpecificationFinder
from catalog.usecases.understanding import Reference, Understood, understand
from service.errors import DomainError


@dataclass(frozen=True, slots=True)
class Gathered:
    """A question with its facts, and the row of each part among them.

    `held` are the positions at which each of those parts, or what it holds, is on hold for whoever asks, by the parts'
    ids.
    """

    asked: Asked
    facts: FactsUsed
    rows: tuple[LoadedPart | None, ...]
    held: dict[int, frozenset[str]]
    specification: LoadedSpecification | None = None

    def question(self, rulebook: Rulebook) -> Question:
        return question_of(self.facts, rulebook, [row.id if row else None for row in self.rows])

    def not_to_offer(self, position: str | None) -> frozenset[int]:
        """The parts that are withdrawn, or on hold at the position decided about or inside of it."""
        rows = [row for row in self.rows if row is not None]
        heard = places_of(self.specification, position) if self.held and self.specification else frozenset()
        return frozenset(row.id for row in rows if row.withdrawn or heard & self.held.get(row.id, frozenset()))


def on_its_machine(question: Asked, machines: Machines) -> Asked:
    """The question with its machine in place of an application, where it names one. Raises as `machine_in_use`."""
    return question if question.machine_id is None else question.on(machine_in_use(machines, question.machine_id))


def gathered_alone(asked: Asked, rulebook: Rulebook, stamp: str, asking: Asking) -> Gathered:
    """One question with its facts. Raises what it cannot be understood by."""
    (found,) = gathered((asked,), rulebook, stamp, asking)
    if isinstance(found, DomainError):
        raise found
    return found


def gathered(
    questions: Sequence[Asked | DomainError], rulebook: Rulebook, stamp: str, asking: Asking
) -> tuple[Gathered | DomainError, ...]:
    """Each question with its facts, or what it cannot be understood by, in their order."""
    asked = [question for question in questions if isinstance(question, Asked)]
    reference = Reference(
        rulebook=rulebook,
        parts=PartFinder((name for question in asked for name in question.names()), stamp),
        specifications=SpecificationFinder((q.specification for q in asked if q.specification is not None), stamp),
        today=asking.dealer.today(asking.now),
    )
    understood = tuple(_understood(question, reference) for question in questions)
    chains = Chaining(stamp, [found for found in understood if isinstance(found, Understood)])
    wanted = [chains.wanted(found) if isinstance(found, Understood) else None for found in understood]
    statements = loading.statements(stamp, [one for one in wanted if one is not None])
    chains.specified(said for rows in statements.values() for said in rows)
    placed = [
        chains.with_pieces(found, want, statements[want]) if isinstance(found, Understood) and want else want
        for found, want in zip(understood, wanted, strict=True)
    ]
    new = [want for want in placed if want is not None and want not in statements]
    if new:
        statements = {**statements, **loading.statements(stamp, new)}
    return tuple(
        found
        if isinstance(found, DomainError)
        else _with_facts(found, want, statements[want] if want else (), chains=chains, asking=asking)
        for found, want in zip(understood, placed, strict=True)
    )


def _understood(question: Asked | DomainError, reference: Reference) -> Understood | DomainError:
    if isinstance(question, DomainError):
        return question
    try:
        return understand(question, reference)
    except DomainError as error:
        return error


def _with_facts(
    understood: Understood,
    wanted: Wanted | None,
    said: tuple[LoadedStatement, ...],
    *,
    chains: Chaining,
    asking: Asking,
) -> Gathered:
    if understood.asked.machine is not None:
        said = loading.still_said(said, understood.asked.machine)
    facts, rows = facts_of(
        understood, asking.dealer.pk, wanted=wanted, statements=said, replaced=chains.of(understood, said)
    )
    specification = understood.specification
    held = {} if specification is None else {
        row.id: _places_held(row, specification.id, asking.dealer.pk) for row in rows if row is not None and row.held
    }  # fmt: skip
    return Gathered(understood.asked, facts, rows, held, specification)


def _places_held(row: LoadedPart, specification: int, dealer: UUID) -> frozenset[str]:
    inside = (one.hold for one in loading.holds_inside(row, specification, dealer))
    return frozenset(hold.position for hold in (*loading.holds_on(row, specification, dealer), *inside))
