"""The answer as the contract has it, in plain values: rendered once, kept as text, given out as it is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

import orjson

from catalog.domain.answers import Source
from catalog.domain.approvals import may_be_approved
from catalog.domain.findings import Finding
from catalog.domain.parts import Part
from catalog.domain.questions import Decision, Use
from catalog.domain.resolving import ChainStep
from catalog.domain.rules import Rulebook
from catalog.domain.supersession_chains import Counted
from catalog.domain.value_documents import Units
from catalog.domain.values import Demand, Kind, Offer
from catalog.usecases.alternatives import Alternative
from catalog.usecases.written_values import written


@dataclass(frozen=True, slots=True)
class Provenance:
    """What an answer says of itself besides the decision."""

    id: UUID
    digest: str
    catalogue_version: int
    rulebook: int
    checked_at: datetime
    checked_by: str
    machine: UUID | None = None


@dataclass(frozen=True, slots=True)
class Written:
    """A document and its text as JSON; the document is shared, and not to be changed."""

    document: dict[str, Any]
    text: str


def answer_of(
    decision: Decision, alternatives: Iterable[Alternative], provenance: Provenance, rulebook: Rulebook
) -> Written:
    """The whole answer. Its findings, most of the text, are written once for all answers that they are kept for."""
    categories = _categories(decision)
    written = [_finding(finding, categories, rulebook) for finding in decision.findings]
    answer = _answer(decision, alternatives, provenance, [document for document, _ in written])
    return Written(answer, orjson.dumps({**answer, "findings": [text for _, text in written]}).decode())


def _finding(
    finding: Finding, categories: tuple[str, ...], rulebook: Rulebook
) -> tuple[dict[str, Any], orjson.Fragment]:
    """Its document and its text. Kept under the rulebook beside the findings, which bound it."""
    key = "written", id(finding), categories
    written = rulebook.kept.get(key)
    if written is None:
        document = finding_document(finding, _kind(finding.attribute, categories, rulebook), "as_given")
        written = rulebook.kept[key] = document, orjson.Fragment(orjson.dumps(document)), finding
    return written[0], written[1]


def _answer(
    decision: Decision, alternatives: Iterable[Alternative], provenance: Provenance, findings: list[dict[str, Any]]
) -> dict[str, Any]:
    said = _said(decision, findings)
    return {
        **provenance_document(provenance),
        "verdict": decision.verdict.value,
        "headline": said.pop("headline"),
        "position": decision.position,
        "use": [use_document(use) for use in decision.use],
        "chain": chain_documents(decision.chain),
        **said,
        "alternatives": [_alternative(found) for found in alternatives],
        "approvable": may_be_approved(
            decision.verdict, decision.approvable_by, names_a_machine=provenance.machine is not None
        ),
        "approvable_by": None if decision.approvable_by is None else decision.approvable_by.value,
        "approval": None,  # evaluated whenever the answer is shown, see `showing`
    }


def provenance_document(provenance: Provenance) -> dict[str, Any]:
    return {
        "id": str(provenance.id),
        "machine": None if provenance.machine is None else str(provenance.machine),
        "digest": provenance.digest,
        "catalogue_version": provenance.catalogue_version,
        "rulebook": provenance.rulebook,
        "checked_at": instant(provenance.checked_at),
        "checked_by": provenance.checked_by,
    }


def decided(decision: Decision, rulebook: Rulebook, *, units: Units) -> dict[str, Any]:
    """The members in which a measure may be named, and so all that `units` can change."""
    categories = _categories(decision)
    kinds = [_kind(finding.attribute, categories, rulebook) for finding in decision.findings]
    found = zip(decision.findings, kinds, strict=True)
    return _said(decision, [finding_document(finding, kind, units) for finding, kind in found])


def _said(decision: Decision, findings: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "headline": decision.headline,
        "catalogue_errors": list(decision.catalogue_errors),
        "findings": findings,
        "conditions": list(decision.conditions),
        "missing": [
            {"fact": fact.name, "question": fact.question, "decisive": True} for fact in decision.missing
        ],
        "conflicts": list(decision.conflicts),
        "cautions": [{"code": caution.code, "text": caution.text} for caution in decision.cautions],
    }  # fmt: skip


def instant(when: datetime) -> str:
    """RFC 3339 in UTC, with Z."""
    return when.astimezone(UTC).isoformat().replace("+00:00", "Z")


def part_document(part: Part) -> dict[str, Any]:
    return {"id": part.id, "maker": part.maker, "number": part.number, "name": part.name}


def use_document(use: Use) -> dict[str, Any]:
    return {"part": part_document(use.part), "quantity": use.quantity, "why": use.why}


def source_document(source: Source) -> dict[str, str]:
    return {"kind": source.kind.value, "citation": source.citation}


def _categories(decision: Decision) -> tuple[str, ...]:
    return tuple(dict.fromkeys(use.part.category for use in decision.use))


def _kind(code: str, categories: Iterable[str], rulebook: Rulebook) -> Kind | None:
    """What kind of value a finding about this compares: a rule's is that of its leading attribute."""
    own = rulebook.attributes.get(code)
    kind = None if own is None else own.kind
    for category in categories:
        kind = _kinds_of_rules(category, rulebook).get(code, kind)
    return kind


def _kinds_of_rules(code: str, rulebook: Rulebook) -> Mapping[str, Kind]:
    """By the rules of a category; kept, since it is asked of every finding that is written."""
    kept: Mapping[str, Kind] | None = rulebook.kept.get(("kinds", code))
    if kept is None:
        category, known = rulebook.categories.get(code), rulebook.attributes
        rules = () if category is None else category.rules
        kept = {rule.code: known[rule.attributes[0]].kind for rule in rules if rule.attributes[0] in known}
        rulebook.kept["kinds", code] = kept
    return kept


def chain_documents(chain: Iterable[ChainStep]) -> list[dict[str, Any]]:
    """Each replacement walked: both its sides, and whether it holds here."""
    return [
        {
            "from": [_counted(member) for member in step.supersession.old],
            "to": [_counted(member) for member in step.supersession.new],
            "kind": step.supersession.kind.value,
            "both_ways": step.supersession.both_ways,
            "holds": _HOLDS[step.truth.holds],
            "text": step.why,
            "source": source_document(step.supersession.source),
        }
        for step in chain
    ]


_HOLDS = {True: "yes", False: "no", None: "unknown"}


def _counted(member: Counted) -> dict[str, Any]:
    return {"part": {"maker": member.part.maker, "number": member.part.number}, "quantity": member.quantity}


def finding_document(finding: Finding, kind: Kind | None, units: Units) -> dict[str, Any]:
    """`kind` is the kind of value that it compares, where that is an attribute's."""
    return {
        "attribute": finding.attribute,
        "slot": finding.slot,
        "outcome": finding.outcome.value,
        "effect": finding.effect.value,
        "demand": _side(finding.demand, kind, units),
        "offer": _side(finding.offer, kind, units),
        "margin": finding.margin,
        "text": finding.text,
        "source": source_document(finding.source),
    }


def _side(stated: Demand | Offer | None, kind: Kind | None, units: Units) -> dict[str, Any] | None:
    if stated is None:
        return None
    return {"value": written(stated.value, kind=kind, units=units), "basis": stated.basis.value}


def _alternative(found: Alternative) -> dict[str, Any]:
    return {"part": part_document(found.part), "verdict": found.verdict.value, "headline": found.headline}
