"""Answering checks: load, decide, and record what was decided from, all at one version of the catalogue."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Any, TypeVar
from uuid import UUID, uuid4

from django.urls import get_script_prefix, reverse

from catalog.domain.checking import decide
from catalog.domain.questions import Decision
from catalog.domain.rules import Rulebook
from catalog.domain.value_documents import Units
from catalog.loading import Standing
from catalog.models import Check
from catalog.usecases.alternatives import Alternative, alternatives_to
from catalog.usecases.answers import Provenance, answer_of
from catalog.usecases.approval_reading import approvals_applying
from catalog.usecases.asked import Asked, read_asked, sent_text
from catalog.usecases.bindings import binding_of
from catalog.usecases.data_errors import tell_chain_errors, tell_contradictions
from catalog.usecases.facts_used import digest_of
from catalog.usecases.one_version import Asking, Machines, at_one_version
from catalog.usecases.questioning import Gathered, gathered, on_its_machine
from catalog.usecases.showing import shown
from service.errors import DomainError, Invalid
from service.operations.idempotency import Claim
from service.operations.models import Dealer

MOST_IN_A_BATCH = 1_000
ROWS_A_STATEMENT = 100
Body = Mapping[str, Any]
T = TypeVar("T")
Tell = Callable[[DomainError, int], Mapping[str, Any]]
Prepare = Callable[[Check], None]


@dataclass(frozen=True, slots=True)
class Decided:
    """One question decided, with all that goes on record."""

    asked: Asked
    facts: str
    digest: str
    decision: Decision
    alternatives: tuple[Alternative, ...]


@dataclass(frozen=True, slots=True)
class Recorded:
    """A check made ready to be saved, and its answer's document, which it holds as text."""

    check: Check
    answer: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Batch:
    """Questions decided at one version, each with its check made ready to be saved, or its problem, in order."""

    outcomes: tuple[Decided | DomainError, ...]
    recorded: tuple[Recorded | DomainError, ...]

    @property
    def checks(self) -> tuple[Check | DomainError, ...]:
        return tuple(one.check if isinstance(one, Recorded) else one for one in self.recorded)

    @property
    def answers(self) -> dict[UUID, Mapping[str, Any]]:
        """The document of each answer, by its check."""
        return {one.check.pk: one.answer for one in self.recorded if isinstance(one, Recorded)}

    def record(self, now: datetime) -> None:
        """Save the checks, and what is wrong in the data; in the transaction that looked at the version again."""
        made = [check for check in self.checks if isinstance(check, Check)]
        Check.objects.bulk_create(made, batch_size=ROWS_A_STATEMENT)
        _tell(self.outcomes, now)


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
    prepare: Prepare | None = None,
) -> Check:
    """Answer one question, record it, and complete the claim in the same transaction.

    `body` has the shape of `POST /checks/`. A rejection is an answer; raised is a DomainError for what the question
    cannot be understood by. `prepare` is called with the check before it is saved and outside of the transaction,
    anew each time it had to be decided anew: for whoever answers more than the check, from what else is loaded for it.
    """
    asking, asked = Asking(dealer, asked_by, now), read_asked(body)

    def ready(standing: Standing, rulebook: Rulebook, machines: Machines) -> tuple[Decided, Recorded] | DomainError:
        (outcome,) = _decide([_placed(asked, machines)], rulebook, standing.stamp, asking)
        if isinstance(outcome, DomainError):
            return outcome
        recorded = _record(outcome, standing, rulebook, asking)
        if prepare is not None:
            prepare(recorded.check)
        return outcome, recorded

    def save(_standing: Standing, _rulebook: Rulebook, made: tuple[Decided, Recorded] | DomainError) -> Check:
        if isinstance(made, DomainError):
            raise made
        outcome, recorded = made
        recorded.check.record()
        _tell((outcome,), now)
        _complete(idempotency, recorded, units)
        return recorded.check

    def save_at_once(standing: Standing, made: tuple[Decided, Recorded] | DomainError) -> Check | None:
        if isinstance(made, DomainError) or not _is_all_there_is(*made, idempotency):
            return None
        outcome, recorded = made
        _complete(idempotency, recorded, units)  # in memory, and once more where the catalogue has moved
        machine = outcome.asked.machine
        stands = recorded.check.record_at(standing.stamp, None if machine is None else machine.version)
        return recorded.check if stands else None

    return at_one_version(dealer, _machines_in((asked,)), ready, save, save_at_once)


