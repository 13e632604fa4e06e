"""A question answered: the position found, each part judged, the set taken together, conflicts and cautions said."""

from __future__ import annotations

from collections import Counter
from collections.abc import Set as AbstractSet
from dataclasses import replace

from catalog.domain.answers import COMMON_PRACTICE, Answer, Effect, Fact, Verdict, distinct
from catalog.domain.applicability import Where
from catalog.domain.brought_along import adapters_on_hold
from catalog.domain.case import Case
from catalog.domain.conflicts import with_the_plate
from catalog.domain.deciding import findings_of, judge
from catalog.domain.findings import Finding, Lead
from catalog.domain.folding import Folded, fold
from catalog.domain.given_along import adapters_unheard, told_of_elsewhere, with_adapters_placed
from catalog.domain.kept_findings import for_a_technician, side_of, weighed
from catalog.domain.kit_candidates import judge_contents
from catalog.domain.no_position import made_for_other_fuels
from catalog.domain.not_weighed import told_not_weighed
from catalog.domain.part_against_part import set_beside
from catalog.domain.parts import SPECIFIES, MatchedSet, Part, PartKey, Position
from catalog.domain.questions import Decision, Engine, Item, Question, Use
from catalog.domain.rules import Approver
from catalog.domain.superseding import CODE as CHAIN
from catalog.domain.superseding import (
    Superseded,
    in_its_chain,
    perhaps_standing,
    sets_for,
    sets_with,
    superseded,
    with_replacements,
)


def decide(question: Question) -> Decision:
    """Answer a question. The same question and rulebook give the same answer, always."""
    if question.engine is None:
        return set_beside(question)
    positions = positions_meant(question, question.engine)
    if len(positions) != 1:
        return _which_position(question, question.engine, positions)
    return _at(question, question.engine, positions[0])


def positions_meant(question: Question, engine: Engine) -> tuple[Position, ...]:
    """The position asked about: by its code, else the only one naming the part, else the only one of its category."""
    if question.position is not None:
        return tuple(position for position in engine.positions if position.code == question.position)
    keys = {item.part.key for item in question.candidate} | ({question.replaces.key} if question.replaces else set())
    named = _naming(engine, keys) or _naming(engine, in_its_chain(question))
    categories = {question.candidate[0].part.category} | ({question.replaces.category} if question.replaces else set())
    return named or tuple(position for position in engine.positions if position.category in categories)


def _naming(engine: Engine, keys: AbstractSet[PartKey]) -> tuple[Position, ...]:
    codes = {s.position for s in engine.statements if s.part.key in keys and s.kind in SPECIFIES}
    return tuple(position for position in engine.positions if position.code in codes)


def _which_position(question: Question, engine: Engine, found: tuple[Position, ...]) -> Decision:
    refused = () if found or question.position is not None else made_for_other_fuels(question, engine)
    if refused:
        text = " ".join(finding.text for finding in refused)
        return Decision(Verdict.REJECTED, text, findings=refused, conflicts=with_the_plate(question.where))
    choices = found or engine.positions
    listed_codes = ", ".join(position.code for position in choices) or "none is recorded"
    fact = Fact("position", f"Which position of {engine.name} is meant: {listed_codes}?")
    several = "several positions could be meant" if found else "no position here takes such a part"
    text = f"Cannot tell which position of {engine.name} is meant: {several}."
    finding = Finding("position", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, missing=(fact,),
                      worst=Effect.REJECT)  # fmt: skip
    return Decision(
        Verdict.UNDETERMINED, text, findings=(finding,), missing=(fact,),
        conflicts=with_the_plate(question.where),
    )  # fmt: skip


def _at(question: Question, engine: Engine, position: Position) -> Decision:
    where = question.where
    today = superseded(question, where, position.quantity)
    if today.open:
        return _which_number(question, position, today, where)
    if today.items is not question.candidate:
        question = replace(question, candidate=today.items)
    engine = with_replacements(engine, question.replacements, where)
    pieces = _pieces(question, today, sets_for(position.code, engine, question.replacements, where))
    placed = [(item, _place(engine, position, item) if item.part.key in pieces else position) for item in today.items]
    cases = tuple(
        _within(position, case_of(question, engine, place, where, _held(item, position, place)))
        for item, place in placed
    )
    cases, given = _given_along(position, cases, today)
    unheard = (note for case in cases for note in told_not_weighed(case, (one for one, _ in side_of(case).weighings)))
    counts = (*counting(question, position, cases[0], today.sets), *given, *unheard)
    folded = _perhaps_replacing(question, engine, position, cases, counts)
    sides = [side_of(case) for case in cases]
    return Decision(
        verdict=folded.verdict,
        headline=" ".join((*(note.text for note in today.notes), folded.headline)),
        position=position.code,
        use=_use(question, position, cases[0], today),
        chain=today.chain,
        findings=(*folded.findings, *today.notes),
        conditions=folded.conditions,
        missing=folded.missing,
        conflicts=(*with_the_plate(where), *distinct(text for side in sides for text in side.conflicts)),
        catalogue_errors=distinct(f.data_error for f in folded.findings if f.data_error),
        cautions=sides[0].cautions if len(sides) == 1 else distinct(c for side in sides for c in side.cautions),
        approvable_by=folded.approvable_by,
    )


