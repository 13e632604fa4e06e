"""What every comparison answers with, and what the four states mean before anything is compared."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from catalog.domain.answers import Answer
from catalog.domain.quantities import Interval, Quantity
from catalog.domain.rules import RATINGS, ComparisonKind
from catalog.domain.values import State, Value

# Member attribute -> its value. An attribute that is not in it is missing.
Reading = Mapping[str, Value]


class Weighed(NamedTuple):
    """One demand against one offer. `lacks` are the members of the offer, `asks` those of the demand, not known.

    `disputed` are the answers that sources which disagree come to; empty where they agree. `recorded_against` says of
    an unknown that what is recorded speaks against it, so that more than a supplier's word is missing. Named tuples are
    made in a third of the time of frozen dataclasses, and every rule makes several.
    """

    answer: Answer
    reason: str = ""
    margin: str | None = None
    condition: str = ""
    lacks: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()
    disputed: tuple[Answer, ...] = ()
    recorded_against: bool = False


MET = Weighed(Answer.MET)


def not_met(reason: str, margin: str | None = None) -> Weighed:
    return Weighed(Answer.NOT_MET, reason, margin)


def lacking(*members: str, reason: str = "") -> Weighed:
    return Weighed(Answer.UNKNOWN, reason, lacks=members)


def by_state(kind: ComparisonKind, member: str, demand: Value, offer: Value | None) -> Weighed | None:
    """Decide from the states alone; None where both sides hold a value and the comparison has to speak.

    A rating of which the position needs none is met by anything. Something identical that the position must not
    have is met by a part known to have none. A part known to be without what is asked does not meet it; but a material
    that a part has no use for (a flare without a seal) has nothing to stand.
    """
    nothing_asked = demand.state is not State.VALUE
    nothing_to_stand = kind is ComparisonKind.RATED_FOR and offer is not None and offer.state is State.NOT_APPLICABLE
    if nothing_to_stand or (nothing_asked and kind in RATINGS):
        return MET
    if offer is None:
        return lacking(member)
    nothing_offered = offer.state is not State.VALUE
    if nothing_asked and nothing_offered:
        return MET
    if nothing_asked:
        return not_met(f"{offer.shown()} where none may be")
    if nothing_offered:
        lack = "none" if offer.state is State.KNOWN_NONE else "not a thing this part has,"
        return not_met(f"{lack} where {demand.shown()} is asked")
    return None


_WORSE = {Answer.MET: 0, Answer.MET_IF: 1, Answer.UNKNOWN: 2, Answer.NOT_MET: 3}


def severity(answer: Answer) -> int:
    """How bad an answer is: the worst of several is the one with the most."""
    return _WORSE[answer]


def worst(results: tuple[Weighed, ...]) -> Weighed:
    """The worst answer, the first of equals; conditions of all are kept."""
    if len(results) == 1:
        return results[0]
    chosen = max(results, key=lambda weighed: _WORSE[weighed.answer])
    if chosen.answer is Answer.UNKNOWN:
        unknowns = [weighed for weighed in results if weighed.answer is Answer.UNKNOWN]
        lacks = tuple(dict.fromkeys(member for weighed in unknowns for member in weighed.lacks))
        asks = tuple(dict.fromkeys(member for weighed in unknowns for member in weighed.asks))
        disputed = tuple(answer for weighed in unknowns for answer in weighed.disputed)
        unknown = Weighed(Answer.UNKNOWN, chosen.reason, chosen.margin, lacks=lacks, asks=asks, disputed=disputed)
        return unknown._replace(recorded_against=any(weighed.recorded_against for weighed in unknowns))
    if chosen.answer is Answer.MET_IF:
        conditions = tuple(dict.fromkeys(weighed.condition for weighed in results if weighed.condition))
        return Weighed(Answer.MET_IF, chosen.reason, chosen.margin, "; ".join(conditions))
    return chosen


def agreed(results: tuple[Weighed, ...]) -> Weighed:
    """Sources that disagree: the worse where all give one answer, else unknown with what each says."""
    if len(results) == 1:
        return results[0]
    if len({weighed.answer for weighed in results}) == 1:
        return worst(results)
    known = [weighed.reason for weighed in results if weighed.reason]
    lacks = tuple(dict.fromkeys(member for weighed in results for member in weighed.lacks))
    answers = tuple(weighed.answer for weighed in results)
    unknown = Weighed(Answer.UNKNOWN, "the sources disagree: " + " / ".join(known), lacks=lacks, disputed=answers)
    return unknown._replace(recorded_against=any(_speaks_against(weighed) for weighed in results))


def unknown_at_best(weighed: Weighed) -> Weighed:
    """The same where it is not known whether it is asked, keeping whether what is recorded speaks against it."""
    return Weighed(Answer.UNKNOWN, weighed.reason, recorded_against=_speaks_against(weighed))


def _speaks_against(weighed: Weighed) -> bool:
    return weighed.answer is Answer.NOT_MET or weighed.recorded_against


def weaker(kind: ComparisonKind, one: Value, other: Value) -> bool:
    """Whether one demand of a measure asks for less than another; never where the two cannot be ranked."""
    ours, theirs = _measure(kind, one), _measure(kind, other)
    if ours is None or theirs is None:
        return False
    return ours < theirs if kind is ComparisonKind.AT_LEAST else ours > theirs


def _measure(kind: ComparisonKind, value: Value) -> int | None:
    """The end of a demand that decides: the upper one of what is needed at least, the lower one of a most."""
    payload = value.payload
    if isinstance(payload, Quantity):
        payload = Interval(payload, payload)
    if not isinstance(payload, Interval) or kind not in (ComparisonKind.AT_LEAST, ComparisonKind.AT_MOST):
        return None
    end = payload.high or payload.low if kind is ComparisonKind.AT_LEAST else payload.low or payload.high
    return end.amount if end else None
