"""The counter answer: a recorded check with what lies here today, what it costs, what goes with it and what else."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any
from uuid import UUID

from django.core.serializers.json import DjangoJSONEncoder
from django.db import connection
from django.urls import reverse

from catalog.domain.answers import Verdict
from catalog.domain.value_documents import Units
from catalog.loading.written import Written, written
from catalog.models import Check, Machine
from catalog.usecases.approval_reading import approvals_applying
from catalog.usecases.checking import Body, check_part
from catalog.usecases.showing import shown
from kits.domain.counter.offering import OfferState, offer_state
from kits.models import CounterAnswer
from kits.usecases.counter_asking import CounterAsking
from kits.usecases.counter_beside import beside, beside_document, decided_otherwise
from service.errors import NotFound
from service.operations.idempotency import Answer, Claim
from service.operations.models import Dealer

ADDRESS = "counter-answer"


def answer_at_counter(
    body: Body, asking: CounterAsking, *, idempotency: Claim, units: Units = "as_given", keep: bool = False
) -> Check:
    """Record the check as `POST /checks/` does, and complete the claim with the whole answer in its transaction.

    `body` has the shape of `POST /checks/`. What stands beside the check is loaded and decided before it is saved;
    with `keep` it is kept for `answer_as_told`.
    """
    claim = _WholeAnswer(idempotency, asking, keep=keep)
    return check_part(
        body,
        dealer=asking.branch.dealer,
        asked_by=asking.asked_by,
        now=asking.now,
        idempotency=claim,
        units=units,
        prepare=claim.prepare,
    )


def answer_again(check: Check, asking: CounterAsking, *, units: Units = "as_given") -> dict[str, Any]:
    """The check as it was recorded, with today's stock, prices and verdicts of other parts.

    What would be decided otherwise today is not offered on what was said then.
    """
    approval = approvals_applying([check], check.dealer, asking.now).get(check.pk)
    otherwise = decided_otherwise(check, asking)
    found = _whole(shown(check, units, approval), beside_document(beside(check, asking, otherwise)))
    return found if otherwise is None else {**found, "offer": {**found["offer"], **_OTHERWISE}}


# What nearly every page of an answer needs of a check, its machine and what was told beside it; the rest is loaded
# where it is asked for. Columns stand in the order of their models, as `Model.from_db` takes them.
_OF_CHECK = ("id", "dealer_id", "machine_id", "facts", "answer", "verdict", "rulebook_id", "binding")
_OF_MACHINE = ("id", "name", "serial")
_TOLD = ("told_beside__branch_id", "told_beside__beside")


@dataclass(frozen=True, slots=True)
class ToldCheck:
    """A check with what was told beside it at a branch, as JSON; `beside` is None where nothing of that is kept."""

    check: Check
    branch_id: int | None
    beside: str | None


def check_as_told(dealer: Dealer, number: UUID) -> ToldCheck:
    """This dealer's check with its machine and what was told beside it, by one statement. Raises NotFound."""
    rows = _told_checks().rows(dealer.pk, number)
    if not rows:
        raise NotFound("There is no such check of yours.")
    (row,) = rows
    end = len(_OF_CHECK) + len(_OF_MACHINE)
    check = Check.from_db(connection.alias, _OF_CHECK, row[: len(_OF_CHECK)])
    check.dealer = dealer
    if check.machine_id is not None:
        check.machine = Machine.from_db(connection.alias, _OF_MACHINE, row[len(_OF_CHECK) : end])
    return ToldCheck(check, *row[end:])


@cache
def _told_checks() -> Written:
    columns = (*_OF_CHECK, *(f"machine__{name}" for name in _OF_MACHINE), *_TOLD)
    return written(Check.objects.filter(dealer=UUID(int=0), pk=UUID(int=0)).values_list(*columns), 2)


def answer_as_told(told: ToldCheck, asking: CounterAsking, *, units: Units = "as_given") -> dict[str, Any]:
    """The check with what was told beside it; where nothing of that is kept, or it was at another branch, as today."""
    check = told.check
    if told.beside is None or told.branch_id != asking.branch.pk:
        return answer_again(check, asking, units=units)
    approval = approvals_applying([check], check.dealer, asking.now).get(check.pk)
    return _whole(shown(check, units, approval), json.loads(told.beside))


class _WholeAnswer:
    """The request's claim, completed with the counter answer where the check would complete it with its own."""

    def __init__(self, claim: Claim, asking: CounterAsking, *, keep: bool) -> None:
        self._claim, self._asking, self._keep = claim, asking, keep
        self._beside: Mapping[str, Any] = {}

    @property
    def answer(self) -> Answer | None:
        return self._claim.answer

    @property
    def keeps_answer(self) -> bool:
        return self._keep or self._claim.keeps_answer

    def prepare(self, check: Check) -> None:
        self._beside = beside_document(beside(check, self._asking))

    def complete(self, status: int, body: Any, headers: Mapping[str, str] | None = None) -> None:
        if self._keep:
            told = json.dumps(self._beside, cls=DjangoJSONEncoder, ensure_ascii=False, separators=(",", ":"))
            CounterAnswer.objects.create(
                check_asked_id=body["id"], branch=self._asking.branch, beside=told, told_at=self._asking.now
            )
        address = reverse(ADDRESS, args=[body["id"]])
        self._claim.complete(status, _whole(body, self._beside), {**(headers or {}), "Location": address})


def _whole(check: Mapping[str, Any], found: Mapping[str, Any]) -> dict[str, Any]:
    return {"check": check, "offer": _offer(check), **found}


def _offer(check: Mapping[str, Any]) -> dict[str, Any]:
    """Whether what was asked for is offered, under which conditions, and which approval applies to them."""
    state = offer_state(Verdict(check["verdict"]))
    approval = check["approval"]
    return {
        "state": state.value,
        "conditions": check["conditions"] if state is OfferState.ONLY_IF else [],
        "approval": approval,
        "approvable_by": check["approvable_by"],
        "text": _OFFER_WORDS[state] if approval is None else f"{_OFFER_WORDS[state]} An approval applies.",
    }


_OTHERWISE: Mapping[str, Any] = {
    "state": OfferState.NOT_OFFERED.value, "conditions": [], "approval": None,
    "text": "Not offered: it would be decided otherwise today. Ask anew.",
}  # fmt: skip
_OFFER_WORDS = {
    OfferState.OFFERED: "Offered.",
    OfferState.ONLY_IF: "Offered only with its conditions.",
    OfferState.NOT_OFFERED: "Not offered.",
}
