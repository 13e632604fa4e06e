"""Answering checks: load, decide, and record what was decided from, all at one version of the catalogue."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeVar
from uuid import UUID, uuid4

from django.urls import reverse

from catalog import loading
from catalog.domain.checking import decide
from catalog.domain.questions import Decision, Question
from catalog.domain.rules import Rulebook
from catalog.domain.value_documents import Units
from catalog.loading import LoadedPart, LoadedStatement, Standing, Wanted
from catalog.models import Check
from catalog.usecases.alternatives import Alternative, alternatives_to
from catalog.usecases.answers import Provenance, answer_document
from catalog.usecases.asked import Asked, read_asked
from catalog.usecases.chaining import Chaining
from catalog.usecases.data_errors import tell_chain_errors, tell_contradictions
from catalog.usecases.facts_used import FactsUsed, digest_of, question_of
from catalog.usecases.gathering_facts import facts_of
from catalog.usecases.one_version import Asking, Machines, at_one_version, machine_in_use
from catalog.usecases.part_finding import PartFinder
from catalog.usecases.showing import shown
from catalog.usecases.specification_finding import SpecificationFinder
from catalog.usecases.understanding import Reference, Understood, understand
from service.errors import DomainError, Invalid
from service.operations.idempotency import Claim
from service.operations.models import Dealer

MOST_IN_A_BATCH = 1_000
ROWS_A_STATEMENT = 100
Body = Mapping[str, Any]
T = TypeVar("T")
Tell = Callable[[DomainError, int], Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Decided:
    """One question decided, with all that goes on record."""

    asked: Asked
    facts: str
    digest: str
    decision: Decision
    alternatives: tuple[Alternative, ...]


@dataclass(frozen=True, slots=True)
class Weighed:
    """Questions decided at one version and not recorded; each by itself is decided or refused, in order."""

    standing: Standing
    rulebook: Rulebook
    outcomes: tuple[Decided | DomainError, ...]


def check_part(
    body: Body,
    *,
    dealer: Dealer,
    asked_by: str,
    now: datetime,
    idempotency: Claim | None = None,
    units: Units = "as_given",
) -> Check:
    """Answer one question, record it, and complete the claim in the same transaction.

    `body` has the shape of `POST /checks/`. A rejection is an answer; raised is a DomainError for what the question
    cannot be understood by.
    """
    asking, asked = Asking(dealer, asked_by, now), read_asked(body)

    def save(standing: Standing, rulebook: Rulebook, outcomes: Sequence[Decided | DomainError]) -> Check:
        (outcome,) = outcomes
        if isinstance(outcome, DomainError):
            raise outcome
        check = _record(outcome, standing, rulebook, asking)
        check.save()
        _tell(outcomes, now)
        if idempotency is not None:
            idempotency.complete(201, shown(check, units), {"Location": reverse("check", args=[check.pk])})
        return check

    return _at_one_version((asked,), asking, save)


def check_batch(
    bodies: Sequence[Body | DomainError],
    *,
    dealer: Dealer,
    asked_by: str,
    now: datetime,
    tell: Tell,
    idempotency: Claim | None = None,
    units: Units = "as_given",
) -> tuple[Check | DomainError, ...]:
    """Answer up to a thousand questions in the order they came, each by itself: its check or its problem.

    An entry that is an error already stays one. `tell` writes the problem of the question at an index. Everything is
    loaded at once and decided at one version.
    """
    if len(bodies) > MOST_IN_A_BATCH:
        words = f"{len(bodies)} questions; at most {MOST_IN_A_BATCH} are taken at once."
        raise Invalid(words, pointer="/items", code="too_many_items")
    asking = Asking(dealer, asked_by, now)
    questions = [body if isinstance(body, DomainError) else read_asked(body) for body in bodies]

    def save(
        standing: Standing, rulebook: Rulebook, outcomes: Sequence[Decided | DomainError]
    ) -> tuple[Check | DomainError, ...]:
        recorded = tuple(
            outcome if isinstance(outcome, DomainError) else _record(outcome, standing, rulebook, asking)
            for outcome in outcomes
        )
        checks = [check for check in recorded if isinstance(check, Check)]
        Check.objects.bulk_create(checks, batch_size=ROWS_A_STATEMENT)
        _tell(outcomes, now)
        if idempotency is not None:
            results = [
                {"index": index, **shown(one, units)}
                if isinstance(one, Check)
                else {"index": index, "problem": tell(one, index)}
                for index, one in enumerate(recorded)
            ]
            idempotency.complete(200, {"results": results})
        return recorded

    return _at_one_version(questions, asking, save)


def weigh_batch(bodies: Sequence[Body], *, dealer: Dealer, asked_by: str, now: datetime) -> Weighed:
    """Decide like `check_batch`, and record nothing."""

    def keep(standing: Standing, rulebook: Rulebook, outcomes: Sequence[Decided | DomainError]) -> Weighed:
        return Weighed(standing, rulebook, tuple(outcomes))

    return _at_one_version([read_asked(body) for body in bodies], Asking(dealer, asked_by, now), keep)


def _at_one_version(
    questions: Sequence[Asked | DomainError],
    asking: Asking,
    save: Callable[[Standing, Rulebook, Sequence[Decided | DomainError]], T],
) -> T:
    def decided(standing: Standing, rulebook: Rulebook, machines: Machines) -> Sequence[Decided | DomainError]:
        placed = [_placed(question, machines) for question in questions]
        return _decide(placed, rulebook, standing.stamp, asking.dealer.today(asking.now))

    return at_one_version(asking.dealer, _machines_in(questions), decided, save)


def _machines_in(questions: Sequence[Asked | DomainError]) -> Iterator[UUID]:
    for question in questions:
        if isinstance(question, Asked) and question.machine_id is not None:
            yield question.machine_id


def on_its_machine(question: Asked, machines: Machines) -> Asked:
    """The question with its machine in place of an application, where it names one. Raises as `machine_in_use`."""
    return question if question.machine_id is None else question.on(machine_in_use(machines, question.machine_id))


def _placed(question: Asked | DomainError, machines: Machines) -> Asked | DomainError:
    try:
        return question if isinstance(question, DomainError) else on_its_machine(question, machines)
    except DomainError as error:
        return error


def question_about(asked: Asked, rulebook: Rulebook, stamp: str, today: date) -> Question:
    """One question in the domain's values. Raises what the question cannot be understood by."""
    (gathered,) = _gathered((asked,), rulebook, stamp, today)
    if isinstance(gathered, DomainError):
        raise gathered
    return gathered.question(rulebook)


