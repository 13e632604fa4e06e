"""All that stands beside the check in a counter answer, loaded and decided together, and how it is shown."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from catalog.domain.answers import Verdict
from catalog.models import Check
from catalog.usecases.also_needed import also_needed
from catalog.usecases.asking_otherwise import question_again
from catalog.usecases.checking import weigh_batch
from catalog.usecases.earlier_numbers import BesideCheck, beside_check
from kits.domain.counter.offering import Age, Choice, OfferState, Sort, age_of, in_order, offer_state
from kits.domain.counter.shelf import OnShelf
from kits.domain.counter.words import headline_stock
from kits.loading.counter import feeds
from kits.models import ImportTable
from kits.usecases.counter_asking import CounterAsking
from kits.usecases.counter_documents import age_document, shelves_shown, totals_document
from kits.usecases.counter_others import Other, Others, others_beside
from kits.usecases.counter_shelves import Name, Shelves, key_of
from service.errors import DomainError

MOST_NOT_OFFERED = 20


@dataclass(frozen=True, slots=True)
class Beside:
    """`answer` is the check's own; of `needed` the members are those of `GET /checks/{id}/also-needed/`."""

    answer: Mapping[str, Any]
    asking: CounterAsking
    facts: BesideCheck
    needed: Mapping[str, Any]
    others: Others
    shelves: Shelves
    ages: Mapping[ImportTable, Age]

    @property
    def verdict(self) -> Verdict:
        return Verdict(self.answer["verdict"])

    @property
    def offered(self) -> bool:
        return offer_state(self.verdict) is not OfferState.NOT_OFFERED


def decided_otherwise(check: Check, asking: CounterAsking) -> Mapping[str, Any] | None:
    """Verdict, headline and what is missing as a recorded check would be decided now; None where it says the same."""
    (outcome,) = weigh_batch(
        [question_again(check)], dealer=check.dealer, asked_by=asking.asked_by, now=asking.now
    ).outcomes
    if isinstance(outcome, DomainError):
        return {"verdict": Verdict.UNDETERMINED.value, "missing": [{"question": outcome.message}]}
    decision = outcome.decision
    if decision.verdict.value == check.verdict:
        return None
    asks = [{"question": f"Decided otherwise today: {decision.headline}"}]
    return {"verdict": Verdict.UNDETERMINED.value, "missing": asks}


def beside(check: Check, asking: CounterAsking, otherwise: Mapping[str, Any] | None = None) -> Beside:
    """In a number of statements that depends on no number of parts. The check may be saved or not."""
    answer, facts = {**json.loads(check.answer), **(otherwise or {})}, beside_check(check)
    told = also_needed(check, dealer=check.dealer, asked_by=asking.asked_by, now=asking.now, tell=asking.tell)
    others = others_beside(check, facts, asking)
    ids = {part["id"] for part in _parts(answer, told, others)} - {None}
    heard = feeds(check.dealer)
    return Beside(
        answer=answer,
        asking=asking,
        facts=facts,
        needed=told,
        others=others,
        shelves=Shelves(asking.branch, asking.counter, ids),
        ages={table: age_of(heard.get(table, ()), asking.counter) for table in ImportTable},
    )


def _parts(answer: Mapping[str, Any], told: Mapping[str, Any], others: Others) -> Iterator[Name]:
    yield from (use["part"] for use in answer["use"])
    for row in told["results"]:
        yield row["part"]
        yield from (use["part"] for use in row["use"])
    yield from (one.part for one in (*others.old_stock, *others.elsewise))


def beside_document(found: Beside) -> dict[str, Any]:
    """The members of the answer but for `check` and `offer`."""
    counter, today = found.asking.counter, found.asking.counter.today
    uses = [(use["part"], found.shelves.of(use["part"], use["quantity"])) for use in found.answer["use"]]
    current = Choice(Sort.CURRENT, found.verdict, tuple(each for _, each in uses))
    old = [(one, _shelves_of(one, found)) for one in found.others.old_stock if one.good]
    old_choices = [Choice(Sort.OLD_STOCK, one.verdict, (each,)) for one, each in old]
    choices = in_order(current, old_choices, found.asking.first, today) if current.parts else ()
    good = sorted(
        ((one, _shelves_of(one, found)) for one in found.others.elsewise if one.good),
        key=lambda pair: (not _lies(pair[1], found), pair[0].verdict is not Verdict.ACCEPTED, key_of(pair[0].part)),
    )
    instead = [Choice(Sort.ALTERNATIVE, one.verdict, (each,)) for one, each in good]
    return {
        "branch": {"code": found.asking.branch.code, "name": found.asking.branch.name},
        "headline_stock": headline_stock(
            choices, instead, found.ages[ImportTable.STOCK], counter,
            why_not=_why_not(found.answer),
        ),
        "offer_first": found.asking.first.value,
        "offered": [_choice(one, found) for one in choices],
        **_used(uses, current, found),
        "also_needed": _needed(found),
        "old_stock": [_old(one, each, found) for one, each in old if _lies(each, found)],
        "old_stock_missing": [{"fact": fact.name, "question": fact.question} for fact in found.facts.missing],
        "alternatives": [_alternative(one, each, found) for one, each in good],
        **_not_offered(found),
        "age": age_document(
            found.ages[ImportTable.STOCK], found.ages[ImportTable.PRICES], counter,
            catalogue_version=found.answer["catalogue_version"], decided_now_at=found.others.catalogue_version,
        ),
    }  # fmt: skip


