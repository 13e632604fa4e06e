"""Numbers that replace numbers, in a check: which parts are judged for the one asked about, and which a maker means.

What is published of a number is resolved before anything is compared. A chain in error, or one that a missing fact
leaves open, is the answer by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from catalog.domain.answers import Answer, Effect, Fact, distinct
from catalog.domain.applicability import Where
from catalog.domain.findings import Finding
from catalog.domain.given_along import told_of_another
from catalog.domain.parts import SPECIFIES, MatchedSet, Part, PartKey, Statement, StatementKind
from catalog.domain.questions import Engine, Item, Question, Replacements
from catalog.domain.resolving import ChainStep, Resolved, resolve
from catalog.domain.supersession_chains import CatalogueError, Counted, Numbered
from catalog.domain.swapping import old_stock

CODE = "supersession"


@dataclass(frozen=True, slots=True)
class Superseded:
    """What is judged in place of what was asked about; `why` says it of each part that is not the one asked about.

    `sets` are those that replace one piece of what was asked about. `unheard` says what was told of it and is not
    weighed; `joined` are the pieces of each set whose number was named with adapters. Where `errors` or `missing` has
    anything, nothing is judged.
    """

    items: tuple[Item, ...]
    why: Mapping[PartKey, str] = field(default_factory=dict)
    sets: tuple[MatchedSet, ...] = ()
    chain: tuple[ChainStep, ...] = ()
    notes: tuple[Finding, ...] = ()
    errors: tuple[CatalogueError, ...] = ()
    missing: tuple[Fact, ...] = ()
    unheard: tuple[Finding, ...] = ()
    joined: tuple[tuple[PartKey, ...], ...] = ()

    @property
    def open(self) -> bool:
        return bool(self.errors or self.missing)


def superseded(question: Question, where: Where, takes: int | None) -> Superseded:
    """The candidate as it is supplied here today; `takes` is how many the position takes, None where not recorded."""
    known = question.replacements
    asked = [item for item in question.candidate if _is_numbered(item.part, known)]
    if not asked:
        return Superseded(question.candidate)
    lines = [Counted(known.numbered[item.part.key], item.quantity or takes or 1) for item in asked]
    told = dict(
        zip((item.part.key for item in asked), resolve(known.chains, lines, where, blocks=known.blocks), strict=True)
    )
    each = [_judged(item, told[item.part.key] if item in asked else None, question) for item in question.candidate]
    keys = distinct(key for one in each for key in one.why)
    return Superseded(
        items=_each_once([item for one in each for item in one.items], takes or 1),
        why={key: " ".join(distinct(one.why[key] for one in each if key in one.why)) for key in keys},
        sets=tuple(matched for one in each for matched in one.sets),
        chain=distinct(step for one in each for step in one.chain),
        notes=tuple(note for one in each for note in one.notes),
        errors=distinct(error for one in each for error in one.errors),
        missing=distinct(fact for one in each for fact in one.missing),
        unheard=tuple(finding for one in each for finding in one.unheard),
        joined=tuple(pieces for one in each for pieces in one.joined),
    )


def _is_numbered(part: Part, known: Replacements) -> bool:
    """Goods known only by a description are no maker's part, whatever number was written of them."""
    return part.key in known.numbered and not part.described


def _each_once(items: Sequence[Item], takes: int) -> tuple[Item, ...]:
    """Several numbers may have become one: it is judged once, with all that is offered of it."""
    found: dict[PartKey, Item] = {}
    for item in items:
        before = found.get(item.part.key)
        if before is None:
            found[item.part.key] = item
            continue
        numbers = (before.quantity, item.quantity)
        total = None if numbers == (None, None) else sum(takes if one is None else one for one in numbers)
        adapters = distinct((*before.adapters, *item.adapters))
        found[item.part.key] = replace(before, quantity=total, adapters=adapters)
    return tuple(found.values())