def _decide(
    questions: Sequence[Asked | DomainError], rulebook: Rulebook, stamp: str, today: date
) -> tuple[Decided | DomainError, ...]:
    found = _gathered(questions, rulebook, stamp, today)
    return tuple(one if isinstance(one, DomainError) else _decided(one, rulebook) for one in found)


@dataclass(frozen=True, slots=True)
class _Gathered:
    """A question with all the facts it is decided from, and the row of each part among them."""

    asked: Asked
    facts: FactsUsed
    rows: tuple[LoadedPart | None, ...]

    def question(self, rulebook: Rulebook) -> Question:
        return question_of(self.facts, rulebook, [row.id if row else None for row in self.rows])


def _gathered(
    questions: Sequence[Asked | DomainError], rulebook: Rulebook, stamp: str, today: date
) -> tuple[_Gathered | DomainError, ...]:
    """The facts of every question, loaded for all of them together."""
    asked = [question for question in questions if isinstance(question, Asked)]
    reference = Reference(
        rulebook=rulebook,
        parts=PartFinder((name for question in asked for name in question.names()), stamp),
        specifications=SpecificationFinder((q.specification for q in asked if q.specification is not None), stamp),
        today=today,
    )
    understood = tuple(_understood(question, reference) for question in questions)
    chains = Chaining(stamp, [found for found in understood if isinstance(found, Understood)])
    wanted = [chains.wanted(found) if isinstance(found, Understood) else None for found in understood]
    statements = loading.statements(stamp, [one for one in wanted if one is not None])
    chains.specified(said for rows in statements.values() for said in rows)
    return tuple(
        found if isinstance(found, DomainError) else _with_facts(found, want, statements[want] if want else (), chains)
        for found, want in zip(understood, wanted, strict=True)
    )


def _with_facts(
    understood: Understood, wanted: Wanted | None, said: tuple[LoadedStatement, ...], chains: Chaining
) -> _Gathered:
    if understood.asked.machine is not None:
        said = loading.still_said(said, understood.asked.machine)
    facts, rows = facts_of(understood, wanted, said, chains.of(understood, said))
    return _Gathered(understood.asked, facts, rows)


def _understood(question: Asked | DomainError, reference: Reference) -> Understood | DomainError:
    if isinstance(question, DomainError):
        return question
    try:
        return understand(question, reference)
    except DomainError as error:
        return error


def _decided(gathered: _Gathered, rulebook: Rulebook) -> Decided:
    question = gathered.question(rulebook)
    decision = decide(question)
    withdrawn = frozenset(row.id for row in gathered.rows if row and row.withdrawn)
    text = gathered.facts.text
    return Decided(
        gathered.asked, text, digest_of(text, rulebook), decision, alternatives_to(question, decision, withdrawn)
    )


def _record(decided: Decided, standing: Standing, rulebook: Rulebook, asking: Asking) -> Check:
    provenance = Provenance(
        id=uuid4(),
        digest=decided.digest,
        catalogue_version=standing.version,
        rulebook=standing.rulebook,
        checked_at=asking.now,
        checked_by=asking.asked_by,
        machine=None if decided.asked.machine is None else decided.asked.machine.id,
    )
    answer = answer_document(decided.decision, decided.alternatives, provenance, rulebook)
    return Check(
        id=provenance.id,
        dealer=asking.dealer,
        asked_by=asking.asked_by,
        machine_id=provenance.machine,
        question=_as_sent(decided.asked.body),
        facts=decided.facts,
        answer=json.dumps(answer, ensure_ascii=False, separators=(",", ":")),
        verdict=decided.decision.verdict.value,
        digest=decided.digest,
        catalogue_version=standing.version,
        rulebook_id=standing.rulebook,
        checked_at=asking.now,
    )


def _tell(outcomes: Iterable[Decided | DomainError], now: datetime) -> None:
    """What is wrong in the data goes on the editors' list with the answers that came upon it."""
    decided = [one for one in outcomes if isinstance(one, Decided)]
    tell_contradictions(((one.asked, one.decision) for one in decided), now)
    tell_chain_errors((error for one in decided for error in one.decision.chain_errors), now)


def _as_sent(body: Body) -> str:
    return json.dumps(body, ensure_ascii=False, separators=(",", ":"), default=str)
