"""Each rule of the position's category weighed: demands and offers compared, statements heard, effect decided."""

from __future__ import annotations

from dataclasses import dataclass, replace

from catalog.domain.answers import (
    SETTLED_BY_LISTING,
    YES,
    Answer,
    Aspect,
    Basis,
    Effect,
    Fact,
    TakenOver,
    Truth,
    all_of,
    distinct,
    no,
    unknown,
)
from catalog.domain.applicability import PLACE_OF_USE
from catalog.domain.case import Case, any_of
from catalog.domain.comparing import compare
from catalog.domain.comparing_codes import Wetting, rated_for, same_members
from catalog.domain.demands import Asked, asked_of, offered
from catalog.domain.findings import Finding, Lead
from catalog.domain.gate import services
from catalog.domain.parts import SuppliedAs
from catalog.domain.rule_words import sentence
from catalog.domain.rules import ComparisonKind, Rule, When, WhenFact
from catalog.domain.values import Offer, Slot
from catalog.domain.weighing import Reading, Weighed, agreed, worst

_STRENGTH = {effect: strength for strength, effect in enumerate(Effect)}
_ENDLESS = frozenset({SuppliedAs.CUT_LENGTH, SuppliedAs.VOLUME})
_LEADING = frozenset({Aspect.SHUT_OFF, Aspect.EMISSION})


@dataclass(frozen=True, slots=True)
class Settled:
    """An answer with the facts it asks for, on what basis it stands, and what in the data contradicts it."""

    weighed: Weighed
    missing: tuple[Fact, ...] = ()
    basis: Basis = Basis.PART_DATA
    data_error: str = ""


def weigh_rules(case: Case) -> tuple[Finding, ...]:
    """Findings of every rule and slot that asks anything, in no particular order."""
    if case.category is None:
        return ()
    found = (_weigh(case, rule, slot) for rule in case.category.rules for slot in rule.slots)
    return tuple(finding for finding in found if finding is not None)


def _weigh(case: Case, rule: Rule, slot: Slot) -> Finding | None:
    applies = all_of(_when(case, when) for when in rule.when) if rule.when else YES
    if applies.holds is False:
        return _not_asked(rule, slot, "this is not asked here")
    if case.candidate.supplied_as in _ENDLESS and _of_piece(case, rule):
        return _not_asked(rule, slot, "goods sold by length or volume have none")
    asked = asked_of(case, rule, slot)
    if not asked and (rule.only_where_stated or rule.when_not_met is not Effect.REJECT):
        return None
    settled = _heard(case, rule, _base(case, rule, slot, asked))
    if applies.holds is None and settled.weighed.answer is not Answer.MET:
        # What the engine burns says which part is specified; until it is known, nothing else is worth asking.
        by_fuel = case.where.burned.asks in settled.missing
        missing = settled.missing if by_fuel else applies.missing
        settled = Settled(Weighed(Answer.UNKNOWN, settled.weighed.reason), missing)
    return _finding(case, rule, slot, asked, settled, counted=applies.holds is True)


def _base(case: Case, rule: Rule, slot: Slot, asked: tuple[Asked, ...]) -> Settled:
    """The answer from the data alone: the worst over what the position asks, lenders agreeing among themselves."""
    if not asked:
        return Settled(Weighed(Answer.UNKNOWN, "what the position needs is not recorded"), (_need(case, rule, slot),))
    readings = offered(case.candidate, rule, slot) or ({},)
    if len(asked) == 1 and asked[0].taken_over is None:
        return _with_facts(case, rule, slot, against(case, rule, asked[0], readings))
    own = tuple(against(case, rule, demand, readings) for demand in asked if demand.taken_over is None)
    lent = _taken_over(case, rule, slot, tuple(demand for demand in asked if demand.taken_over), readings)
    results = [*(_with_facts(case, rule, slot, weighed) for weighed in own), *lent]
    if rule.comparison.kind not in _IDENTITIES or len(own) < 2:
        return _worst(results)
    return _with_facts(case, rule, slot, agreed(own))


_IDENTITIES = frozenset({ComparisonKind.EQUALS, ComparisonKind.WITHIN, ComparisonKind.MATES_WITH})


