"""Without an engine: part against part, never better than undetermined.

The need belongs to the position, not to the old part, so agreement proves nothing here; only a conflict that no
engine could resolve refuses.
"""

from __future__ import annotations

from catalog.domain.answers import COMMON_PRACTICE, YES, Answer, Basis, Effect, Fact, TakenOver, distinct
from catalog.domain.base_answers import against
from catalog.domain.case import Case
from catalog.domain.cautions import cautions_for
from catalog.domain.demands import Asked, offered
from catalog.domain.findings import Finding, Lead
from catalog.domain.folding import fold
from catalog.domain.fuels import Fuel
from catalog.domain.given_along import adapters_unheard
from catalog.domain.parts import FUELS, SERVICE, Part, Position
from catalog.domain.questions import Decision, Question, Use
from catalog.domain.rule_words import with_article
from catalog.domain.rules import RATINGS, Category, FuelRole, Rule, Rulebook
from catalog.domain.values import Demand
from catalog.domain.weighing import Weighed

_ENGINE = Fact("engine", "Which engine is it for: model, specification number and serial from the engine plate?")


def set_beside(question: Question) -> Decision:
    """The differences side by side, and the questions that would settle them."""
    several = len(question.candidate) > 1
    findings: list[Finding] = []
    for item in question.candidate:
        found = (*_beside(question, item.part), *adapters_unheard(item.adapters, "no engine is given"))
        findings += [f._replace(text=f"{item.part.shown}: {f.text}") if several else f for f in found]
    folded = fold(findings, accepted_words="")
    return Decision(
        folded.verdict,
        folded.headline,
        use=tuple(Use(item.part, item.quantity) for item in question.candidate),
        findings=folded.findings,
        missing=folded.missing,
        cautions=distinct(
            caution for item in question.candidate for caution in cautions_for(_case(question, item.part))
        ),
    )


def _case(question: Question, part: Part) -> Case:
    """The part as if at a place of the other's category, of which nothing but that is known."""
    category = question.replaces.category if question.replaces else part.category
    where = question.where
    return Case(question.rulebook, where, Position(category, category), part, found=question.replaces)


def _beside(question: Question, part: Part) -> tuple[Finding, ...]:
    case, other = _case(question, part), question.replaces
    if other is None:
        text = f"Nothing to compare {part.shown} with: no engine is given and no part it is to replace."
        return (_open(text, _ENGINE),)
    category = case.category
    if category is None:
        return (_open(f"No rules are published for {other.shown}.", _ENGINE),)
    findings = [*_category(question, category, part), *_fuel(question.rulebook, category, part, other)]
    findings += [f for rule in category.rules for slot in rule.slots if (f := _rule(case, rule, slot, other))]
    return (*findings, _open(f"Whether {part.shown} may replace {other.shown} depends on the engine.", _ENGINE))


def _category(question: Question, wanted: Category, part: Part) -> list[Finding]:
    pairs = {(entry.offered, entry.position) for entry in question.rulebook.may_serve}
    if part.category == wanted.code or (part.category, wanted.code) in pairs:
        return []
    offered_category = question.rulebook.categories.get(part.category)
    noun = offered_category.noun if offered_category else part.category.replace("_", " ")
    text = f"{with_article(noun, 'A')} never takes the place of {with_article(wanted.noun)}."
    return [_finding("category", Answer.NOT_MET, Effect.REJECT, text, lead=Lead.CATEGORY)]


def _fuel(rulebook: Rulebook, wanted: Category, part: Part, other: Part) -> list[Finding]:
    """No fuel in common at all is a conflict by nature; anything shared is a question for the engine."""
    by_class = wanted.fuel_role in (FuelRole.METERING, FuelRole.WETTED)
    if wanted.fuel_role is FuelRole.NONE or wanted.fuel_role is FuelRole.WETTED:
        return []
    places = [(SERVICE, port) for port in wanted.ports] if by_class else [(FUELS, None)]
    found = []
    for place in places:
        ours = {_bare(code) for offer in part.at(place) for code in offer.value.codes}
        theirs = {_bare(code) for offer in other.at(place) for code in offer.value.codes}
        if ours and theirs and not ours & theirs:
            made_for, for_others = _words(rulebook, ours), _words(rulebook, theirs)
            text = f"Made for {made_for}, where {other.shown} is made for {for_others}: nothing in common."
            found.append(_finding(place[0], Answer.NOT_MET, Effect.REJECT, text, lead=Lead.GATE))
    return found


def _rule(case: Case, rule: Rule, slot: str | None, other: Part) -> Finding | None:
    theirs, ours = offered(other, rule, slot), offered(case.candidate, rule, slot)
    leading = other.at((rule.attributes[0], slot))
    if not theirs or not leading:
        return None
    shown = Demand(theirs[0].get(rule.attributes[0], leading[0].value), Basis.SPECIFIED_PART, leading[0].source)
    weighed = against(case, rule, Asked(theirs[0], shown, TakenOver.SAME, YES), ours or ({},))
    return _difference(case, rule, slot, shown, weighed)


def _by_nature(case: Case, rule: Rule) -> bool:
    """Whether a difference stands on every engine; a rule that depends on the engine or its fuel says no such thing."""
    definition = case.rulebook.attributes.get(rule.attributes[0])
    of_a_fuel = definition is not None and definition.fuel_dependent
    same = rule.taken_over is TakenOver.SAME and rule.comparison.kind not in RATINGS
    return same and not rule.when and not of_a_fuel and rule.when_not_met is Effect.REJECT


def _difference(case: Case, rule: Rule, slot: str | None, shown: Demand, weighed: Weighed) -> Finding:
    offers = case.candidate.at((rule.attributes[0], slot))
    refused = weighed.answer is Answer.NOT_MET and _by_nature(case, rule)
    effect = Effect.REJECT if refused else Effect.NOTE
    theirs, ours = shown.value.shown(), offers[0].value.shown() if offers else "not recorded"
    text = f"{rule.name[:1].upper()}{rule.name[1:]}: {ours}, the other has {theirs}."
    return Finding(rule.code, weighed.answer, effect, text, rule.source, slot, shown, offers[0] if offers else None,
                   weighed.margin, worst=effect, rank=rule.rank)  # fmt: skip


def _open(text: str, fact: Fact) -> Finding:
    return _finding("engine", Answer.UNKNOWN, Effect.UNDETERMINED, text, lead=Lead.RULE, missing=(fact,))


def _finding(
    attribute: str, outcome: Answer, effect: Effect, text: str, *, lead: Lead, missing: tuple[Fact, ...] = ()
) -> Finding:
    return Finding(attribute, outcome, effect, text, COMMON_PRACTICE, missing=missing, worst=Effect.REJECT, lead=lead)


def _bare(code: str) -> str:
    return Fuel.parse(code).code


def _words(rulebook: Rulebook, codes: set[str]) -> str:
    names = {code: rulebook.classes[code].name for code in codes if code in rulebook.classes}
    names |= {code: rulebook.fuels[code].name for code in codes if code in rulebook.fuels}
    return ", ".join(sorted(names.get(code, code.replace("_", " ")) for code in codes))