def _given_along(
    position: Position, cases: tuple[Case, ...], today: Superseded
) -> tuple[tuple[Case, ...], tuple[Finding, ...]]:
    """Adapters on the piece of a set that they join, and what of all that was given can not be weighed."""
    notes: tuple[Finding, ...] = ()
    if today.joined:
        cases, notes = with_adapters_placed(cases, today.joined, position)
    if all(case.position is position for case in cases):
        return cases, (*notes, *today.unheard)
    return cases, (*notes, *today.unheard, *told_of_elsewhere(position, cases))


def _perhaps_replacing(
    question: Question, engine: Engine, position: Position, cases: tuple[Case, ...], counts: tuple[Finding, ...]
) -> Folded:
    """What would tell whether a number stands for a specified one is asked where that could change the answer.

    A refusal that would be none if it did is none before that is known; at the gate it stays one either way.
    """
    folded = _together(position, cases, counts)
    if folded.verdict is Verdict.ACCEPTED or not question.replacements.numbered:
        return folded
    assumed, facts = perhaps_standing(question, engine, cases[0].where)
    if not facts:
        return folded
    if_so = _together(position, tuple(replace(case, statements=assumed.statements) for case in cases), counts)
    if (if_so.verdict, if_so.missing) == (folded.verdict, folded.missing):
        return folded
    names = " and ".join(case.candidate.shown for case in cases)
    text = f"Cannot tell whether {names} stands here for what the engine's maker specifies."
    asked = Finding(CHAIN, Answer.UNKNOWN, Effect.NOTE, text, COMMON_PRACTICE, missing=facts, worst=Effect.REJECT)
    if folded.verdict is not Verdict.REJECTED:
        return _together(position, cases, (*counts, asked))
    return folded if if_so.verdict is Verdict.REJECTED else _left_open(folded, asked)


def _left_open(refused: Folded, asked: Finding) -> Folded:
    """What refuses is unknown until it is told whether the engine's maker specifies the part."""
    opened = (
        found._replace(outcome=Answer.UNKNOWN, effect=Effect.UNDETERMINED, missing=(*found.missing, *asked.missing))
        if found.effect is Effect.REJECT
        else found
        for found in refused.findings
    )
    leading = asked._replace(effect=Effect.UNDETERMINED, lead=Lead.EXCLUSION)
    return fold((leading, *opened), accepted_words="")


def _held(item: Item, position: Position, place: Position) -> Item:
    """A piece of a set with a place of its own is on hold by what was reported there, and of the whole set."""
    if not item.holds:
        return item
    return replace(item, holds=tuple(hold for hold in item.holds if hold.position in (position.code, place.code)))


def _pieces(question: Question, today: Superseded, sets: tuple[MatchedSet, ...]) -> frozenset[PartKey]:
    """Those of the candidate that are a piece of such a set: it took a number's place, or is offered whole."""
    return frozenset(
        key for one in sets for key, _ in one.members if key in today.why or _sets_offered(question, one)
    )  # fmt: skip


def _within(position: Position, case: Case) -> Case:
    return case if case.position is position or not case.reported else replace(case, within=(position.code,))


def _place(engine: Engine, position: Position, item: Item) -> Position:
    """Where a piece goes that with others takes the place of one number specified here: where it is named alone."""
    own = [said.position for said in engine.statements
           if said.part.key == item.part.key and said.kind in SPECIFIES and not said.in_place_of]  # fmt: skip
    places = [place for place in engine.positions if place.code in own]
    return places[0] if len(places) == 1 else position


def _which_number(question: Question, position: Position, today: Superseded, where: Where) -> Decision:
    """A chain in error, or one that a missing fact leaves open, before anything is compared."""
    names = " and ".join(item.part.shown for item in question.candidate)
    asked = ", ".join(fact.name for fact in today.missing)
    errors = " ".join(error.text for error in today.errors)
    text = errors or f"Cannot tell which number serves here for {names} before this is known: {asked}."
    finding = Finding(CHAIN, Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, missing=today.missing,
                      worst=Effect.REJECT)  # fmt: skip
    return Decision(
        Verdict.UNDETERMINED, text, position.code, chain=today.chain, findings=(finding,), missing=today.missing,
        conflicts=with_the_plate(where), catalogue_errors=tuple(error.text for error in today.errors),
        chain_errors=today.errors,
    )  # fmt: skip