def against(case: Case, rule: Rule, demand: Asked, readings: tuple[Reading, ...]) -> Weighed:
    if demand.taken_over and rule.comparison.kind is ComparisonKind.MATES_WITH:
        return agreed(tuple(same_members(rule.attributes, demand.reading, reading) for reading in readings))
    if rule.comparison.kind is ComparisonKind.RATED_FOR:
        return agreed(tuple(_rated(case, rule, demand.reading, reading) for reading in readings))
    weighed = agreed(tuple(compare(rule, demand.reading, reading, case.rulebook.tables) for reading in readings))
    if weighed.answer is not Answer.NOT_MET:
        return weighed
    if demand.taken_over is TakenOver.CAPACITY:
        asks = rule.attributes[:1]
        return Weighed(Answer.UNKNOWN, f"{weighed.reason}, as the specified part has", weighed.margin, asks=asks)
    if demand.taken_over is TakenOver.CLEARANCE:
        return Weighed(Answer.MET_IF, weighed.reason, weighed.margin, rule.condition or "there is room for it")
    return weighed


def _rated(case: Case, rule: Rule, demand: Reading, offer: Reading) -> Weighed:
    """A material against each medium asked for, at the temperatures and motion the position has it at."""
    member = rule.attributes[0]
    media = {medium.name: medium for medium in case.position.media}
    asked, given = demand.get(member), offer.get(member)
    if asked is None or given is None or not asked.codes or not given.codes:
        return compare(rule, demand, offer, case.rulebook.tables)
    table = case.rulebook.tables.ratings[rule.comparison.table]
    wettings = (Wetting(n, media[n].temperature, media[n].dynamic) if n in media else Wetting(n) for n in asked.codes)
    return worst(tuple(rated_for(table, member, wetting, given) for wetting in wettings))


def _taken_over(
    case: Case, rule: Rule, slot: Slot, asked: tuple[Asked, ...], readings: tuple[Reading, ...]
) -> tuple[Settled, ...]:
    """Parts specified here must agree; one that only may be specified here settles nothing by itself."""
    if not asked:
        return ()
    sure = tuple(against(case, rule, demand, readings) for demand in asked if demand.lends.holds)
    perhaps = tuple(demand for demand in asked if demand.lends.holds is None)
    facts = distinct(fact for demand in perhaps for fact in demand.lends.missing)
    if not sure:
        return (Settled(Weighed(Answer.UNKNOWN, "which part is specified here is not known"), facts),)
    together = agreed((*sure, *(against(case, rule, demand, readings) for demand in perhaps)))
    alone = agreed(sure)
    if alone.answer is together.answer:
        return (_with_facts(case, rule, slot, together),)
    return (Settled(Weighed(Answer.UNKNOWN, together.reason), facts),)


def _worst(results: list[Settled]) -> Settled:
    if len(results) == 1:
        return results[0]
    chosen = worst(tuple(settled.weighed for settled in results))
    facts = distinct(fact for settled in results for fact in settled.missing)
    return Settled(chosen, facts if chosen.answer is Answer.UNKNOWN else ())


def _heard(case: Case, rule: Rule, base: Settled) -> Settled:
    """What makers' statements add to the data: specified here first, then a listing by the part's own maker."""
    listed = case.listed if rule.aspect in SETTLED_BY_LISTING else no("not a question of fit or performance")
    if listed.holds is False and case.specified.holds is False:
        return base
    unspecified = _under(case, listed, _stated(base, f"{case.candidate.maker} lists it for this engine"), base)
    return _under(case, case.specified, _stated(base, "the engine's maker specifies it here"), unspecified)


def _under(case: Case, statement: Truth, if_so: Settled, if_not: Settled) -> Settled:
    if statement.holds is not None:
        return if_so if statement.holds else if_not
    if if_so.weighed.answer is if_not.weighed.answer and if_so.weighed.answer is not Answer.UNKNOWN:
        return if_not
    return Settled(Weighed(Answer.UNKNOWN, if_not.weighed.reason or if_so.weighed.reason), statement.missing)


def _stated(base: Settled, words: str) -> Settled:
    if base.weighed.answer is Answer.UNKNOWN:
        return Settled(Weighed(Answer.MET, words), basis=Basis.MAKER_STATEMENT)
    if base.weighed.answer is not Answer.NOT_MET:
        return base
    reason = f"{words}, and the record contradicts it: {base.weighed.reason}"
    question = Fact("candidate: record against maker's statement", f"Measure the part or read its label: {reason}.")
    return Settled(Weighed(Answer.UNKNOWN, reason, base.weighed.margin), (question,), data_error=reason)


def _with_facts(case: Case, rule: Rule, slot: Slot, weighed: Weighed) -> Settled:
    if weighed.answer is not Answer.UNKNOWN:
        return Settled(weighed)
    lacks = tuple(_lack(case, member, slot) for member in weighed.lacks)
    asks = (_need(case, rule, slot),) if weighed.asks or not lacks else ()
    return Settled(weighed, distinct((*lacks, *asks)))


