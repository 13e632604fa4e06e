"""Each rule of the position's category weighed: demands and offers compared, statements heard, effect decided."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from catalog.domain import when_facts
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
    any_of,
    no,
)
from catalog.domain.base_answers import Settled, base_answer
from catalog.domain.case import Case
from catalog.domain.demands import Asked, asked_of, heard
from catalog.domain.findings import Finding, Lead
from catalog.domain.parts import SuppliedAs
from catalog.domain.rule_words import sentence
from catalog.domain.rules import Rule
from catalog.domain.values import Offer, Slot
from catalog.domain.weighing import Weighed, unknown_at_best

_NOT_BY_LISTING = no("not a question of fit or performance")
_ENDLESS = frozenset({SuppliedAs.CUT_LENGTH, SuppliedAs.VOLUME})
_LEADING = frozenset({Aspect.SHUT_OFF, Aspect.EMISSION})


def weigh_rules(case: Case) -> tuple[Finding, ...]:
    """Findings of every rule and slot that asks anything, in no particular order."""
    if case.category is None:
        return ()
    found = [weigh_rule(case, rule, slot) for rule in case.category.rules for slot in rule.slots]
    return tuple(finding for finding in found if finding is not None)


class Demanded(NamedTuple):
    """Whether a rule is asked, and what is asked by it: the same for every part that nobody makes a statement about."""

    applies: Truth
    asked: tuple[Asked, ...]


def demanded(case: Case, rule: Rule, slot: Slot) -> Demanded:
    """Where the rule is not asked here, nothing is asked by it."""
    applies = when_facts.holds(case, rule.when) if rule.when else YES
    return Demanded(applies, () if applies.holds is False else asked_of(case, rule, slot))


def weigh_rule(case: Case, rule: Rule, slot: Slot, known: Demanded | None = None) -> Finding | None:
    """One rule in one slot; None where nobody asks anything of it and it says nothing. `known` is what is demanded."""
    applies, asked = known or demanded(case, rule, slot)
    if applies.holds is False:
        return _not_asked(rule, slot, "this is not asked here")
    if case.candidate.supplied_as in _ENDLESS and _of_piece(case, rule):
        return _not_asked(rule, slot, "goods sold by length or volume have none")
    if not asked and (rule.only_where_stated or rule.when_not_met is not Effect.REJECT):
        return None
    settled = base_answer(case, rule, slot, asked)
    if not case.unspoken_for:
        settled = _heard(case, rule, settled)
    if rule.asks is not None:
        settled = _left_to_ask(rule, settled)
    if applies.holds is None and settled.weighed.answer is not Answer.MET:
        # What the engine burns says which part is specified; until it is known, nothing else is worth asking.
        by_fuel = case.where.burned.asks in settled.missing
        missing = settled.missing if by_fuel else applies.missing
        settled = Settled(unknown_at_best(settled.weighed), settled.demand, missing)
    return _finding(case, (rule, slot), settled, counted=applies.holds is True)


def _heard(case: Case, rule: Rule, base: Settled) -> Settled:
    """What makers' statements add to the data: specified here first, then a listing by the part's own maker."""
    if rule.inside_assembly:
        words = "it lies inside an assembly that a maker names whole for this engine, judged by what is marked on it"
        whole = Settled(Weighed(Answer.MET, words), basis=Basis.MAKER_STATEMENT)
        return _under(any_of((case.specified, case.listed)), whole, base)
    listed = case.listed if rule.aspect in SETTLED_BY_LISTING else _NOT_BY_LISTING
    if listed.holds is False and case.specified.holds is False:
        return base
    unspecified = _under(listed, _as_listed(case, rule, base), base)
    return _under(case.specified, _stated(case, rule, base, "the engine's maker specifies it here"), unspecified)


def _as_listed(case: Case, rule: Rule, base: Settled) -> Settled:
    """A listing by the part's own maker lifts no condition: what is only noted or asked for stays as it was weighed."""
    if base.weighed.answer is Answer.NOT_MET and rule.when_not_met is not Effect.REJECT:
        return base
    return _stated(case, rule, base, f"{case.candidate.maker} lists it for this engine")


def _left_to_ask(rule: Rule, settled: Settled) -> Settled:
    """What is not met, where it is for somebody else to refuse: unknown, and they are asked."""
    if rule.asks is None or settled.weighed.answer is not Answer.NOT_MET:
        return settled
    unknown = settled.weighed._replace(answer=Answer.UNKNOWN)
    return settled._replace(weighed=unknown, missing=(rule.asks,))


