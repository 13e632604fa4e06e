"""The fuel gate: before anything else, by the fuel role of the category the position asks for."""

from __future__ import annotations

from catalog.domain import gate_words as words
from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Effect, Fact, Truth, distinct
from catalog.domain.case import Case
from catalog.domain.comparing_codes import Wetting, rated_for
from catalog.domain.findings import Finding, Lead
from catalog.domain.fuels import Fuel, ServiceClass, either, families, fuel_words, listed
from catalog.domain.parts import FUELS, MATERIAL, SERVICE
from catalog.domain.rules import Category, FuelRole
from catalog.domain.values import Demand, Offer, Place, State, Value
from catalog.domain.weighing import Weighed, agreed, lacking, not_met, worst

_BY_CLASS = frozenset({FuelRole.METERING, FuelRole.WETTED})
_Known = tuple[Weighed, tuple[Fact, ...]]  # an answer, and the facts it still asks for


def gate(case: Case) -> tuple[Finding, ...]:
    """The gate's findings: one for each port of a metering or wetted position, one by fuel for the others."""
    category = case.category
    if category is None:
        return ()
    if category.fuel_role is FuelRole.NONE:
        return (_not_asked(FUELS, f"A {category.noun} is not judged by the fuel burned."),)
    if category.fuel_role is FuelRole.WETTED and not case.position.carries_fuel:
        return (_not_asked(SERVICE, f"No fuel reaches the {case.position.shown}; the fuel is not asked."),)
    absent = _branch_absent(case)
    if absent is not None:
        return (absent,)
    if category.fuel_role in _BY_CLASS:
        return tuple(_port(case, category, port) for port in category.ports)
    return (_fuels(case, category),)


def fuels_to_suit(case: Case) -> tuple[Fuel, ...]:
    """The fuels burned that the position answers for: its branch's, or all where it is common."""
    branch = case.position.branch
    return tuple(fuel for fuel in case.where.burned.fuels if branch in (None, fuel.code))


def required_classes(case: Case, port: str) -> tuple[tuple[str, ...], tuple[Fuel, ...]]:
    """The service classes a part must carry at a port, and the fuels burned that nothing there answers for."""
    classes: list[str] = []
    unanswered: list[Fuel] = []
    for fuel in fuels_to_suit(case):
        answering = _answering(case, port, fuel)
        classes += answering
        if not answering:
            unanswered.append(fuel)
    return distinct(classes), tuple(unanswered)


def services(case: Case) -> tuple[ServiceClass, ...]:
    """The service classes that reach the position at any port, as far as they are recorded and published."""
    ports = case.category.ports if case.category else ()
    codes = distinct(code for port in ports for code in required_classes(case, port)[0])
    return tuple(case.rulebook.classes[code] for code in codes if code in case.rulebook.classes)


def _answering(case: Case, port: str, fuel: Fuel) -> tuple[str, ...]:
    """The position's classes at a port that stand for a fuel, its grade included where one is stated."""
    known = case.rulebook.classes
    return tuple(
        code
        for entry in case.position.ports
        if entry.port == port and entry.fuel in (None, fuel.code)
        for code in entry.classes
        if code not in known or known[code].meant_for(fuel)
    )


def _branch_absent(case: Case) -> Finding | None:
    branch = case.position.branch
    if branch is None or case.where.burned.burns(branch) is not False:
        return None
    text = words.branch_absent(case, branch)
    return _finding((FUELS, None), (not_met(text), ()), text, _burned_demand(case), ())


def _port(case: Case, category: Category, port: str) -> Finding:
    place: Place = (SERVICE, port)
    offers = case.candidate.at(place)
    offered_category = case.rulebook.categories.get(case.candidate.category)
    if offered_category is not None and offered_category.not_made_for_fuel:
        return _never_made_for_fuel(case, offered_category, port)
    required, unanswered = required_classes(case, port)
    if category.loose_seal and not offers:
        weighed = _by_material(case)
    else:
        covered = category.fuel_role is FuelRole.WETTED and port not in category.never_covered
        weighed = _by_class(case, required, offers, covered=covered)
    known = _with_unknown_fuel(case, _unanswered(case, port, required, unanswered, weighed))
    known = _graded(case, port, known)
    settled = _settled(case, known, case.specified_for(fuels_to_suit(case)))
    text = words.by_class(case, category, (port, required), offers, settled[0])
    demand = Demand(Value(required), Basis.STATED, COMMON_PRACTICE) if required else None
    return _finding((SERVICE, port), settled, text, demand, offers)


def _by_class(case: Case, required: tuple[str, ...], offers: tuple[Offer, ...], *, covered: bool) -> Weighed:
    if not offers:
        return lacking(SERVICE, reason="no fuel service class is recorded")
    return agreed(tuple(_classes(case, required, offer.value, covered=covered) for offer in offers))


