"""The fuel gate: before anything else, by the fuel role of the category the position asks for."""

from __future__ import annotations

from catalog.domain import gate_words as words
from catalog.domain.answers import COMMON_PRACTICE, Answer, Effect, Fact, distinct
from catalog.domain.case import Case
from catalog.domain.findings import Finding, Lead
from catalog.domain.fuels import Fuel, either, fuel_words, listed_words
from catalog.domain.gate_known import Known, candidate_facts, gate_finding, recorded, settled, while_fuel_unknown
from catalog.domain.gate_ports import at_port
from catalog.domain.parts import FUELS, SERVICE
from catalog.domain.rule_words import with_article
from catalog.domain.rules import Category, FuelRole
from catalog.domain.values import Demand, State, Value
from catalog.domain.weighing import Weighed, agreed, lacking, not_met, worst

_BY_CLASS = frozenset({FuelRole.METERING, FuelRole.WETTED})


def gate(case: Case) -> tuple[Finding, ...]:
    """The gate's findings: one for each port of a metering or wetted position, one by fuel for the others."""
    category = case.category
    if category is None:
        return ()
    if category.fuel_role not in _BY_CLASS and case.position.ports:
        return (_not_of_this_kind(case, category),)
    if category.fuel_role is FuelRole.NONE:
        return (_not_asked(FUELS, f"{with_article(category.noun, 'A')} is not judged by the fuel burned."),)
    if category.fuel_role is FuelRole.WETTED and not case.position.carries_fuel:
        return (_not_asked(SERVICE, f"No fuel reaches the {case.position.shown}; the fuel is not asked."),)
    absent = _branch_absent(case)
    if absent is not None:
        return (absent,)
    by_class = category.fuel_role in _BY_CLASS
    return tuple(at_port(case, category, port) for port in category.ports) if by_class else (_fuels(case, category),)


def _not_of_this_kind(case: Case, category: Category) -> Finding:
    """A position that fuel services are recorded of, of a category that is not judged by them: one of them is wrong."""
    place, classes = case.position.shown, [code for entry in case.position.ports for code in entry.classes]
    reached = listed_words(distinct(classes))
    text = (
        f"{reached or 'Fuel'} is recorded to reach the {place}, and {with_article(category.noun)} is not judged by it."
    )
    fact = Fact("position: category", f"What kind of part stands at the {place}, and does fuel reach it?")
    found = Known(Weighed(Answer.UNKNOWN, "the kind of part recorded here is not one that fuel reaches"), (fact,), text)
    return gate_finding((SERVICE, None), found, text)


def _branch_absent(case: Case) -> Finding | None:
    branch = case.position.branch
    if branch is None or case.where.burned.burns(branch) is not False:
        return None
    text = words.branch_absent(case, branch)
    return gate_finding((FUELS, None), Known(not_met(text)), text, _burned_demand(case))


def _fuels(case: Case, category: Category) -> Finding:
    offers = recorded(case, (FUELS, None))
    if not offers:
        weighed = lacking(FUELS, reason="the fuels it is made for are not recorded")
    else:
        weighed = agreed(tuple(_suits_all(case, offer.value) for offer in offers))
    facts = candidate_facts(case, weighed, None)
    if weighed.answer is Answer.UNKNOWN and not facts:
        facts = tuple(case.where.grade_fact(code) for code in weighed.asks)
    found = settled(case, while_fuel_unknown(case, Known(weighed, facts)))
    text = words.by_fuel(case, category, offers, found.weighed)
    return gate_finding((FUELS, None), found, text, _burned_demand(case), offers)


def _suits_all(case: Case, offer: Value) -> Weighed:
    if offer.state is not State.VALUE:
        return not_met("made for no fuel")
    made_for = tuple(Fuel.parse(code) for code in offer.codes)
    return worst(tuple(_suits(case, fuel, made_for) for fuel in case.fuels)) if case.fuels else Weighed(Answer.MET)


def _suits(case: Case, burned: Fuel, made_for: tuple[Fuel, ...]) -> Weighed:
    """One fuel burned against those a part names; an unstated grade is weighed for every grade of its fuel."""
    definition, name = case.where.names.get(burned.code), fuel_words(burned, case.where.names)
    grades = (burned.grade,) if burned.grade or definition is None else definition.grades or ("",)
    suited = [grade for grade in grades if any(case.where.covers(made, Fuel(burned.code, grade)) for made in made_for)]
    if len(suited) == len(grades):
        return Weighed(Answer.MET, f"made for {name}")
    if not suited:
        return not_met(f"not made for {name}")
    if definition is not None and definition.usual in suited:
        return Weighed(Answer.MET_IF, condition=f"the {definition.name} is {either(suited)}")
    return Weighed(Answer.UNKNOWN, f"it suits {either(suited)} only", asks=(burned.code,))


def _burned_demand(case: Case) -> Demand | None:
    codes = tuple(fuel.text for fuel in case.fuels or case.where.burned.fuels)
    return Demand(Value(codes), case.where.burned.basis, COMMON_PRACTICE) if codes else None


def _not_asked(attribute: str, text: str) -> Finding:
    return Finding(attribute, Answer.MET, Effect.NOT_ASKED, text, COMMON_PRACTICE, lead=Lead.GATE, counted=False)