def _under(statement: Truth, if_so: Settled, if_not: Settled) -> Settled:
    if statement.holds is not None:
        return if_so if statement.holds else if_not
    if if_so.weighed.answer is if_not.weighed.answer and if_so.weighed.answer is not Answer.UNKNOWN:
        return if_not
    weighed = unknown_at_best(if_not.weighed)
    return Settled(weighed._replace(reason=weighed.reason or if_so.weighed.reason), if_not.demand, statement.missing)


def _stated(case: Case, rule: Rule, base: Settled, words: str) -> Settled:
    """What is not recorded is met on a maker's statement; a record against it is an error in the data.

    So too for a listing by the part's own maker: were its contradiction a refusal, taking the record away would turn
    a no into a yes.
    """
    weighed = base.weighed
    if weighed.answer is Answer.NOT_MET or Answer.NOT_MET in weighed.disputed:
        return _contradicted(case, rule, base, words)
    if weighed.answer is not Answer.UNKNOWN:
        return base
    return Settled(Weighed(Answer.MET, words), base.demand, basis=Basis.MAKER_STATEMENT)


def _contradicted(case: Case, rule: Rule, base: Settled, words: str) -> Settled:
    weighed, shown = base.weighed, case.candidate.shown
    reason = f"{words}, and the record contradicts it: {weighed.reason}"
    question = Fact(
        "candidate: record against maker's statement",
        f"Measure {shown} or read its label: {words}, and its {rule.name} is recorded otherwise ({weighed.reason}).",
    )
    place = f"{case.position.shown[:1].upper()}{case.position.shown[1:]}"
    error = f"{place}, {rule.name}: {words}, and the record of {shown} contradicts it ({weighed.reason})."
    unknown = Weighed(Answer.UNKNOWN, reason, weighed.margin, recorded_against=True)
    return Settled(unknown, base.demand, (question,), data_error=error)


def _of_piece(case: Case, rule: Rule) -> bool:
    definition = case.rulebook.attributes.get(rule.attributes[0])
    return definition is not None and definition.of_piece


def _finding(case: Case, asked_in: tuple[Rule, Slot], settled: Settled, *, counted: bool) -> Finding:
    (rule, slot), weighed = asked_in, settled.weighed
    offers = heard(case.candidate, (rule.attributes[0], slot), rule.aspect)
    offer: Offer | None = offers[0] if offers else None
    effect = _effect(rule, weighed)
    return Finding(
        rule.code,
        weighed.answer,
        effect,
        sentence(rule, slot, weighed, settled.demand, offer),
        rule.source,
        slot,
        settled.demand,
        replace(offer, basis=settled.basis) if offer and settled.basis is Basis.MAKER_STATEMENT else offer,
        weighed.margin,
        _condition(rule, weighed) if effect is Effect.CONDITION else "",
        settled.missing,
        rule.worst,
        Lead.SHUT_OFF_AND_EMISSION if rule.aspect in _LEADING else Lead.RULE,
        rule.rank,
        rule.critical,
        counted,
        rule.approvable_by,
        settled.data_error,
    )


def _effect(rule: Rule, weighed: Weighed) -> Effect:
    answer = weighed.answer
    if answer is Answer.MET:
        return Effect.NONE
    if answer is Answer.NOT_MET:
        return rule.when_not_met
    if answer is Answer.UNKNOWN:
        # A supplier can state what is not recorded; what is recorded and speaks against it is more than that.
        would_reject = rule.when_not_met is Effect.REJECT and weighed.recorded_against
        return Effect.UNDETERMINED if would_reject else rule.when_unknown
    # Nearly met is never worse than not met; only what asks for room is a condition whatever the rule says.
    only_noted = rule.when_not_met is Effect.NOTE and rule.taken_over is not TakenOver.CLEARANCE
    return Effect.NOTE if only_noted else Effect.CONDITION


def _condition(rule: Rule, weighed: Weighed) -> str:
    if weighed.answer is Answer.UNKNOWN:
        return f"the supplier states the {rule.name}"
    return weighed.condition or rule.condition or f"the {rule.name} is checked: {weighed.reason}"


def _not_asked(rule: Rule, slot: Slot, why: str) -> Finding:
    text = f"{rule.name[:1].upper()}{rule.name[1:]}: {why}."
    return Finding(rule.code, Answer.MET, Effect.NOT_ASKED, text, rule.source, slot, rank=rule.rank, counted=False)
