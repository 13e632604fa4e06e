"""The gate at one port of a metering or wetted position: by fuel service class, or by material for a loose seal."""

from __future__ import annotations

from catalog.domain import gate_words as words
from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Fact, distinct
from catalog.domain.case import Case
from catalog.domain.comparing_codes import MEDIA, rated_for, stated_ranges
from catalog.domain.findings import Finding
from catalog.domain.fuels import Fuel, either, families, listed
from catalog.domain.gate_known import Known, candidate_facts, gate_finding, recorded, settled, while_fuel_unknown
from catalog.domain.parts import FUELS, MATERIAL, SEAL_TEMPERATURE, SERVICE
from catalog.domain.reaching import media_asked, touched, wetting
from catalog.domain.rule_words import with_article
from catalog.domain.rules import Category, FuelRole, RatingTable
from catalog.domain.values import Demand, Offer, State, Value
from catalog.domain.weighing import MET, Weighed, agreed, lacking, not_met, worst


def at_port(case: Case, category: Category, port: str) -> Finding:
    offered = case.rulebook.categories.get(case.candidate.category)
    if offered is not None and offered.not_made_for_fuel:
        return _never_made_for_fuel(case, offered, port)
    offers = recorded(case, (SERVICE, port))
    by_material = category.loose_seal and not offers
    if by_material:
        weighed = _by_material(case, port)
    else:
        covered = category.fuel_role is FuelRole.WETTED and port not in category.never_covered
        weighed = _by_class(case, port, offers, covered=covered)
    found = settled(case, while_fuel_unknown(case, _answered(case, port, weighed)))
    required, _ = case.required_classes(port)
    demand = Demand(Value(required), Basis.STATED, COMMON_PRACTICE) if required else None
    if by_material and found.weighed.answer is not Answer.UNKNOWN:
        text = words.by_material(case, category, found.weighed)
        return gate_finding((SERVICE, port), found, text, demand, recorded(case, (MATERIAL, None)))
    text = words.by_class(case, category, (port, required), offers, found.weighed)
    return gate_finding((SERVICE, port), found, text, demand, offers)


def _by_class(case: Case, port: str, offers: tuple[Offer, ...], *, covered: bool) -> Weighed:
    if not offers:
        return lacking(SERVICE, reason="no fuel service class is recorded")
    return agreed(tuple(_classes(case, port, offer.value, covered=covered) for offer in offers))


def _classes(case: Case, port: str, offer: Value, *, covered: bool) -> Weighed:
    if offer.state is not State.VALUE:
        return not_met("made for no fuel at this port")
    results = tuple(_for_fuel(case, port, fuel, offer, covered=covered) for fuel in case.fuels)
    return worst(results) if results else MET


def _for_fuel(case: Case, port: str, fuel: Fuel, offer: Value, *, covered: bool) -> Weighed:
    """The classes that stand for one fuel; a grade that nobody stated is weighed for every grade of its row."""
    answered = [(grade, needed) for grade in _grades(case, fuel) if (needed := _needed(case, port, fuel, grade))]
    met = [grade for grade, needed in answered if _serves(case, needed, offer, covered=covered)]
    made_for = words.classes(case, offer.codes)
    if answered and not met:
        return not_met(f"made for {made_for}")
    definition = case.where.names.get(fuel.code)
    if len(met) == len(_grades(case, fuel)) or not met or definition is None:
        return Weighed(Answer.MET, made_for)
    only_if = f"the {definition.name} is {either(met)}"
    if definition.usual in met:
        return Weighed(Answer.MET_IF, made_for, condition=only_if)
    return Weighed(Answer.UNKNOWN, f"it holds only if {only_if}", asks=(fuel.code,))


def _grades(case: Case, fuel: Fuel) -> tuple[str, ...]:
    definition = case.where.names.get(fuel.code)
    return (fuel.grade,) if fuel.grade or definition is None else definition.grades or ("",)


def _needed(case: Case, port: str, fuel: Fuel, grade: str) -> tuple[str, ...]:
    return case.answering(port, Fuel(fuel.code, grade))


def _serves(case: Case, needed: tuple[str, ...], offer: Value, *, covered: bool) -> bool:
    covers = case.rulebook.covers
    return all(
        wanted in offer.codes or (covered and any((code, wanted) in covers for code in offer.codes))
        for wanted in needed
    )  # fmt: skip


def _by_material(case: Case, port: str) -> Weighed:
    """A loose seal without a class: how its material stands every medium the position touches."""
    offers, table = recorded(case, (MATERIAL, None)), case.rulebook.tables.ratings.get(MATERIAL)
    if table is None or not case.position.media:
        return Weighed(Answer.UNKNOWN, "the media here are not recorded", asks=(MEDIA,))
    if not offers:
        return lacking(MATERIAL, reason="no seal material is recorded")
    weighed = _stands(case, table, offers, case.fuels)
    for fuel in case.fuels:
        if not fuel.grade:
            weighed = _in_every_grade(case, port, (table, offers), fuel, weighed)
    return weighed


