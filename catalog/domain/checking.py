"""A question answered: the position found, each part judged, the set taken together, conflicts and cautions said."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Effect, Fact, Verdict, distinct
from catalog.domain.applicability import Where, located
from catalog.domain.case import Case
from catalog.domain.circumstances import circumstances
from catalog.domain.comparing_numbers import as_interval
from catalog.domain.deciding import findings_of, judge
from catalog.domain.demands import asked_of
from catalog.domain.findings import Finding
from catalog.domain.folding import Folded, fold
from catalog.domain.fuels import RecordMode, differs_from_plate, families, listed
from catalog.domain.gate import services
from catalog.domain.kit_candidates import judge_contents
from catalog.domain.part_against_part import set_beside
from catalog.domain.parts import SPECIFIES, Part, Position
from catalog.domain.questions import Decision, Engine, Item, Question, Use
from catalog.domain.rules import Caution, ComparisonKind
from catalog.domain.values import Value


def decide(question: Question) -> Decision:
    """Answer a question. The same question and rulebook give the same answer, always."""
    if question.engine is None:
        return set_beside(question)
    positions = _positions(question, question.engine)
    if len(positions) != 1:
        return _which_position(question, question.engine, positions)
    return _at(question, question.engine, positions[0])


def _positions(question: Question, engine: Engine) -> tuple[Position, ...]:
    """The position asked about: by its code, else the only one naming the part, else the only one of its category."""
    if question.position is not None:
        return tuple(position for position in engine.positions if position.code == question.position)
    keys = {item.part.key for item in question.candidate} | ({question.replaces.key} if question.replaces else set())
    naming = {s.position for s in engine.statements if s.part.key in keys and s.kind in SPECIFIES}
    named = tuple(position for position in engine.positions if position.code in naming)
    categories = {question.candidate[0].part.category} | ({question.replaces.category} if question.replaces else set())
    return named or tuple(position for position in engine.positions if position.category in categories)


def _which_position(question: Question, engine: Engine, found: tuple[Position, ...]) -> Decision:
    choices = found or engine.positions
    listed_codes = ", ".join(position.code for position in choices) or "none is recorded"
    fact = Fact("position", f"Which position of {engine.name} is meant: {listed_codes}?")
    several = "several positions could be meant" if found else "no position here takes such a part"
    text = f"Cannot tell which position of {engine.name} is meant: {several}."
    finding = Finding("position", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, missing=(fact,),
                      worst=Effect.REJECT)  # fmt: skip
    return Decision(
        Verdict.UNDETERMINED, text, findings=(finding,), missing=(fact,),
        conflicts=_plate_conflicts(located(question.application, question.rulebook.fuels)),
    )  # fmt: skip


def _at(question: Question, engine: Engine, position: Position) -> Decision:
    where = located(question.application, question.rulebook.fuels)
    cases = tuple(_case(question, engine, position, where, item) for item in question.candidate)
    folded = _together(question, position, cases)
    use = _use(question, position, cases[0])
    return Decision(
        verdict=folded.verdict,
        headline=folded.headline,
        position=position.code,
        use=use,
        findings=folded.findings,
        conditions=folded.conditions,
        missing=folded.missing,
        conflicts=(*_plate_conflicts(where), *distinct(c for case in cases for c in _demand_conflicts(case))),
        catalogue_errors=distinct(f.data_error for f in folded.findings if f.data_error),
        cautions=_cautions(cases[0]),
        approvable_by=folded.approvable_by,
    )


def _case(question: Question, engine: Engine, position: Position, where: Where, item: Item) -> Case:
    return Case(
        rulebook=question.rulebook,
        where=where,
        position=position,
        candidate=replace(item.part, member_of=None) if _whole_set(question, item.part) else item.part,
        statements=tuple(s for s in engine.statements if s.position == position.code),
        found=question.replaces,
        fuels_built_for=engine.fuels,
        adapters=item.adapters,
    )


def _whole_set(question: Question, part: Part) -> bool:
    """Whether every piece of the matched set is offered, in number."""
    if part.member_of is None:
        return False
    offered = {item.part.key: item.quantity or 1 for item in question.candidate}
    return all(offered.get(key, 0) >= count for key, count in part.member_of.members)


def _together(question: Question, position: Position, cases: tuple[Case, ...]) -> Folded:
    """The worst member decides, and the number offered counts for all of them."""
    counts = _counting(question, position, cases[0])
    if len(cases) == 1 and not position.inside:
        folded = judge(cases[0])
        return fold((*folded.findings, *counts), accepted_words=folded.headline) if counts else folded
    findings: list[Finding] = list(counts)
    for case in cases:
        member = _of_kit(case) if position.inside else findings_of(case)
        findings += [replace(f, text=f"{case.candidate.shown}: {f.text}") if len(cases) > 1 else f for f in member]
    names = " and ".join(case.candidate.shown for case in cases)
    return fold(findings, accepted_words=f"{names}: all that the {position.shown} asks is met.")


def _of_kit(case: Case) -> tuple[Finding, ...]:
    return (*circumstances(case), *judge_contents(case))


def _counting(question: Question, position: Position, case: Case) -> tuple[Finding, ...]:
    """Fewer than the position takes is a condition where all are replaced together; all of them is a note."""
    category = case.category
    counts = [item.quantity for item in question.candidate]
    offered = sum(count or 0 for count in counts)
    if None in counts or category is None or not category.replace_together:
        return ()
    if position.quantity is None or offered > position.quantity:
        return ()
    if offered == position.quantity:
        text = f"All {position.quantity} are replaced together."
        return (Finding("quantity", Answer.MET, Effect.NOTE, text, COMMON_PRACTICE),)
    condition = f"all {position.quantity} are replaced together"
    text = f"{offered} asked for where the engine has {position.quantity} that wear together."
    return (
        Finding("quantity", Answer.MET_IF, Effect.CONDITION, text, COMMON_PRACTICE, condition=condition,
                worst=Effect.CONDITION),
    )  # fmt: skip


def _use(question: Question, position: Position, case: Case) -> tuple[Use, ...]:
    if len(question.candidate) > 1:
        return tuple(Use(item.part, item.quantity, "all of the set") for item in question.candidate)
    item = question.candidate[0]
    if case.category and case.category.replace_together and position.quantity:
        return (Use(item.part, position.quantity, "replace all together"),)
    return (Use(item.part, item.quantity or position.quantity),)


def _plate_conflicts(where: Where) -> tuple[str, ...]:
    application, names = where.application, where.names
    record = differs_from_plate(application.plate_fuels, application.fuel_records)
    if record is None:
        return ()
    plate, found = listed(application.plate_fuels, names), listed(record.fuels, names)
    only = "" if record.mode is RecordMode.BURNS_TODAY else ", the only fuel it can burn now"
    return (f"Plate says {plate}, found on {found} {record.found_on.isoformat()}{only}.",)


def _demand_conflicts(case: Case) -> Iterable[str]:
    """A stated rating that is less than another source asks: the more demanding counts, and it is said."""
    for rule in case.category.rules if case.category else ():
        if rule.comparison.kind not in (ComparisonKind.AT_LEAST, ComparisonKind.AT_MOST):
            continue
        for slot in rule.slots:
            asked = [a.shown for a in asked_of(case, rule, slot) if a.taken_over is None]
            stated = [demand for demand in asked if demand.basis is Basis.STATED]
            for other in asked:
                for own in stated:
                    if other.basis is not Basis.STATED and _weaker(rule.comparison.kind, own.value, other.value):
                        yield (
                            f"{rule.name}: the position states {own.value.shown()}, "
                            f"{other.basis.value.replace('_', ' ')} asks {other.value.shown()}; "
                            "the more demanding counts."
                        )


def _weaker(kind: ComparisonKind, own: Value, other: Value) -> bool:
    if isinstance(own.payload, bool) or own.payload is None or other.payload is None:
        return False
    ours, theirs = as_interval(own).low, as_interval(other).low
    if ours is None or theirs is None:
        return False
    return ours.amount < theirs.amount if kind is ComparisonKind.AT_LEAST else ours.amount > theirs.amount


def _cautions(case: Case) -> tuple[Caution, ...]:
    """The category's cautions that hold for the fuels and the place; where either is unknown, for any of them."""
    codes = case.category.cautions if case.category else ()
    known = (case.rulebook.cautions[code] for code in codes if code in case.rulebook.cautions)
    burned, place = case.where.burned, case.where.application.place_of_use
    present = {*families(burned.fuels, case.where.names), *(service.fuel_family for service in services(case))}
    return tuple(
        caution
        for caution in known
        if (not caution.families or not burned.complete or present & set(caution.families))
        and (not caution.places or place is None or place in caution.places)
    )