def _classes(case: Case, required: tuple[str, ...], offer: Value, *, covered: bool) -> Weighed:
    if offer.state is not State.VALUE:
        return not_met("made for no fuel at this port")
    for wanted in required:
        serves = wanted in offer.codes or (covered and any((c, wanted) in case.rulebook.covers for c in offer.codes))
        if not serves:
            return not_met(f"made for {words.classes(case, offer.codes)}")
    return Weighed(Answer.MET, words.classes(case, offer.codes))


def _by_material(case: Case) -> Weighed:
    """A loose seal without a class: how its material stands every medium the position touches."""
    offers, table = case.candidate.at((MATERIAL, None)), case.rulebook.tables.ratings.get(MATERIAL)
    if table is None or not case.position.media:
        return Weighed(Answer.UNKNOWN, "the media here are not recorded", asks=("media",))
    if not offers:
        return lacking(MATERIAL, reason="no seal material is recorded")
    results = [
        worst(
            tuple(
                rated_for(table, MATERIAL, Wetting(medium.name, medium.temperature, medium.dynamic), offer.value)
                for medium in case.position.media
            )
        )
        for offer in offers
    ]
    return agreed(tuple(results))


def _unanswered(
    case: Case, port: str, required: tuple[str, ...], unanswered: tuple[Fuel, ...], weighed: Weighed
) -> _Known:
    """A fuel that nothing at the position answers for leaves the gate open to question, unless it is refused anyway."""
    if weighed.answer is Answer.NOT_MET and required:
        return weighed, ()
    if unanswered or (not required and case.where.burned.complete):
        name = listed(unanswered, case.where.names) or "the fuel"
        fact = Fact(
            f"position: fuel service class at the {port}",
            f"What stands at the {case.position.shown} for {name} now, and what reaches its {port}?",
        )
        return Weighed(Answer.UNKNOWN, f"no service class is recorded here for {name}"), (fact,)
    return weighed, _candidate_facts(case, weighed, port)


def _graded(case: Case, port: str, found: _Known) -> _Known:
    """A grade that nobody stated: what is met holds for those grades only that the position's classes are meant for."""
    if found[0].answer is not Answer.MET:
        return found
    for fuel in fuels_to_suit(case):
        definition = case.where.names.get(fuel.code)
        if fuel.grade or definition is None:
            continue
        meant = [grade for grade in definition.grades if _answering(case, port, Fuel(fuel.code, grade))]
        if len(meant) < len(definition.grades):
            words = f"the {definition.name} is {either(meant) or 'of a grade this place is meant for'}"
            if definition.usual in meant:
                return Weighed(Answer.MET_IF, found[0].reason, condition=words), ()
            return Weighed(Answer.UNKNOWN, f"it holds only if {words}"), (case.where.grade_fact(fuel.code),)
    return found


def _never_made_for_fuel(case: Case, offered: Category, port: str) -> Finding:
    required, _ = required_classes(case, port)
    known = [case.rulebook.classes[code].fuel_family for code in required if code in case.rulebook.classes]
    branch = (Fuel(case.position.branch),) if case.position.branch else ()
    fuel = " or ".join(distinct(known) or families(branch, case.where.names)) or "fuel"
    media = [offer for offer in case.candidate.at(("media", None)) if offer.value.codes]
    text = f"Not made for {fuel}: {case.candidate.shown} is a {offered.noun}"
    if media:
        text += f", recorded for {media[0].value.shown()}"
    demand = Demand(Value(required), Basis.STATED, COMMON_PRACTICE) if required else None
    return _finding((SERVICE, port), (not_met(text), ()), f"{text}.", demand, tuple(media))


def _fuels(case: Case, category: Category) -> Finding:
    wanted, offers = fuels_to_suit(case), case.candidate.at((FUELS, None))
    if not offers:
        weighed = lacking(FUELS, reason="the fuels it is made for are not recorded")
    else:
        weighed = agreed(tuple(_suits_all(case, wanted, offer.value) for offer in offers))
    facts = _candidate_facts(case, weighed, None)
    if weighed.answer is Answer.UNKNOWN and offers and not facts:
        facts = tuple(case.where.grade_fact(fuel.code) for fuel in wanted if not fuel.grade)
    settled = _settled(case, _with_unknown_fuel(case, (weighed, facts)), case.specified_for(wanted))
    text = words.by_fuel(case, category, offers, settled[0])
    return _finding((FUELS, None), settled, text, _burned_demand(case), offers)


