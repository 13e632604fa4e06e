"""Findings that no rule row holds: category, exclusion, conversion, certificate, condition of the goods."""

from __future__ import annotations

from collections.abc import Iterator

from catalog.domain.answers import COMMON_PRACTICE, Answer, Effect, Fact, Source, SourceKind, any_of, distinct
from catalog.domain.case import Case
from catalog.domain.findings import Finding, Lead
from catalog.domain.fuels import differs_from_plate, listed, listed_words, paper_for
from catalog.domain.outcomes import held_finding
from catalog.domain.parts import SPECIFIES, PartCondition, StatementKind, SuppliedAs
from catalog.domain.reaching import missing_of_services
from catalog.domain.rule_words import with_article
from catalog.domain.rules import Approver, Category, FuelRole, WhenFact
from catalog.domain.serials import SerialRange
from catalog.domain.when_facts import QUESTIONS, holds

CONVERSION = (
    "a licensed person has confirmed the {equipment} equipment and the service manager records it; "
    "this answer does not approve the conversion"
)
CONVERTED = "conversion"
USED_SEALS = Source(
    SourceKind.PUBLISHED,
    "public O-ring handbook, failure chapter, and Oak Ridge elastomer soak studies: plasticiser is washed out, and "
    "rubber dries out; that none is used again is common practice",
)
CARRIES_FUEL = frozenset({FuelRole.METERING, FuelRole.WETTED})


def circumstances(case: Case) -> tuple[Finding, ...]:
    """Every finding the circumstances give rise to; none where there is nothing to say."""
    category = case.category
    if category is None:
        return tuple(_on_hold(case))
    found = (
        _on_hold(case),
        _category(case, category),
        _exclusion(case),
        _beyond_a_break(case),
        _conversion(case, category),
        _certified(case, category),
        _assembly(case, category),
        used_goods(case, category),
        _each_piece(category),
        _described(case, category),
        _part_of_a_set(case),
    )
    return tuple(finding for findings in found for finding in findings)


def _on_hold(case: Case) -> Iterator[Finding]:
    if case.holds:
        yield held_finding(case.candidate.shown, case.holds)


def _category(case: Case, wanted: Category) -> Iterator[Finding]:
    if case.candidate.category == wanted.code:
        return
    offered = case.rulebook.categories.get(case.candidate.category)
    noun = offered.noun if offered else case.candidate.category.replace("_", " ")
    pair = (case.candidate.category, wanted.code)
    rows = [(row, holds(case, row.when)) for row in case.rulebook.may_serve if (row.offered, row.position) == pair]
    truth = any_of(allowed for _, allowed in rows)
    if truth.holds is False:
        text = f"{_capital(noun)} offered where {with_article(wanted.noun)} belongs."
        yield _finding("category", Answer.NOT_MET, Effect.REJECT, text, COMMON_PRACTICE, lead=Lead.CATEGORY)
        return
    row = next(row for row, allowed in rows if allowed.holds is truth.holds)
    if truth.holds is None:
        text = f"Cannot tell whether {with_article(noun)} may stand for {with_article(wanted.noun)} here."
        yield _finding(
            "category", Answer.UNKNOWN, Effect.UNDETERMINED, text, row.source, lead=Lead.CATEGORY, missing=truth.missing
        )
    elif row.condition:
        text = f"{_capital(noun)} may stand for {with_article(wanted.noun)} only if {row.condition}."
        yield _finding(
            "category", Answer.MET_IF, Effect.CONDITION, text, row.source, lead=Lead.CATEGORY, condition=row.condition
        )
    else:
        text = f"{_capital(noun)} may stand for {with_article(wanted.noun)} here."
        yield Finding("category", Answer.MET, Effect.NOTE, text, row.source, lead=Lead.CATEGORY)


def _exclusion(case: Case) -> Iterator[Finding]:
    truth, statements = case.excluded, case.about_candidate(StatementKind.EXCLUDED)
    if truth.holds is False:
        return
    deciding = [s for s in statements if s.applicability.holds(case.where).holds is truth.holds]
    saying = min(deciding, key=lambda s: (s.by, s.source.citation))
    if truth.holds:
        text = f"{saying.by} excludes {case.candidate.shown} here."
        yield _finding("exclusion", Answer.NOT_MET, Effect.REJECT, text, saying.source, lead=Lead.EXCLUSION)
        return
    text = f"Cannot tell whether this engine is one for which {saying.by} excludes {case.candidate.shown}."
    yield _finding(
        "exclusion",
        Answer.UNKNOWN,
        Effect.UNDETERMINED,
        text,
        saying.source,
        lead=Lead.EXCLUSION,
        missing=truth.missing,
    )


