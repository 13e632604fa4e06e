"""Parts beside those a check answers with: old stock that may be used up, what else would do, what only lies there.

Each is decided now by a check of its own at the same position, all in one batch, and nothing of it is recorded.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from catalog.domain.answers import Verdict
from catalog.models import Check
from catalog.usecases.answers import decided, part_document
from catalog.usecases.asking_otherwise import question_in_its_place
from catalog.usecases.checking import Body, Decided, Weighed, weigh_batch
from catalog.usecases.earlier_numbers import BesideCheck, EarlierNumber
from kits.domain.counter.offering import OfferState, offer_state
from kits.loading.counter import lying_free
from kits.usecases.counter_asking import CounterAsking
from kits.usecases.counter_shelves import Name, key_of
from service.errors import DomainError

MOST_LOOKED_AT = 100  # of one category on one shelf; how many were not is told


@dataclass(frozen=True, slots=True)
class Other:
    """A part with what its own check says of it; `verdict` is None where it was refused, or is another number here.

    `said` has the members `headline`, `conditions` and `missing` of a check. `earlier` is why it may be used up.
    """

    part: Name
    verdict: Verdict | None
    said: Mapping[str, Any]
    instead: tuple[Name, ...] = ()
    earlier: EarlierNumber | None = None

    @property
    def good(self) -> bool:
        return offer_state(self.verdict) is not OfferState.NOT_OFFERED


@dataclass(frozen=True, slots=True)
class Others:
    old_stock: tuple[Other, ...]
    elsewise: tuple[Other, ...]
    not_looked_at: int
    catalogue_version: int


def others_beside(check: Check, facts: BesideCheck, asking: CounterAsking) -> Others:
    """Old stock, what lies free at the branch of the position's category, and the check's own alternatives."""
    answer = json.loads(check.answer)
    earlier = facts.earlier if Verdict(answer["verdict"]) in (Verdict.ACCEPTED, Verdict.CONDITIONAL) else ()
    known = {key_of(use["part"]) for use in answer["use"]} | {one.part for one in earlier}
    lying = [] if facts.category is None else lying_free(asking.branch, facts.category, but_for=known)
    known |= {key_of(part) for part in lying}
    # What the check itself names and does not lie here may come from elsewhere.
    named = [one["part"] for one in answer["alternatives"] if key_of(one["part"]) not in known]
    found = [*lying[:MOST_LOOKED_AT], *named]
    old = [{"maker": one.part[0], "number": one.part[1]} for one in earlier]
    bodies = [_question(name, check, answer) for name in (*old, *({"id": part["id"]} for part in found))]
    weighed = weigh_batch(bodies, dealer=check.dealer, asked_by=asking.asked_by, now=asking.now)
    judged = [_other(part, outcome, weighed) for part, outcome in zip((*old, *found), weighed.outcomes, strict=True)]
    dated = [replace(one, earlier=why) for one, why in zip(judged, earlier, strict=False)]
    return Others(
        old_stock=tuple(one for one in dated if one.part.get("id")),
        elsewise=tuple(judged[len(old) :]),
        not_looked_at=max(0, len(lying) - MOST_LOOKED_AT),
        catalogue_version=weighed.standing.version,
    )


def _question(name: Mapping[str, Any], check: Check, answer: Mapping[str, Any]) -> Body:
    """As many of it as of the part it would stand for, where that is one part and known."""
    counts = [use["quantity"] for use in answer["use"]]
    quantity = {"quantity": counts[0]} if len(counts) == 1 and counts[0] else {}
    return question_in_its_place({"part": name, **quantity}, check, answer["position"])


def _other(part: Mapping[str, Any], outcome: Decided | DomainError, weighed: Weighed) -> Other:
    if isinstance(outcome, DomainError):
        return Other(part, None, {"headline": outcome.message, "conditions": [], "missing": []})
    said = decided(outcome.decision, weighed.rulebook, units="as_given")
    used = [part_document(use.part) for use in outcome.decision.use]
    if used and [key_of(one) for one in used] != [key_of(part)]:
        return Other(_named(part, outcome), None, said, instead=tuple(used))
    return Other(_named(part, outcome), outcome.decision.verdict, said)


def _named(part: Mapping[str, Any], outcome: Decided) -> Name:
    """The part with its id and name, where only its number was known."""
    used = [use.part for use in outcome.decision.use if use.part.key == key_of(part)]
    return part_document(used[0]) if used and not part.get("id") else part
