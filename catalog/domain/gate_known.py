"""What the gate knows: an answer, the facts it still asks for, and how a maker's statement bears on it."""

from __future__ import annotations

from typing import NamedTuple

from catalog.domain.answers import COMMON_PRACTICE, Answer, Effect, Fact, distinct
from catalog.domain.case import Case
from catalog.domain.findings import Finding, Lead
from catalog.domain.fuels import listed
from catalog.domain.gate_words import BY_STATEMENT
from catalog.domain.parts import MATERIAL, SEAL_TEMPERATURE
from catalog.domain.values import Demand, How, Offer, Place
from catalog.domain.weighing import Weighed


class Known(NamedTuple):
    weighed: Weighed
    facts: tuple[Fact, ...] = ()
    data_error: str = ""


def recorded(case: Case, place: Place) -> tuple[Offer, ...]:
    """What is known of the candidate in a place; what somebody only told us settles nothing at the gate."""
    return tuple(offer for offer in case.candidate.at(place) if offer.how is not How.TOLD)


def while_fuel_unknown(case: Case, found: Known) -> Known:
    """While something may be missing from the fuels burned, nothing is met; what a known fuel refuses stays refused.

    A gas without a usual grade (wellhead, digester and the like) is judged by nobody without its analysis.
    """
    raw = [f for f in case.fuels if (known := case.where.names.get(f.code)) and known.needs_analysis]
    if raw:
        name = listed(tuple(raw), case.where.names)
        fact = Fact("gas analysis", f"What does an analysis of the {name} show: sulphur, water, heating value?")
        return Known(Weighed(Answer.UNKNOWN, f"{name} varies too much to be judged without an analysis"), (fact,))
    if case.fuels_known or (found.weighed.answer is Answer.NOT_MET and case.fuels):
        return found
    return Known(Weighed(Answer.UNKNOWN, "what the engine burns is not known"), (case.where.burned.asks,))


def settled(case: Case, found: Known) -> Known:
    """What a statement of the engine's maker that names the fuel burned adds.

    A missing class is met on it, a recorded contradiction cannot be told and is an error in the data. It never turns
    a refusal into a yes, and one that may not hold turns nothing into a yes.
    """
    weighed = found.weighed
    if weighed.answer is Answer.MET or case.where.burned.asks in found.facts:
        return found
    specified = case.specified_for(case.fuels)
    if specified.holds is False:
        return found
    if specified.holds is None:
        if weighed.answer is Answer.MET_IF:
            return found
        return Known(Weighed(Answer.UNKNOWN, weighed.reason), distinct((*found.facts, *specified.missing)))
    if weighed.answer is Answer.NOT_MET or Answer.NOT_MET in weighed.disputed:
        return _contradicted(case, weighed)
    return Known(Weighed(Answer.MET, BY_STATEMENT))


def _contradicted(case: Case, weighed: Weighed) -> Known:
    shown = case.candidate.shown
    reason = f"the engine's maker specifies {shown} for this fuel, and its record says otherwise"
    error = f"{case.position.shown}: {reason} ({weighed.reason})"
    question = f"What fuel does the maker's sheet for {shown} state?"
    fact = Fact("candidate: fuels it is made for", question)
    return Known(Weighed(Answer.UNKNOWN, reason), (fact,), f"{error[:1].upper()}{error[1:]}.")


def candidate_facts(case: Case, weighed: Weighed, port: str | None) -> tuple[Fact, ...]:
    return distinct(_candidate_fact(case, member, port) for member in weighed.lacks)


def _candidate_fact(case: Case, member: str, port: str | None) -> Fact:
    """A part has one seal whatever the port, and what it is made of is asked for once, as its rule asks for it."""
    shown, name = case.candidate.shown, case.rulebook.attribute_name(member)
    if member in (MATERIAL, SEAL_TEMPERATURE):
        return Fact(f"candidate: {name}", f"What is the {name} of {shown}? Measure it or read the label.")
    where = f"{name} at the {port}" if port else name
    return Fact(f"candidate: {where}", f"What does the maker state for the {where} of {shown}?")


_EFFECTS = {
    Answer.MET: Effect.NONE,
    Answer.MET_IF: Effect.CONDITION,
    Answer.UNKNOWN: Effect.UNDETERMINED,
    Answer.NOT_MET: Effect.REJECT,
}


def gate_finding(
    place: Place, known: Known, text: str, demand: Demand | None = None, offers: tuple[Offer, ...] = ()
) -> Finding:
    answer = known.weighed.answer
    return Finding(
        attribute=place[0],
        outcome=answer,
        effect=_EFFECTS[answer],
        text=text,
        source=offers[0].source if offers else COMMON_PRACTICE,
        slot=place[1],
        demand=demand,
        offer=offers[0] if offers else None,
        condition=known.weighed.condition,
        missing=known.facts,
        worst=Effect.REJECT,
        lead=Lead.GATE,
        critical=True,
        data_error=known.data_error,
    )