def ask_again(check: Check, now: datetime) -> Check:
    """The answer that the same question for the same machine would get now, unsaved.

    Raises a DomainError for what it could not be understood by any more, with pointers into that question.
    """
    body = {**json.loads(check.question), "machine": check.machine_id}
    asking = Asking(check.dealer, check.asked_by, now)

    def found(standing: Standing, rulebook: Rulebook, outcomes: Sequence[Decided | DomainError]) -> Check:
        (outcome,) = outcomes
        if isinstance(outcome, DomainError):
            raise outcome
        return _record(outcome, standing, rulebook, asking).check

    return _at_one_version((read_asked(body),), asking, found)


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
    _refuse_too_many(bodies)
    asking = Asking(dealer, asked_by, now)
    questions = [body if isinstance(body, DomainError) else read_asked(body) for body in bodies]

    def save(
        standing: Standing, rulebook: Rulebook, outcomes: Sequence[Decided | DomainError]
    ) -> tuple[Check | DomainError, ...]:
        batch = _batch(outcomes, standing, rulebook, asking)
        batch.record(now)
        if idempotency is not None:
            checks = [check for check in batch.checks if isinstance(check, Check)]
            approvals = approvals_applying(checks, dealer, now)
            results = [
                {"index": index, **shown(one.check, units, approvals.get(one.check.pk), one.answer)}
                if isinstance(one, Recorded)
                else {"index": index, "problem": tell(one, index)}
                for index, one in enumerate(batch.recorded)
            ]
            idempotency.complete(200, {"results": results})
        return batch.checks

    return _at_one_version(questions, asking, save)


def batch_at(
    bodies: Sequence[Body], standing: Standing, rulebook: Rulebook, machines: Machines, asking: Asking
) -> Batch:
    """The same for whoever decides at one version already and saves the checks with more that rests on them."""
    _refuse_too_many(bodies)
    questions = [_placed(read_asked(body), machines) for body in bodies]
    outcomes = _decide(questions, rulebook, standing.stamp, asking)
    return _batch(outcomes, standing, rulebook, asking)


def _refuse_too_many(bodies: Sequence[Body | DomainError]) -> None:
    if len(bodies) > MOST_IN_A_BATCH:
        words = f"{len(bodies)} questions; at most {MOST_IN_A_BATCH} are taken at once."
        raise Invalid(words, pointer="/items", code="too_many_items")


def _batch(outcomes: Sequence[Decided | DomainError], standing: Standing, rulebook: Rulebook, asking: Asking) -> Batch:
    recorded = tuple(
        outcome if isinstance(outcome, DomainError) else _record(outcome, standing, rulebook, asking)
        for outcome in outcomes
    )
    return Batch(tuple(outcomes), recorded)


def weigh_batch(bodies: Sequence[Body], *, dealer: Dealer, asked_by: str, now: datetime) -> Weighed:
    """Decide like `check_batch`, and record nothing; what else would do is not looked for."""

    def keep(standing: Standing, rulebook: Rulebook, outcomes: Sequence[Decided | DomainError]) -> Weighed:
        return Weighed(standing, rulebook, tuple(outcomes))

    questions = [read_asked(body) for body in bodies]
    return _at_one_version(questions, Asking(dealer, asked_by, now), keep, alternatives=False)