def _judged(item: Item, found: Resolved | None, question: Question) -> Superseded:
    known, where = question.replacements, question.where
    if found is None:
        return Superseded((item,))
    if found.itself.holds and not found.catalogue_errors:
        return Superseded((item,), chain=found.chain, notes=tuple(_stays(item.part, found, known, where)))
    if found.catalogue_errors or found.missing:
        return Superseded((), chain=found.chain, errors=found.catalogue_errors, missing=found.missing)
    if not found.use:  # withdrawn, and nothing replaces it
        fact = Fact("replacement", f"{item.part.shown} is withdrawn and nothing replaces it here: what is offered?")
        return Superseded((), chain=found.chain, missing=(fact,))
    single = len(found.use) == 1
    counted = [one for one in found.use if one.quantity]  # the others are counted with another number of the candidate
    return Superseded(
        items=tuple(
            Item(
                known.parts[one.part.id],
                item.quantity if single and one.quantity == found.asked.quantity else one.quantity,
                item.adapters,
                known.holds.get(one.part.id, ()),
            )
            for one in counted
        ),
        why={known.parts[one.part.id].key: one.why for one in counted},
        sets=_each_a_set(item.part, found, known),
        chain=found.chain,
        notes=tuple(_note(text, found.chain) for text in distinct(one.why for one in counted)),
        unheard=tuple(
            told_of_another(question.rulebook, item.part, [known.parts[one.part.id] for one in counted or found.use])
        ),
        joined=(tuple(known.parts[one.part.id].key for one in counted),) if item.adapters and len(counted) > 1 else (),
    )


