"""Whether a rule is asked at all: its conjunction over a closed list of facts of the application and the position."""

from __future__ import annotations

from collections.abc import Iterable

from catalog.domain.answers import YES, Fact, Truth, all_of, any_of, no, unknown
from catalog.domain.applicability import PLACE_OF_USE
from catalog.domain.case import Case
from catalog.domain.fuels import Fuel
from catalog.domain.reaching import missing_of_services
from catalog.domain.rules import When, WhenFact

QUESTIONS = {
    WhenFact.DUSTY: Fact("dusty place", "Does the engine run in dust?"),
    WhenFact.CERTIFIED: Fact("emission certificate", "Is the engine emission-certified? See the emission label."),
    WhenFact.ECU: Fact("engine controller", "Does the engine have an electronic controller?"),
}


def holds(case: Case, whens: Iterable[When]) -> Truth:
    """Yes, no, or unknown with the facts that would settle it."""
    return all_of(_holds(case, when) for when in whens)


def _holds(case: Case, when: When) -> Truth:
    application = case.where.application
    if when.fact is WhenFact.FUEL_BURNED:
        return any_of(_burned(case, Fuel.parse(text)) for text in when.one_of)
    if when.fact is WhenFact.SERVICE_CLASS:
        return _reached(case, when)
    if when.fact is WhenFact.PLACE_OF_USE:
        return _told(application.place_of_use, when, PLACE_OF_USE)
    flag = {WhenFact.DUSTY: application.dusty, WhenFact.CERTIFIED: application.certified,
            WhenFact.ECU: application.ecu}[when.fact]  # fmt: skip
    return _told(None if flag is None else "yes" if flag else "no", when, QUESTIONS[when.fact])


def _reached(case: Case, when: When) -> Truth:
    if {service.code for service in case.services} & set(when.one_of):
        return YES
    missing = missing_of_services(case)
    return unknown(*missing) if missing else no("fuel service class")


def _told(found: str | None, when: When, fact: Fact) -> Truth:
    if found is None:
        return unknown(fact)
    return YES if found in when.one_of else no(fact.name)


def _burned(case: Case, fuel: Fuel) -> Truth:
    """Whether a fuel is burned; one named with its grade only where that grade is."""
    burned = case.where.burned
    same = [found for found in burned.fuels if found.code == fuel.code]
    if any(not fuel.grade or found.grade == fuel.grade for found in same):
        return YES
    if any(not found.grade for found in same):
        return unknown(case.where.grade_fact(fuel.code))
    return no("fuel") if burned.complete else unknown(burned.asks)