def _beyond_a_break(case: Case) -> Iterator[Finding]:
    """Specified at this position only on the other side of a serial break."""
    truth = case.beyond_a_break
    if truth.holds is False:
        return
    specifying = [s for s in case.about_candidate(*SPECIFIES) if s.applicability.serials]
    source = min((s.source for s in specifying), key=lambda source: source.citation, default=COMMON_PRACTICE)
    blocks = sorted({entry for s in specifying for entry in s.applicability.serials}, key=SerialRange.in_order)
    ranges = "; ".join(entry.shown() for entry in blocks)
    specified = f"{case.candidate.shown} is specified {ranges}" if ranges else f"{case.candidate.shown} is specified"
    serial = case.where.application.serial
    if truth.holds:
        ours = f"; this engine is serial {serial.prefix}{serial.number}" if serial else ""
        text = f"{specified}{ours}."
        yield _finding("exclusion", Answer.NOT_MET, Effect.REJECT, text, source, lead=Lead.EXCLUSION)
        return
    stray = "; the serial given is in no block of this engine" if case.where.application.serial_in_no_block else ""
    text = f"Cannot tell whether this engine is meant: {specified}{stray}."
    yield _finding(
        "exclusion", Answer.UNKNOWN, Effect.UNDETERMINED, text, source, lead=Lead.EXCLUSION, missing=truth.missing
    )


def _conversion(case: Case, category: Category) -> Iterator[Finding]:
    application, names = case.where.application, case.where.names
    record = differs_from_plate(application.plate_fuels, application.fuel_records)
    if record is None or category.fuel_role is FuelRole.NONE or paper_for(record, application.fuel_records):
        return
    families = distinct(names[fuel.code].family if fuel.code in names else fuel.code for fuel in record.fuels)
    condition = CONVERSION.format(equipment=listed_words(families))
    text = f"Found burning {listed(record.fuels, names)} on {record.found_on.isoformat()}, and no conversion paper."
    yield _finding(
        CONVERTED, Answer.MET_IF, Effect.CONDITION, text, Source(SourceKind.RECORD, "fuel record"),
        lead=Lead.SHUT_OFF_AND_EMISSION, condition=condition,
    )  # fmt: skip


def _certified(case: Case, category: Category) -> Iterator[Finding]:
    """An emission-listed part that the maker does not specify is at best conditional on a certified engine."""
    certified, specified = case.where.application.certified, case.specified
    if not category.emission_listed or certified is False or specified.holds:
        return
    condition = f"the basis on which emissions are not harmed by this {category.noun} is recorded"
    text = f"Emission-listed {category.noun} on a certified engine whose maker does not specify it here."
    missing: tuple[Fact, ...] = ()
    if certified is None:
        condition = f"the engine is not emission-certified, or {condition}"
        text = f"Whether the engine is certified is not known, and this {category.noun} is emission-listed."
        missing = (QUESTIONS[WhenFact.CERTIFIED],)
    answer = Answer.MET_IF if certified and specified.holds is False else Answer.UNKNOWN
    yield _finding(
        "emission", answer, Effect.CONDITION, text, COMMON_PRACTICE, lead=Lead.SHUT_OFF_AND_EMISSION,
        condition=condition, missing=missing if specified.holds is False else specified.missing,
    )  # fmt: skip


def _assembly(case: Case, category: Category) -> Iterator[Finding]:
    """LP-gas hose at container pressure only as a tested assembly."""
    if not category.assembly_only_classes:
        return
    at_pressure = {service.code: service.name for service in case.services}
    where = " and ".join(at_pressure[code] for code in category.assembly_only_classes if code in at_pressure)
    supplied = case.candidate.supplied_as
    if not where or supplied is SuppliedAs.TESTED_ASSEMBLY:
        return
    if supplied is not None:
        used = f"{with_article(category.noun)} is used only as a tested assembly"
        text = f"For {where} {used}; this one is {_SUPPLIED[supplied]}."
        yield _finding("supplied_as", Answer.NOT_MET, Effect.REJECT, text, COMMON_PRACTICE)
    elif not case.specified.holds:
        fact = Fact("candidate: supplied as", f"Is {case.candidate.shown} a tested assembly, or cut to length?")
        text = f"Cannot tell whether this {category.noun} comes as a tested assembly, which {where} asks for."
        yield _finding("supplied_as", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, missing=(fact,))