def _each_a_set(asked: Part, found: Resolved, known: Replacements) -> tuple[MatchedSet, ...]:
    """The set that one piece of a number has become; none where it is one piece still."""
    one_by_one = [(known.parts[one.part.id].key, one.quantity // found.asked.quantity) for one in found.use]
    if not one_by_one or [count for _, count in one_by_one] == [1] or not all(count for _, count in one_by_one):
        return ()
    return (MatchedSet(f"that replaces {asked.shown}", tuple(one_by_one)),)


def _stays(part: Part, found: Resolved, known: Replacements, where: Where) -> Iterator[Finding]:
    """Why the number asked about is judged as itself, where others replace it or it is no longer made."""
    if found.discontinued:
        yield _note(f"{part.shown} is discontinued and nothing replaces it; what is left of it is judged.", found.chain)
    if found.superseded:
        allowed = old_stock(known.chains, (one.part for one in found.use), where, blocks=known.blocks).allowed
        why = next((one.why for one in allowed if one.part == found.asked.part), "swap allowed both ways")
        now = " and ".join(one.part.shown for one in found.use)
        yield _note(f"{part.shown} may still be used in place of {now}: {why}.", found.chain)


def _note(text: str, chain: Sequence[ChainStep]) -> Finding:
    held = [step for step in chain if step.truth.holds]
    source = (held or chain)[-1].supersession.source
    return Finding(CODE, Answer.MET, Effect.NOTE, text, source)


def with_replacements(engine: Engine, known: Replacements, where: Where) -> Engine:
    """The engine with its maker's statements taken over to the numbers that stand for the specified ones here today.

    Those are what a specified number is replaced by, and the old stock that may be used up in its place. Where that is
    a set, each piece is told as one of it. Of a part that the maker names itself, here or elsewhere on the engine,
    nothing is taken over.
    """
    if not known.numbered:
        return engine
    stated = {said.part.key for said in engine.statements if said.kind in SPECIFIES}
    more = [
        replace(said, kind=StatementKind.REPLACEMENT, part=part, in_place_of=said.part.shown)
        for said in engine.statements
        if said.kind in SPECIFIES and said.part.key in known.numbered
        for part in _standing_for(known.numbered[said.part.key], known, where)
        if part.key not in stated
    ]
    return replace(engine, statements=(*engine.statements, *more)) if more else engine


def perhaps_standing(question: Question, engine: Engine, where: Where) -> tuple[Engine, tuple[Fact, ...]]:
    """The engine as if every number asked about that may stand for a specified one did, and what would tell that.

    No facts where none may.
    """
    known = question.replacements
    named = [item.part for item in question.candidate if _is_numbered(item.part, known)]
    stated = {said.part.key for said in engine.statements if said.kind in SPECIFIES}
    more: list[Statement] = []
    facts: list[Fact] = []
    for said in engine.statements:
        if said.kind not in SPECIFIES or said.in_place_of or said.part.key not in known.numbered:
            continue
        (found,) = resolve(known.chains, (Counted(known.numbered[said.part.key]),), where, blocks=known.blocks)
        may = [
            step.supersession for step in found.chain if step.truth.holds is not False and not found.catalogue_errors
        ]
        ends = {member.part for step in may if step.one_for_one for member in step.new}
        for part in named if found.missing else ():
            if part.key not in stated and known.numbered[part.key] in ends:
                facts.extend(found.missing)
                more.append(replace(said, kind=StatementKind.REPLACEMENT, part=part, in_place_of=said.part.shown))
    return replace(engine, statements=(*engine.statements, *more)), distinct(facts)


def _standing_for(number: Numbered, known: Replacements, where: Where) -> tuple[Part, ...]:
    (found,) = resolve(known.chains, (Counted(number),), where, blocks=known.blocks)
    if found.catalogue_errors or found.missing:
        return ()
    now = [one.part for one in found.use if one.part != number]
    pieces = len(found.use) > 1 or any(one.quantity > 1 for one in found.use)
    # What may be used up in place of one piece is not the whole set.
    stock = old_stock(known.chains, (number,) if pieces else (number, *now), where, blocks=known.blocks).allowed
    earlier = tuple(known.parts[one.part.id] for one in stock if one.part not in (number, *now))
    if not pieces:
        return (*(known.parts[part.id] for part in now), *earlier)
    members = tuple((known.parts[one.part.id].key, one.quantity) for one in found.use)
    whole = MatchedSet(f"that replaces {number.shown}", members)
    return (*(replace(known.parts[part.id], member_of=whole) for part in now), *earlier)


def sets_for(position: str, engine: Engine, known: Replacements, where: Where) -> tuple[MatchedSet, ...]:
    """The sets of several numbers that replace what the engine's maker specifies here at this position."""
    found: list[MatchedSet] = []
    for said in engine.statements:
        specified = said.kind in SPECIFIES and said.position == position and not said.in_place_of
        if specified and said.part.key in known.numbered and said.applicability.holds(where).holds:
            asked = (Counted(known.numbered[said.part.key]),)
            (today,) = resolve(known.chains, asked, where, blocks=known.blocks)
            if len(today.use) > 1:
                members = tuple((known.parts[one.part.id].key, one.quantity) for one in today.use)
                found.append(MatchedSet(f"that replaces {said.part.shown}", members))
    return tuple(found)


def sets_with(part: Part, statements: Iterable[Statement], position: str, where: Where) -> tuple[MatchedSet, ...]:
    """The sets that replace a number specified at a position and hold this part; none where it does so alone too."""
    said = [
        one.part.member_of
        for one in statements
        if one.in_place_of and one.position == position and one.part.key == part.key
        and one.applicability.holds(where).holds is not False
    ]  # fmt: skip
    return () if None in said else tuple(one for one in said if one is not None)


def in_its_chain(question: Question) -> frozenset[PartKey]:
    """All numbers of the candidate's chains, by which a position may be named where none names the candidate."""
    known = question.replacements
    numbers = [known.numbered[item.part.key].id for item in question.candidate if _is_numbered(item.part, known)]
    seen = set(numbers)
    for number in numbers:
        for step in (*known.chains.out_of.get(number, ()), *known.chains.into.get(number, ())):
            new = {member.part.id for member in (*step.old, *step.new)} - seen
            seen |= new
            numbers.extend(sorted(new))
    return frozenset(key for key, one in known.numbered.items() if one.id in seen)