def _at_one_version(
    questions: Sequence[Asked | DomainError],
    asking: Asking,
    save: Callable[[Standing, Rulebook, Sequence[Decided | DomainError]], T],
    *,
    alternatives: bool = True,
) -> T:
    def decided(standing: Standing, rulebook: Rulebook, machines: Machines) -> Sequence[Decided | DomainError]:
        placed = [_placed(question, machines) for question in questions]
        return _decide(placed, rulebook, standing.stamp, asking, alternatives=alternatives)

    return at_one_version(asking.dealer, _machines_in(questions), decided, save)


def _machines_in(questions: Sequence[Asked | DomainError]) -> Iterator[UUID]:
    for question in questions:
        if isinstance(question, Asked) and question.machine_id is not None:
            yield question.machine_id


def _placed(question: Asked | DomainError, machines: Machines) -> Asked | DomainError:
    try:
        return question if isinstance(question, DomainError) else on_its_machine(question, machines)
    except DomainError as error:
        return error


def _decide(
    questions: Sequence[Asked | DomainError],
    rulebook: Rulebook,
    stamp: str,
    asking: Asking,
    *,
    alternatives: bool = True,
) -> tuple[Decided | DomainError, ...]:
    found = gathered(questions, rulebook, stamp, asking)
    return tuple(
        one if isinstance(one, DomainError) else _decided(one, rulebook, alternatives=alternatives) for one in found
    )


def _decided(found: Gathered, rulebook: Rulebook, *, alternatives: bool) -> Decided:
    question = found.question(rulebook)
    decision = decide(question)
    text = found.facts.text
    others = alternatives_to(question, decision, found.not_to_offer(decision.position)) if alternatives else ()
    return Decided(found.asked, text, digest_of(text, rulebook), decision, others)


def _record(decided: Decided, standing: Standing, rulebook: Rulebook, asking: Asking) -> Recorded:
    provenance = Provenance(
        id=uuid4(),
        digest=decided.digest,
        catalogue_version=standing.version,
        rulebook=standing.rulebook,
        checked_at=asking.now,
        checked_by=asking.asked_by,
        machine=None if decided.asked.machine is None else decided.asked.machine.id,
    )
    answer = answer_of(decided.decision, decided.alternatives, provenance, rulebook)
    binding = binding_of(answer.document, decided.facts)
    check = Check(
        id=provenance.id,
        dealer=asking.dealer,
        asked_by=asking.asked_by,
        machine_id=provenance.machine,
        question=sent_text(decided.asked.body),
        facts=decided.facts,
        answer=answer.text,
        verdict=decided.decision.verdict.value,
        digest=decided.digest,
        binding="" if binding is None else binding.digest,
        catalogue_version=standing.version,
        rulebook_id=standing.rulebook,
        checked_at=asking.now,
    )
    return Recorded(check, answer.document)


def _is_all_there_is(outcome: Decided, recorded: Recorded, claim: Claim | None) -> bool:
    """Whether nothing is saved but the check, and no approval is to be read with it."""
    answer_kept = claim is not None and claim.keeps_answer
    return not (answer_kept or recorded.check.binding or outcome.decision.catalogue_errors)


def _complete(claim: Claim | None, recorded: Recorded, units: Units) -> None:
    if claim is not None:
        check = recorded.check
        approval = approvals_applying([check], check.dealer, check.checked_at).get(check.pk)
        answer = shown(check, units, approval, recorded.answer)
        claim.complete(201, answer, {"Location": f"{_checks_at(get_script_prefix())}{check.pk}/"})


def _tell(outcomes: Iterable[Decided | DomainError], now: datetime) -> None:
    """What is wrong in the data goes on the editors' list with the answers that came upon it."""
    decided = [one for one in outcomes if isinstance(one, Decided)]
    tell_contradictions(((one.asked, one.decision) for one in decided), now)
    tell_chain_errors((error for one in decided for error in one.decision.chain_errors), now)


@cache
def _checks_at(_prefix: str) -> str:
    """The address that the addresses of checks begin with; looking it up takes as long as a rule or two."""
    return reverse("checks")
