"""One sentence for one weighed rule: what was asked, what is offered, and what follows."""

from __future__ import annotations

from catalog.domain.answers import Answer, Aspect, Basis, SourceKind
from catalog.domain.rules import ComparisonKind, Rule
from catalog.domain.values import Demand, Offer, Slot, State, Value
from catalog.domain.weighing import Weighed

_BASES = {
    Basis.STATED: ", as the position states",
    Basis.COMPUTED: ", as computed for its supply line",
    Basis.CODE_FLOOR: ", as published codes ask",
    Basis.SPECIFIED_PART: ", as the part specified here has",
    Basis.COUNTER: ", as found on the engine",
}


def sentence(rule: Rule, slot: Slot, weighed: Weighed, demand: Demand | None, offer: Offer | None) -> str:
    subject, answer = rule.subject(slot), weighed.answer
    if answer is Answer.UNKNOWN:
        return f"{subject}: cannot tell; {weighed.reason or rule.unrecorded or 'it is not recorded'}."
    if answer is Answer.NOT_MET:
        removed = rule.aspect is Aspect.EMISSION and offer is not None and _none(offer.value)
        lead = f"Emission control removed: {rule.shown(slot)}" if removed else f"{subject}:"
        return f"{lead} {weighed.reason}{_basis(demand)}."
    if answer is Answer.MET_IF:
        return f"{subject}: {weighed.reason}; only if {weighed.condition}."
    if offer is None or demand is None:
        given = "" if offer is None else f"{offer.value.shown()}; "
        return f"{subject}: {given}{weighed.reason or 'nothing is asked'}."
    if rule.comparison.kind is ComparisonKind.RATED_FOR:
        return f"{subject}: {_stands(offer.value, demand.value)}."
    return f"{subject}: {offer.value.shown()}{_basis(demand)}."


def _stands(material: Value, medium: Value) -> str:
    if material.state is State.NOT_APPLICABLE:
        return f"it has none that {medium.shown()} would touch here"
    return f"{material.shown()} stands {medium.shown()}, which it touches here"


def with_article(noun: str, article: str = "a") -> str:
    """`a sensor`, `an alternator`; with the article `A` at the start of a sentence."""
    return f"{article}{'n' if noun[:1].casefold() in 'aeio' else ''} {noun}"


def _none(value: Value) -> bool:
    return value.state is State.KNOWN_NONE or value.codes == ("none",)


def _basis(demand: Demand | None) -> str:
    if demand is None:
        return ""
    if demand.basis is Basis.CODE_FLOOR and demand.source.kind is SourceKind.COMMON_PRACTICE:
        return ", as is common practice where nothing is stated"
    return _BASES.get(demand.basis, "")