def case_of(question: Question, engine: Engine, position: Position, where: Where, item: Item) -> Case:
    """One part of the candidate at the position; a piece of a matched set that is offered whole stands for itself."""
    own, code = item.part.member_of, position.code
    sets = (own,) if own is not None else sets_with(item.part, engine.statements, code, where)
    alone = sets[0] if sets and not any(_sets_offered(question, one) for one in sets) else None
    return Case(
        rulebook=question.rulebook,
        where=where,
        position=position,
        candidate=item.part if item.part.member_of is alone else replace(item.part, member_of=alone),
        statements=engine.statements,
        found=question.replaces,
        fuels_built_for=engine.fuels,
        adapters=item.adapters,
        holds=item.holds,
        reported=question.reported,
    )


def _sets_offered(question: Question, matched: MatchedSet) -> int:
    """How often every piece of the set is offered, in number."""
    offered = Counter[PartKey]()
    for item in question.candidate:
        offered[item.part.key] += item.quantity or 1
    return min((offered[key] // count for key, count in matched.members), default=1)


def _together(position: Position, cases: tuple[Case, ...], counts: tuple[Finding, ...]) -> Folded:
    """The worst member decides; `counts` is what holds for all of them."""
    kit = bool(position.inside) or (cases[0].category is not None and cases[0].category.kit)
    if len(cases) == 1 and not kit:
        return judge(cases[0], counts)
    findings = list(for_a_technician(cases[0], counts))
    for case in cases:
        member = _of_kit(case) if kit else findings_of(case)
        findings += [f._replace(text=f"{case.candidate.shown}: {f.text}") if len(cases) > 1 else f for f in member]
    names = " and ".join(case.candidate.shown for case in cases)
    return fold(findings, accepted_words=f"{names}: all that the {position.shown} asks is met.")


def _of_kit(case: Case) -> tuple[Finding, ...]:
    unheard = adapters_unheard(case.adapters, "what a kit holds goes to places of its own")
    return for_a_technician(case, (*weighed(case), *adapters_on_hold(case), *unheard, *judge_contents(case)))


def counting(
    question: Question, position: Position, case: Case, sets: tuple[MatchedSet, ...] = ()
) -> tuple[Finding, ...]:
    """What the number asked for comes to, whatever the part; `sets` are such as replace one piece.

    Fewer than the position takes is a condition where all are replaced together; all of them is a note.
    """
    category = case.category
    if any(item.quantity is None for item in question.candidate) or category is None or not category.replace_together:
        return ()
    offered = _offered(question, position, case, sets)
    if position.quantity is None or offered > position.quantity:
        return ()
    if offered == position.quantity:
        text = f"All {position.quantity} are replaced together."
        return (Finding("quantity", Answer.MET, Effect.NOTE, text, COMMON_PRACTICE),)
    condition = f"all {position.quantity} are replaced together"
    text = f"{offered} asked for where the engine has {position.quantity} that wear together."
    return (
        Finding("quantity", Answer.MET_IF, Effect.CONDITION, text, COMMON_PRACTICE, condition=condition,
                worst=Effect.CONDITION, approvable_by=Approver.SERVICE_MANAGER),
    )  # fmt: skip


def _offered(question: Question, position: Position, case: Case, sets: tuple[MatchedSet, ...]) -> int:
    """How many of what the position takes; a set that replaces one of them counts as one."""
    found = sets or tuple(one for item in question.candidate for one in _replacing(item.part, position, case))
    if found:
        return max(_sets_offered(question, one) for one in found)
    return sum(item.quantity or 0 for item in question.candidate)


def _replacing(part: Part, position: Position, case: Case) -> tuple[MatchedSet, ...]:
    return sets_with(part, case.statements, position.code, case.where)


def _use(question: Question, position: Position, case: Case, today: Superseded) -> tuple[Use, ...]:
    if len(question.candidate) > 1:
        return tuple(
            Use(item.part, item.quantity, today.why.get(item.part.key, "all of the set")) for item in question.candidate
        )
    item = question.candidate[0]
    why = today.why.get(item.part.key, "")
    if case.category and case.category.replace_together and position.quantity:
        sets = today.sets or _replacing(item.part, position, case)
        each = next((count for one in sets for _, count in one.members), 1)
        words = f"{why} Replace all together." if why else "replace all together"
        return (Use(item.part, position.quantity * each, words),)
    return (Use(item.part, item.quantity or position.quantity, why),)