def _stands(case: Case, table: RatingTable, offers: tuple[Offer, ...], fuels: tuple[Fuel, ...]) -> Weighed:
    """How the material stands all that it touches where these are the fuels burned."""
    wettings = [wetting(case, medium) for medium in touched(case, None, table, fuels)]
    stated = stated_ranges(recorded(case, (SEAL_TEMPERATURE, None)))
    return agreed(
        tuple(
            worst(tuple(rated_for(table, MATERIAL, met, offer.value, window) for met in wettings))
            for offer in offers
            for window in stated
        )
    )


def _in_every_grade(
    case: Case, port: str, material: tuple[RatingTable, tuple[Offer, ...]], fuel: Fuel, weighed: Weighed
) -> Weighed:
    """The answer for a fuel whose grade nobody stated: it is weighed in every grade that the classes here are for."""
    definition = case.where.names.get(fuel.code)
    if weighed.answer not in _YES or definition is None:
        return weighed
    grades = [grade for grade in _grades(case, fuel) if grade and _needed(case, port, fuel, grade)]
    burned = {grade: tuple(Fuel(fuel.code, grade) if one == fuel else one for one in case.fuels) for grade in grades}
    each = {grade: _stands(case, *material, fuels) for grade, fuels in burned.items()}
    good = [grade for grade, found in each.items() if found.answer in _YES]
    together = worst((weighed, *(each[grade] for grade in good)))
    if len(good) == len(each):
        return together
    only_if = f"the {definition.name} is {either(good)}"
    if definition.usual not in good:
        return Weighed(Answer.UNKNOWN, f"it holds only if {only_if}" if good else weighed.reason, asks=(fuel.code,))
    condition = "; ".join(filter(None, (only_if, together.condition)))
    return Weighed(Answer.MET_IF, together.reason, condition=condition)


_YES = (Answer.MET, Answer.MET_IF)


def _answered(case: Case, port: str, weighed: Weighed) -> Known:
    """A fuel that nothing at the position answers for leaves the gate open to question, unless it is refused anyway.

    A seal refused by the media recorded at a place whose classes are not recorded is refused by those media.
    """
    stands_here = any(entry.port == port for entry in case.position.ports)
    unanswered = tuple(f for f in case.fuels if not any(_needed(case, port, f, grade) for grade in _grades(case, f)))
    answered = len(unanswered) < len(case.fuels)
    if weighed.answer is Answer.NOT_MET and (answered or (case.position.media and not stands_here)):
        return Known(weighed)
    if unanswered or (case.fuels_known and not case.fuels):
        name = listed(unanswered, case.where.names) or "the fuel"
        fact = Fact(
            f"position: fuel service class at the {port}",
            f"What stands at the {case.position.shown} for {name} now, and what reaches its {port}?",
        )
        return Known(Weighed(Answer.UNKNOWN, f"no service class is recorded here for {name}"), (fact,))
    return Known(weighed, (*candidate_facts(case, weighed, port), *_asked(case, weighed)))


def _asked(case: Case, weighed: Weighed) -> tuple[Fact, ...]:
    if weighed.answer is not Answer.UNKNOWN:
        return ()
    facts = tuple(media_asked(case) if code == MEDIA else case.where.grade_fact(code) for code in weighed.asks)
    if facts or weighed.lacks:
        return facts
    return (Fact("candidate: fuel service", f"Which fuel service does the maker of {case.candidate.shown} state?"),)


def _never_made_for_fuel(case: Case, offered: Category, port: str) -> Finding:
    """A category not made for fuel is known to have no class at any port; what it is recorded for is shown."""
    required, _ = case.required_classes(port)
    known = [case.rulebook.classes[code].fuel_family for code in required if code in case.rulebook.classes]
    branch = (Fuel(case.position.branch),) if case.position.branch else ()
    fuel = " or ".join(distinct(known) or families(branch, case.where.names)) or "fuel"
    shown = tuple(offer for code in ("media", FUELS) for offer in case.candidate.at((code, None)) if offer.value.codes)
    text = f"Not made for {fuel}: {case.candidate.shown} is {with_article(offered.noun)}"
    if shown:
        text += f", recorded for {', '.join(distinct(offer.value.shown() for offer in shown))}"
    found = Known(not_met(text[:1].lower() + text[1:]))
    if case.fuels and case.fuels_known:
        found = settled(case, found)
    if found.weighed.answer is not Answer.NOT_MET:
        text = f"Cannot tell: {found.weighed.reason}"
    demand = Demand(Value(required), Basis.STATED, COMMON_PRACTICE) if required else None
    return gate_finding((SERVICE, port), found, f"{text}.", demand, shown)
