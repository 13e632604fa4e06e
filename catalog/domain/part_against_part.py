"""Without an engine: part against part, never better than undetermined.

The need belongs to the position, not to the old part, so agreement proves nothing here; only a conflict that no
engine could resolve refuses.
"""

from __future__ import annotations

from catalog.domain.answers import COMMON_PRACTICE, YES, Answer, Basis, Effect, Fact, TakenOver
from catalog.domain.applicability import located
from catalog.domain.case import Case
from catalog.domain.demands import Asked, offered
from catalog.domain.findings import Finding, Lead
from catalog.domain.folding import fold
from catalog.domain.fuels import Fuel
from catalog.domain.parts import FUELS, SERVICE, Part, Position
from catalog.domain.questions import Decision, Question, Use
from catalog.domain.rules import RATINGS, Category, FuelRole, Rule
from catalog.domain.values import Demand
from catalog.domain.weighing import Weighed
from catalog.domain.weighing_rules import against

_ENGINE = Fact("engine", "Which engine is it for: model, specification number and serial from the engine plate?")


def set_beside(question: Question) -> Decision:
    """The differences side by side, and the questions that would settle them."""
    part, other = question.candidate[0].part, question.replaces
    if other is None:
        text = f"Nothing to compare {part.shown} with: no engine is given and no part it is to replace."
        return _decision(question, (_open(text, _ENGINE),))
    category = question.rulebook.categories.get(other.category)
    if category is None:
        return _decision(question, (_open(f"No rules are published for {other.shown}.", _ENGINE),))
    case = Case(question.rulebook, located(question.application, question.rulebook.fuels),
                Position(other.category, other.category), part, found=other)  # fmt: skip
    findings = [*_category(question, category, part), *_fuel(category, part, other)]
    findings += [f for rule in category.rules for slot in rule.slots if (f := _rule(case, rule, slot, other))]
    findings.append(_open(f"Whether {part.shown} may replace {other.shown} depends on the engine.", _ENGINE))
    return _decision(question, tuple(findings))


def _decision(question: Question, findings: tuple[Finding, ...]) -> Decision:
    folded = fold(findings, accepted_words="")
    item = question.candidate[0]
    return Decision(
        folded.verdict, folded.headline, use=(Use(item.part, item.quantity),), findings=folded.findings,
        missing=folded.missing,
    )  # fmt: skip


def _category(question: Question, wanted: Category, part: Part) -> list[Finding]:
    pairs = {(entry.offered, entry.position) for entry in question.rulebook.may_serve}
    if part.category == wanted.code or (part.category, wanted.code) in pairs:
        return []
    offered_category = question.rulebook.categories.get(part.category)
    noun = offered_category.noun if offered_category else part.category.replace("_", " ")
    text = f"A {noun} never takes the place of a {wanted.noun}."
    return [_finding("category", Answer.NOT_MET, Effect.REJECT, text, lead=Lead.CATEGORY)]


def _fuel(wanted: Category, part: Part, other: Part) -> list[Finding]:
    """No fuel in common at all is a conflict by nature; anything shared is a question for the engine."""
    if wanted.fuel_role is FuelRole.NONE:
        return []
    by_class = wanted.fuel_role in (FuelRole.METERING, FuelRole.WETTED)
    places = [(SERVICE, port) for port in wanted.ports] if by_class else [(FUELS, None)]
    found = []
    for place in places:
        ours = {_bare(code) for offer in part.at(place) for code in offer.value.codes}
        theirs = {_bare(code) for offer in other.at(place) for code in offer.value.codes}
        if ours and theirs and not ours & theirs and wanted.fuel_role is not FuelRole.WETTED:
            text = f"Made for {_words(ours)}, where {other.shown} is made for {_words(theirs)}: nothing in common."
            found.append(_finding(place[0], Answer.NOT_MET, Effect.REJECT, text, lead=Lead.GATE))
    return found


def _rule(case: Case, rule: Rule, slot: str | None, other: Part) -> Finding | None:
    theirs, ours = offered(other, rule, slot), offered(case.candidate, rule, slot)
    leading = other.at((rule.attributes[0], slot))
    if not theirs or not leading:
        return None
    shown = Demand(theirs[0].get(rule.attributes[0], leading[0].value), Basis.SPECIFIED_PART, leading[0].source)
    weighed = against(case, rule, Asked(theirs[0], shown, TakenOver.SAME, YES), ours or ({},))
    return _difference(rule, slot, shown, case.candidate, weighed)


def _difference(rule: Rule, slot: str | None, shown: Demand, part: Part, weighed: Weighed) -> Finding:
    offers = part.at((rule.attributes[0], slot))
    by_nature = rule.comparison.kind not in RATINGS and rule.taken_over is TakenOver.SAME
    effect = Effect.NOTE
    if weighed.answer is Answer.NOT_MET and by_nature and rule.when_not_met is Effect.REJECT:
        effect = Effect.REJECT
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


def _words(codes: set[str]) -> str:
    return ", ".join(sorted(code.replace("_", " ") for code in codes))
