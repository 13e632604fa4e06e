"""Parts that are needed as well when a part is fitted, each decided by a check of its own at its own position."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from catalog.domain.answers import Verdict
from catalog.domain.rules import Rulebook
from catalog.models import Check, Part, PartNeed
from catalog.usecases.answers import decided, use_document
from catalog.usecases.asking_otherwise import question_about
from catalog.usecases.checking import Decided, Tell, weigh_batch
from catalog.usecases.reading import part_name
from service.errors import DomainError
from service.operations.models import Dealer

# What a list of needed parts shows of the answer to each.
SHOWN = ("headline", "conditions", "missing", "catalogue_errors")


@dataclass(frozen=True, slots=True)
class Need:
    """`part` is needed with `with_part`; `quantity` is for all that are fitted, None where their number is unknown."""

    part: Part
    with_part: Part
    quantity: int | None
    reason: str


def also_needed(check: Check, *, dealer: Dealer, asked_by: str, now: datetime, tell: Tell) -> dict[str, Any]:
    """What the parts this check answers with need, each decided now and not recorded; `tell` writes a refusal.

    Nothing is needed with a part that is rejected. What the needed parts need in their turn is for their own checks.
    """
    needs = needs_of(check)
    bodies = [question_about(need.part, check) for need in needs]
    weighed = weigh_batch(bodies, dealer=dealer, asked_by=asked_by, now=now)
    return {
        "check": str(check.pk),
        "verdict": check.verdict,
        "checked_at_version": check.catalogue_version,
        "text": _words(check, needs),
        "results": [
            {**_need_document(need), **_answer(outcome, weighed.rulebook, tell, index)}
            for index, (need, outcome) in enumerate(zip(needs, weighed.outcomes, strict=True))
        ],
        "catalogue_version": weighed.standing.version,
        "rulebook": weighed.standing.rulebook,
    }


def needs_of(check: Check) -> tuple[Need, ...]:
    """What is recorded as needed with the parts to use, but for those that are among these already."""
    if check.verdict == Verdict.REJECTED:
        return ()
    used = {use["part"]["id"]: use["quantity"] for use in json.loads(check.answer)["use"] if use["part"]["id"]}
    rows = PartNeed.objects.filter(part__in=used).exclude(needed__in=used)
    rows = rows.select_related("part__maker", "needed__maker").defer("part__facts", "needed__facts")
    return tuple(
        Need(row.needed, row.part, None if (count := used[row.part_id]) is None else row.quantity * count, row.reason)
        for row in rows.order_by("part__maker__code", "part__number", "needed__maker__code", "needed__number", "id")
    )


def _words(check: Check, needs: Sequence[Need]) -> str:
    if check.verdict == Verdict.REJECTED:
        return "The part is rejected here, so nothing is needed with it."
    if not needs:
        return "Nothing is recorded as needed with it."
    return "Each is decided now, by a check of its own that is not recorded."


def _need_document(need: Need) -> dict[str, Any]:
    return {
        "part": part_name(need.part),
        "with_part": part_name(need.with_part),
        "quantity": need.quantity,
        "reason": need.reason or None,
    }


def _answer(outcome: Decided | DomainError, rulebook: Rulebook, tell: Tell, index: int) -> dict[str, Any]:
    if isinstance(outcome, DomainError):
        return {"verdict": None, "position": None, "use": [], **dict.fromkeys(SHOWN), "problem": tell(outcome, index)}
    said = decided(outcome.decision, rulebook, units="as_given")
    return {
        "verdict": outcome.decision.verdict.value,
        "position": outcome.decision.position,
        "use": [use_document(use) for use in outcome.decision.use],
        **{name: said[name] for name in SHOWN},
        "problem": None,
    }