def _used(
    uses: Sequence[tuple[Name, tuple[OnShelf, ...]]], current: Choice, found: Beside
) -> dict[str, Any]:  # fmt: skip
    told = [shelves_shown(part, each, found.asking.counter, offered=found.offered) for part, each in uses]
    return {
        "stock": [entry for one in told for entry in one["stock"]],
        "price": {
            "parts": [entry for one in told for entry in one["price"]],
            **totals_document(current.shelves if found.offered else ()),
        },
    }


def _choice(one: Choice, found: Beside) -> dict[str, Any]:
    today = found.asking.counter.today
    return {
        "as": one.sort.value,
        "parts": [{"maker": shelf.part[0], "number": shelf.part[1]} for shelf in one.shelves],
        "state": offer_state(one.verdict).value,
        "free": one.free(today),
        "enough": one.enough(today),
    }


def _needed(found: Beside) -> dict[str, Any]:
    rows = []
    for row in found.needed["results"]:
        verdict = None if row["verdict"] is None else Verdict(row["verdict"])
        named = row["use"] or [{"part": row["part"], "quantity": None}]
        shelves = [(use["part"], found.shelves.of(use["part"], _count(row, named))) for use in named]
        offered = offer_state(verdict) is not OfferState.NOT_OFFERED
        told = [shelves_shown(part, each, found.asking.counter, offered=offered) for part, each in shelves]
        rows.append(
            {
                **row,
                "stock": [entry for one in told for entry in one["stock"]],
                "price": [entry for one in told for entry in one["price"]],
            }
        )
    return {"text": found.needed["text"], "results": rows}


def _count(row: Mapping[str, Any], named: Sequence[Mapping[str, Any]]) -> int | None:
    """How many of it: of several numbers that stand for the one needed, how many of each is not known here."""
    count: int | None = row["quantity"] if len(named) == 1 else None
    return count


def _shelves_of(one: Other, found: Beside) -> tuple[OnShelf, ...]:
    counts = [use["quantity"] for use in found.answer["use"]]
    return found.shelves.of(one.part, counts[0] if len(counts) == 1 else None)


def _lies(shelves: Sequence[OnShelf], found: Beside) -> bool:
    return any(shelf.lies_free(found.asking.counter.today) for shelf in shelves)


def _old(one: Other, shelves: Sequence[OnShelf], found: Beside) -> dict[str, Any]:
    earlier = one.earlier
    maker, number = earlier.instead_of if earlier else ("", "")
    instead = {"maker": maker, "number": number}
    return {**_alternative(one, shelves, found), "instead_of": instead, "why": earlier.why if earlier else ""}


def _alternative(one: Other, shelves: Sequence[OnShelf], found: Beside) -> dict[str, Any]:
    return {
        "part": dict(one.part),
        "verdict": one.verdict and one.verdict.value,
        "headline": one.said["headline"],
        "conditions": one.said["conditions"],
        "free_here": _lies(shelves, found),
        **shelves_shown(one.part, shelves, found.asking.counter, offered=True),
    }


def _not_offered(found: Beside) -> dict[str, Any]:
    """What lies here at hand and is not for this engine, or may not be: each with its reason, none with a price."""
    passed = [one for one in (*found.others.old_stock, *found.others.elsewise) if not one.good]
    lying = [(one, each) for one in passed if _lies(each := _shelves_of(one, found), found)]
    return {
        "not_offered": [_passed(one, each, found) for one, each in lying[:MOST_NOT_OFFERED]],
        "more_not_offered": max(0, len(lying) - MOST_NOT_OFFERED),
        "not_looked_at": found.others.not_looked_at,
    }


def _passed(one: Other, shelves: Sequence[OnShelf], found: Beside) -> dict[str, Any]:
    counts = [shelf.free(found.asking.counter.today) for shelf in shelves]
    return {
        "part": dict(one.part),
        "verdict": one.verdict and one.verdict.value,
        "why": one.said["headline"],
        "missing": one.said["missing"],
        "instead": [dict(part) for part in one.instead],
        "free": sum(count for count in counts if count is not None),
    }


def _why_not(answer: Mapping[str, Any]) -> str:
    names = " + ".join(f"{use['part']['maker']} {use['part']['number']}".strip() for use in answer["use"])
    named = names or "what was asked for"
    if answer["verdict"] == Verdict.REJECTED:
        return f"{named[:1].upper()}{named[1:]} is not to be used here"
    asks = answer["missing"][0]["question"] if answer["missing"] else ""
    words = f"Nothing is offered while it cannot be told whether {named} may be used here"
    return f"{words}: {asks.rstrip('.')}" if asks else words