_SUPPLIED = {
    SuppliedAs.PIECE: "a piece that nobody has tested as an assembly",
    SuppliedAs.CUT_LENGTH: "cut from a length",
    SuppliedAs.VOLUME: "sold by volume",
}


def used_goods(case: Case, category: Category) -> Iterator[Finding]:
    """Used goods that carry gas, and used seals, are never fitted again."""
    if case.candidate.condition is not PartCondition.USED or category.fuel_role not in CARRIES_FUEL:
        return
    missing = missing_of_services(case)
    if any(service.gas for service in case.services):
        text = f"A used {category.noun} that carries gas is not fitted again."
        yield _finding("condition", Answer.NOT_MET, Effect.REJECT, text, COMMON_PRACTICE)
    elif category.loose_seal:
        text = f"A used {category.noun} is not fitted again: it has taken its set, and shrinks and hardens as it dries."
        yield _finding("condition", Answer.NOT_MET, Effect.REJECT, text, USED_SEALS)
    elif missing:
        text = f"Cannot tell whether this used {category.noun} would carry gas here."
        yield _finding("condition", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, missing=missing)


def _may_carry_gas(case: Case) -> bool:
    return any(service.gas for service in case.services) or bool(missing_of_services(case))


def _each_piece(category: Category) -> Iterator[Finding]:
    """What is the single piece's own, like the date stamped on a cylinder: looked at whatever a catalogue says."""
    if category.each_piece:
        text = f"No catalogue can say of the single {category.noun} that {category.each_piece}."
        yield _finding("each_piece", Answer.MET_IF, Effect.CONDITION, text, COMMON_PRACTICE,
                       condition=category.each_piece)  # fmt: skip


def _described(case: Case, category: Category) -> Iterator[Finding]:
    """A description does not say whether the goods are new, and some are never fitted again."""
    if case.candidate.described:
        condition = "the goods in hand are measured and agree with this description"
        if category.loose_seal or (category.fuel_role in CARRIES_FUEL and _may_carry_gas(case)):
            condition += f", and they are new: a used {category.noun} is not fitted again here"
        text = "Known only by what was written of it; no maker's record stands behind it."
        yield _finding("identity", Answer.MET_IF, Effect.CONDITION, text, COMMON_PRACTICE, condition=condition)


def _part_of_a_set(case: Case) -> Iterator[Finding]:
    matched = case.candidate.member_of
    if matched is not None:
        fact = Fact("candidate: the whole set", f"Is the whole set {matched.number} being fitted? Name every piece.")
        text = f"{case.candidate.shown} is one piece of the set {matched.number}; alone it cannot be judged."
        yield _finding("set", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, missing=(fact,))


def nothing_compared(case: Case, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The finding that keeps an empty comparison from becoming a yes; nothing where something critical was met."""
    rules = case.category.rules if case.category else ()
    critical = any(f.critical and f.counted and f.outcome is Answer.MET for f in findings)
    stated = case.specified.holds or case.listed.holds
    if rules and (critical or stated):
        return ()
    fact = Fact("position: what it needs", f"What does the {case.position.shown} need, and what is the part?")
    text = f"Nothing to compare: nothing that decides about the {case.position.shown} could be weighed and met."
    return (_finding("comparison", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, missing=(fact,)),)


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _finding(
    attribute: str,
    outcome: Answer,
    effect: Effect,
    text: str,
    source: Source,
    *,
    lead: Lead = Lead.RULE,
    condition: str = "",
    missing: tuple[Fact, ...] = (),
) -> Finding:
    worst = Effect.CONDITION if effect is Effect.CONDITION else Effect.REJECT
    return Finding(
        attribute, outcome, effect, text, source, condition=condition, missing=missing, worst=worst, lead=lead,
        approvable_by=Approver.SERVICE_MANAGER if effect is Effect.CONDITION else None,
    )  # fmt: skip
