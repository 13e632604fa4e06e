"""Findings that no rule row holds: category, exclusion, conversion, certificate, condition of the goods."""

from __future__ import annotations

from collections.abc import Iterator

from catalog.domain.answers import COMMON_PRACTICE, Answer, Effect, Fact, Source, SourceKind, Truth, distinct
from catalog.domain.case import Case
from catalog.domain.findings import Finding, Lead
from catalog.domain.fuels import differs_from_plate, listed
from catalog.domain.gate import services
from catalog.domain.parts import PartCondition, StatementKind, SuppliedAs
from catalog.domain.rules import Approver, Category, FuelRole, WhenFact
from catalog.domain.weighing_rules import QUESTIONS

CONVERSION = (
    "a licensed person has confirmed the {equipment} equipment and the service manager records it; "
    "this answer does not approve the conversion"
)
CONVERTED = "conversion"
CARRIES_FUEL = frozenset({FuelRole.METERING, FuelRole.WETTED})


def circumstances(case: Case) -> tuple[Finding, ...]:
    """Every finding the circumstances give rise to; none where there is nothing to say."""
    category = case.category
    if category is None:
        return ()
    return tuple(
        finding
        for found in (
            _category(case, category),
            _exclusion(case),
            _conversion(case, category),
            _certified(case, category),
            _assembly(case, category),
            _used(case, category),
            _described(case),
            _part_of_a_set(case),
        )
        for finding in found
    )


def _category(case: Case, wanted: Category) -> Iterator[Finding]:
    if case.candidate.category == wanted.code:
        return
    offered = case.rulebook.categories.get(case.candidate.category)
    noun = offered.noun if offered else case.candidate.category.replace("_", " ")
    pairs = [m for m in case.rulebook.may_serve if (m.offered, m.position) == (case.candidate.category, wanted.code)]
    if not pairs:
        text = f"{_capital(noun)} offered where a {wanted.noun} belongs."
        yield _finding("category", Answer.NOT_MET, Effect.REJECT, text, COMMON_PRACTICE, lead=Lead.CATEGORY)
    elif pairs[0].condition:
        text = f"{_capital(noun)} may stand for a {wanted.noun} only if {pairs[0].condition}."
        yield _finding(
            "category",
            Answer.MET_IF,
            Effect.CONDITION,
            text,
            pairs[0].source,
            lead=Lead.CATEGORY,
            condition=pairs[0].condition,
        )


def _exclusion(case: Case) -> Iterator[Finding]:
    for statements, truth, words in (
        (case.about_candidate(StatementKind.EXCLUDED), case.excluded, "excludes it here"),
        (case.about_candidate(StatementKind.SPECIFIED, StatementKind.REPLACEMENT), case.beyond_a_break, ""),
    ):
        if truth.holds is False or not statements:
            continue
        source, serial = statements[0].source, case.where.application.serial
        if words:
            text = f"{statements[0].by} {words}."
        else:
            ranges = "; ".join(r.shown() for s in statements for r in s.applicability.serials)
            ours = f"; this engine is serial {serial.prefix}{serial.number}" if serial else ""
            text = f"{case.candidate.shown} is specified {ranges}{ours}."
        answer, effect = (Answer.NOT_MET, Effect.REJECT) if truth.holds else (Answer.UNKNOWN, Effect.UNDETERMINED)
        yield _finding("exclusion", answer, effect, text, source, lead=Lead.EXCLUSION, missing=truth.missing)


def _conversion(case: Case, category: Category) -> Iterator[Finding]:
    application, names = case.where.application, case.where.names
    record = differs_from_plate(application.plate_fuels, application.fuel_records)
    if record is None or record.conversion_paper or category.fuel_role is FuelRole.NONE:
        return
    families = distinct(names[fuel.code].family if fuel.code in names else fuel.code for fuel in record.fuels)
    condition = CONVERSION.format(equipment=" and ".join(families))
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
    at_pressure = {service.code for service in services(case)} & set(category.assembly_only_classes)
    supplied = case.candidate.supplied_as
    if not at_pressure or supplied is SuppliedAs.TESTED_ASSEMBLY:
        return
    where = ", ".join(sorted(at_pressure))
    if supplied is None:
        fact = Fact("candidate: supplied as", f"Is {case.candidate.shown} a tested assembly, or cut to length?")
        missing: tuple[Fact, ...] = () if case.specified.holds else (fact,)
        if missing:
            text = f"Cannot tell whether this {category.noun} comes as a tested assembly, as {where} asks."
            yield _finding("supplied_as", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, missing=missing)
        return
    text = f"At container pressure ({where}) this {category.noun} is used only as a tested assembly."
    yield _finding("supplied_as", Answer.NOT_MET, Effect.REJECT, text, COMMON_PRACTICE)


def _used(case: Case, category: Category) -> Iterator[Finding]:
    """Used goods that carry gas are never fitted again."""
    if case.candidate.condition is not PartCondition.USED or category.fuel_role not in CARRIES_FUEL:
        return
    known = services(case)
    if any(service.gas for service in known):
        text = f"A used {category.noun} that carries gas is not fitted again."
        yield _finding("condition", Answer.NOT_MET, Effect.REJECT, text, COMMON_PRACTICE)
    elif not known:
        fact = Fact("position: fuel service class", f"Which fuel service reaches the {case.position.shown}?")
        text = f"Cannot tell whether this used {category.noun} would carry gas here."
        yield _finding("condition", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, missing=(fact,))


def _described(case: Case) -> Iterator[Finding]:
    if case.candidate.described:
        condition = "the goods in hand are measured and agree with this description"
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
    stated = any_yes(case.specified, case.listed)
    if rules and (critical or stated):
        return ()
    fact = Fact("position: what it needs", f"What does the {case.position.shown} need, and what is the part?")
    text = f"Nothing to compare: no rule that decides about a {case.position.shown} could be weighed and met."
    return (_finding("comparison", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, missing=(fact,)),)


def any_yes(*truths: Truth) -> bool:
    return any(truth.holds for truth in truths)


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