def _lack(case: Case, member: str, slot: Slot) -> Fact:
    name = case.rulebook.attribute_name(member) + (f" ({slot.replace('_', ' ')})" if slot else "")
    return Fact(f"candidate: {name}", f"What is the {name} of {case.candidate.shown}? Measure it or read the label.")


def _need(case: Case, rule: Rule, slot: Slot) -> Fact:
    name = rule.name + (f" ({slot.replace('_', ' ')})" if slot else "")
    return Fact(f"position: {name}", f"What does the {case.position.shown} need: {name}?")


def _of_piece(case: Case, rule: Rule) -> bool:
    definition = case.rulebook.attributes.get(rule.attributes[0])
    return definition is not None and definition.of_piece


def _when(case: Case, when: When) -> Truth:
    application = case.where.application
    if when.fact is WhenFact.FUEL_BURNED:
        return any_of(_burned(case, code) for code in when.one_of)
    if when.fact is WhenFact.SERVICE_CLASS:
        classes = {service.code for service in services(case)}
        if not classes:
            return unknown(
                Fact("position: fuel service class", f"Which fuel service reaches the {case.position.shown}?")
            )
        return YES if classes & set(when.one_of) else no("fuel service class")
    if when.fact is WhenFact.PLACE_OF_USE:
        return _told(application.place_of_use, when, PLACE_OF_USE)
    flag = {WhenFact.DUSTY: application.dusty, WhenFact.CERTIFIED: application.certified,
            WhenFact.ECU: application.ecu}[when.fact]  # fmt: skip
    return _told(None if flag is None else "yes" if flag else "no", when, QUESTIONS[when.fact])


QUESTIONS = {
    WhenFact.DUSTY: Fact("dusty place", "Does the engine run in dust?"),
    WhenFact.CERTIFIED: Fact("emission certificate", "Is the engine emission-certified? See the emission label."),
    WhenFact.ECU: Fact("engine controller", "Does the engine have an electronic controller?"),
}


def _told(found: str | None, when: When, fact: Fact) -> Truth:
    if found is None:
        return unknown(fact)
    return YES if found in when.one_of else no(fact.name)


def _burned(case: Case, code: str) -> Truth:
    burns = case.where.burned.burns(code)
    return unknown(case.where.burned.asks) if burns is None else Truth(burns, because=() if burns else ("fuel",))


def _finding(
    case: Case, rule: Rule, slot: Slot, asked: tuple[Asked, ...], settled: Settled, *, counted: bool
) -> Finding:
    weighed, offers = settled.weighed, case.candidate.at((rule.attributes[0], slot))
    offer: Offer | None = offers[0] if offers else None
    effect = _effect(rule, weighed.answer)
    return Finding(
        attribute=rule.code,
        outcome=weighed.answer,
        effect=effect,
        text=sentence(rule, slot, weighed, asked[0].shown if asked else None, offer),
        source=rule.source,
        slot=slot,
        demand=asked[0].shown if asked else None,
        offer=replace(offer, basis=settled.basis) if offer and settled.basis is Basis.MAKER_STATEMENT else offer,
        margin=weighed.margin,
        condition=_condition(rule, weighed, effect),
        missing=settled.missing,
        worst=max(rule.when_not_met, rule.when_unknown, key=_STRENGTH.__getitem__),
        lead=Lead.SHUT_OFF_AND_EMISSION if rule.aspect in _LEADING else Lead.RULE,
        rank=rule.rank,
        critical=rule.when_not_met is Effect.REJECT,
        counted=counted,
        approvable_by=rule.approvable_by,
        data_error=settled.data_error,
    )


def _effect(rule: Rule, answer: Answer) -> Effect:
    if answer is Answer.NOT_MET:
        return rule.when_not_met
    if answer is Answer.UNKNOWN:
        return rule.when_unknown
    return Effect.CONDITION if answer is Answer.MET_IF else Effect.NONE


def _condition(rule: Rule, weighed: Weighed, effect: Effect) -> str:
    if effect is not Effect.CONDITION:
        return ""
    if weighed.answer is Answer.UNKNOWN:
        return f"the supplier states the {rule.name}"
    return weighed.condition or rule.condition or f"the {rule.name} is checked: {weighed.reason}"


def _not_asked(rule: Rule, slot: Slot, why: str) -> Finding:
    text = f"{rule.name[:1].upper()}{rule.name[1:]}: {why}."
    return Finding(rule.code, Answer.MET, Effect.NOT_ASKED, text, rule.source, slot, rank=rule.rank, counted=False)
