"""What is weighed of a part, kept under the rulebook: each finding is worked out once for all questions alike to it.

A finding depends on the side it is weighed for, which is all of a question but the record of the part, and of that
record on the places that its weighing reads. So other parts with the same values, other serials on the same side of
each break, other dealers and days find it worked out. A rule depends on no more of a side than what is demanded by it
and what makers' statements come to, so sides that are alike in this share what is found, such as one position of
several specifications. A finding whose words name the part is kept for that part alone.

Loaded values are kept by their texts, so places that say the same are the same object; keys name them by identity,
since an equal measure may be shown in another unit, and what is kept holds on to what its key names. About 1 kB a
finding, so at most some 20 MB a rulebook.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass

from catalog.domain.case import Case
from catalog.domain.cautions import cautions_for
from catalog.domain.circumstances import CARRIES_FUEL, CONVERTED
from catalog.domain.conflicts import between_demands
from catalog.domain.demands import Asked
from catalog.domain.findings import Finding
from catalog.domain.not_weighed import needs_not_weighed
from catalog.domain.parts import Part
from catalog.domain.reaching import gas_passes, touched
from catalog.domain.rules import AMONG_MEDIA, Approver, Caution, ComparisonKind, FuelRole, Rule
from catalog.domain.weighing_rules import Demanded, demanded
from catalog.domain.weighings import Weighing, weighings

MOST_KEPT = 20_000


@dataclass(frozen=True, eq=False, slots=True)
class Alike:
    """What one thing weighed depends on besides the part's record; `demanded` is known where that is all of it."""

    demanded: Demanded | None = None


@dataclass(frozen=True, eq=False, slots=True)
class Side:
    """What there is to weigh and to say on one side; `case` is the first, and holds on to what the side's key names."""

    case: Case
    weighings: tuple[tuple[Weighing, Alike], ...]
    for_technicians: bool
    conflicts: tuple[str, ...]
    not_weighed: tuple[Finding, ...]
    cautions: tuple[Caution, ...]


def weighed(case: Case) -> tuple[Finding, ...]:
    """The gate, the circumstances and each rule weighed, in this order, and what is asked here and never weighed."""
    kept, own, offers = case.rulebook.kept, case.candidate.key, case.candidate.offers
    if len(kept) > MOST_KEPT:
        kept.clear()
    side = side_of(case)
    found: list[Finding] = []
    for weighing, alike in side.weighings:
        read = [offers.get(place, ()) for place in weighing.places]
        key = alike, *map(id, read)
        known = kept.get(key) or kept.get((own, key))
        if known is None:
            findings = weighing.weigh(case, alike.demanded)
            if side.for_technicians:
                findings = for_a_technician(case, findings)
            known = kept[(own, key) if _name(findings, case.candidate) else key] = findings, read
        found += known[0]
    return (*found, *side.not_weighed)


def side_of(case: Case) -> Side:
    """What is kept for all questions on the side of this one."""
    kept, key = case.rulebook.kept, case.side_key
    side: Side | None = kept.get(key)
    if side is None:
        known = kept.get(case.position.category) or weighings(case.category)
        kept[case.position.category] = known
        technicians = _carries_gas(case)
        each = tuple((weighing, _alike(case, weighing, for_technicians=technicians)) for weighing in known)
        side = kept[key] = Side(case, each, technicians, between_demands(case), needs_not_weighed(case),
                                cautions_for(case))  # fmt: skip
    return side


def _alike(case: Case, weighing: Weighing, *, for_technicians: bool) -> Alike:
    """The same for all sides on which a rule finds the same of the same record."""
    rule, slot = weighing.rule, weighing.slot
    if rule is None:
        return Alike()
    known, position, kept = demanded(case, rule, slot), case.position, case.rulebook.kept
    key = (
        id(rule),
        slot,
        known.applies,
        None if known.applies.holds else case.where.burned.asks,
        tuple(_exactly(asked) for asked in known.asked),
        _around(case, rule, known),
        position.shown,
        case.candidate.supplied_as,
        None if case.unspoken_for else (case.specified, case.listed, case.candidate.maker),
        for_technicians,
    )
    alike: Alike | None = kept.get(key, (None,))[0]
    if alike is None:
        alike = Alike(known)
        kept[key] = alike, position
    return alike


def _around(case: Case, rule: Rule, known: Demanded) -> Hashable:
    """What a comparison reads of the position beside its demands, as `columnar.sides` has it."""
    kind = rule.comparison.kind
    if kind in AMONG_MEDIA:
        table = case.rulebook.tables.ratings.get(rule.comparison.table)
        return id(case.position.media), *(touched(case, asked.slot, table) for asked in known.asked)
    return tuple(gas_passes(case, asked.slot) for asked in known.asked) if kind is ComparisonKind.MATES_WITH else None


def _exactly(asked: Asked) -> Hashable:
    """Told apart by identity but for media, which are put together from words for each question."""
    shown = asked.shown
    values = [(member, value.codes or id(value)) for member, value in asked.reading.items()]
    return *values, shown.value.codes or id(shown.value), shown.basis, id(shown.source), shown.how, *asked[2:]


def _name(findings: Iterable[Finding], part: Part) -> bool:
    """Whether any of them names the part."""
    shown = part.shown
    for finding in findings:
        if shown in finding.text or shown in finding.condition or shown in finding.data_error:
            return True
        if any(shown in fact.question or shown in fact.name for fact in finding.missing):
            return True
    return False


def _carries_gas(case: Case) -> bool:
    role = case.category.fuel_role if case.category else FuelRole.NONE
    return role in CARRIES_FUEL and any(service.gas for service in case.services)


def for_a_technician(case: Case, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Conditions on a part that carries gas are for a licensed gas technician to approve, not for the manager alone.

    A conversion is confirmed by a licensed person and recorded by the service manager, so its row stays as it is.
    """
    if not any(map(_for_the_manager, findings)) or not _carries_gas(case):
        return findings
    return tuple(
        finding._replace(approvable_by=Approver.GAS_TECHNICIAN) if _for_the_manager(finding) else finding
        for finding in findings
    )


def _for_the_manager(finding: Finding) -> bool:
    return finding.approvable_by is Approver.SERVICE_MANAGER and finding.attribute != CONVERTED
