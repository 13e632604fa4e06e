"""What is weighed of a part, kept under the rulebook: each finding is worked out once for all questions alike to it.

A finding depends on the side it is weighed for, which is all of a question but the record of the part, and of that
record on the places that its weighing reads. So other parts with the same values, other serials on the same side of
each break, other dealers and days find it worked out. One whose words name the part is kept for that part alone.

Loaded values are kept by their texts, so places that say the same are the same object; keys name them by identity,
and what is kept holds on to what its key names. About 1 kB a finding, so at most some 20 MB a rulebook.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass

from catalog.domain.case import Case
from catalog.domain.circumstances import CARRIES_FUEL, CONVERTED
from catalog.domain.findings import Finding
from catalog.domain.parts import Part
from catalog.domain.rules import Approver, FuelRole
from catalog.domain.weighings import Weighing, weighings

MOST_KEPT = 20_000


@dataclass(frozen=True, eq=False, slots=True)
class Side:
    """What there is to weigh on one side. `case` is the first of it, and holds on to what the side's key names."""

    case: Case
    weighings: tuple[Weighing, ...]
    for_technicians: bool


def weighed(case: Case) -> tuple[Finding, ...]:
    """The gate, the circumstances and each rule weighed, in this order."""
    kept, offers = case.rulebook.kept, case.candidate.offers
    if len(kept) > MOST_KEPT:
        kept.clear()
    side = _side_of(case)
    found: list[Finding] = []
    for number, weighing in enumerate(side.weighings):
        read = [offers.get(place, ()) for place in weighing.places]
        key = side, number, *map(id, read)
        known = kept.get(key) or kept.get((case.candidate.key, key))
        if known is None:
            findings = weighing.weigh(case)
            if side.for_technicians:
                findings = for_a_technician(case, findings)
            known = kept[(case.candidate.key, key) if _name(findings, case.candidate) else key] = findings, read
        found += known[0]
    return tuple(found)


def _side_of(case: Case) -> Side:
    kept, key = case.rulebook.kept, _key(case)
    side: Side | None = kept.get(key)
    if side is None:
        known = kept.get(case.position.category) or weighings(case.category)
        kept[case.position.category] = known
        side = kept[key] = Side(case, known, _carries_gas(case))
    return side


def _key(case: Case) -> Hashable:
    """Serials count only where a statement is about a block of them, and are told only of a part with such a block."""
    part, where, application = case.candidate, case.where, case.where.application
    own = [said for said in case.here if said.part.key == part.key]
    blocks = any(said.applicability.serials for said in own)
    return (
        id(case.position),
        None if case.found is None or case.found.key == part.key else id(case.found),
        (part.category, part.supplied_as, part.condition, part.described, part.member_of),
        (part.key, case.holds) if own or case.holds else None,
        (application.serial, application.serial_in_no_block) if blocks else None,
        (application.specification, application.plate_fuels, application.fuel_records, application.told_as_plate),
        (application.place_of_use, application.dusty, application.certified, application.ecu),
        case.fuels_built_for,
        *map(id, case.here),
        *[said.applicability.serial(where) for said in case.here if said.applicability.serials],
    )


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
    if not _carries_gas(case):
        return findings
    return tuple(
        finding._replace(approvable_by=Approver.GAS_TECHNICIAN)
        if finding.approvable_by is Approver.SERVICE_MANAGER and finding.attribute != CONVERTED
        else finding
        for finding in findings
    )