def _suits_all(case: Case, wanted: tuple[Fuel, ...], offer: Value) -> Weighed:
    if offer.state is not State.VALUE:
        return not_met("made for no fuel")
    made_for = tuple(Fuel.parse(code) for code in offer.codes)
    return worst(tuple(_suits(case, fuel, made_for) for fuel in wanted)) if wanted else Weighed(Answer.MET)


def _suits(case: Case, burned: Fuel, made_for: tuple[Fuel, ...]) -> Weighed:
    """One fuel burned against those a part names; an unstated grade is weighed for every grade of its fuel."""
    definition = case.where.names.get(burned.code)
    grades = (burned.grade,) if burned.grade or definition is None else definition.grades or ("",)
    suited = [grade for grade in grades if any(case.where.covers(made, Fuel(burned.code, grade)) for made in made_for)]
    if len(suited) == len(grades):
        return Weighed(Answer.MET)
    if not suited:
        return not_met(fuel_words(burned, case.where.names))
    if definition is not None and definition.usual in suited:
        return Weighed(Answer.MET_IF, condition=f"the {definition.name} is {either(suited)}")
    return Weighed(Answer.UNKNOWN, f"it suits {either(suited)} only")


def _with_unknown_fuel(case: Case, found: _Known) -> _Known:
    """While something may be missing from the fuels burned, nothing is met; what a known fuel refuses stays refused.

    A gas without a usual grade (wellhead, digester and the like) is judged by nobody without its analysis.
    """
    weighed, facts = found
    burned = case.where.burned
    raw = [f for f in fuels_to_suit(case) if (known := case.where.names.get(f.code)) and known.needs_analysis]
    if raw:
        name = listed(tuple(raw), case.where.names)
        fact = Fact("gas analysis", f"What does an analysis of the {name} show: sulphur, water, heating value?")
        return Weighed(Answer.UNKNOWN, f"{name} varies too much to be judged without an analysis"), (fact,)
    branch_known = case.position.branch is not None and burned.burns(case.position.branch)
    if burned.complete or branch_known or (weighed.answer is Answer.NOT_MET and fuels_to_suit(case)):
        return weighed, facts
    return Weighed(Answer.UNKNOWN, "what the engine burns is not known"), (burned.asks,)


def _settled(case: Case, found: _Known, specified: Truth) -> _Known:
    """What a statement of the engine's maker that names the fuel burned adds.

    A missing class is met on it, a recorded contradiction cannot be told. It never turns a refusal into a yes.
    """
    weighed, facts = found
    if specified.holds is False or weighed.answer is Answer.MET or case.where.burned.asks in facts:
        return found
    if specified.holds is None:
        return Weighed(Answer.UNKNOWN, weighed.reason), distinct((*found[1], *specified.missing))
    if weighed.answer is Answer.NOT_MET:
        reason = f"the engine's maker specifies {case.candidate.shown} for this fuel, and its record says otherwise"
        question = f"What fuel does the maker's sheet for {case.candidate.shown} state?"
        return Weighed(Answer.UNKNOWN, reason), (Fact("candidate: fuels it is made for", question),)
    return Weighed(Answer.MET, "specified here by the engine's maker for this fuel"), ()


def _candidate_facts(case: Case, weighed: Weighed, port: str | None) -> tuple[Fact, ...]:
    where = f" at the {port}" if port else ""
    return distinct(
        Fact(
            f"candidate: {case.rulebook.attribute_name(member)}{where}",
            f"What does the maker state for the {case.rulebook.attribute_name(member)}{where} of "
            f"{case.candidate.shown}?",
        )
        for member in weighed.lacks
    )


def _burned_demand(case: Case) -> Demand | None:
    codes = tuple(fuel.text for fuel in fuels_to_suit(case) or case.where.burned.fuels)
    return Demand(Value(codes), case.where.burned.basis, COMMON_PRACTICE) if codes else None


def _not_asked(attribute: str, text: str) -> Finding:
    return Finding(attribute, Answer.MET, Effect.NOT_ASKED, text, COMMON_PRACTICE, lead=Lead.GATE, counted=False)


_EFFECTS = {
    Answer.MET: Effect.NONE,
    Answer.MET_IF: Effect.CONDITION,
    Answer.UNKNOWN: Effect.UNDETERMINED,
    Answer.NOT_MET: Effect.REJECT,
}


def _finding(place: Place, known: _Known, text: str, demand: Demand | None, offers: tuple[Offer, ...]) -> Finding:
    (attribute, port), (weighed, facts) = place, known
    return Finding(
        attribute,
        weighed.answer,
        _EFFECTS[weighed.answer],
        text,
        offers[0].source if offers else COMMON_PRACTICE,
        slot=port,
        demand=demand,
        offer=offers[0] if offers else None,
        condition=weighed.condition,
        missing=facts,
        worst=Effect.REJECT,
        lead=Lead.GATE,
        critical=True,
    )
