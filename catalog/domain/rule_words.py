"""One sentence for one weighed rule: what was asked, what is offered, and what follows."""

from __future__ import annotations

from catalog.domain.answers import Answer, Aspect, Basis, SourceKind
from catalog.domain.rules import ComparisonKind, Rule
from catalog.domain.values import Demand, Offer, Slot, State, Value
from catalog.domain.weighing import Weighed

_BASES = {
    Basis.STATED: "as the position states",
    Basis.COMPUTED: "as computed for its supply line",
    Basis.CODE_FLOOR: "as published codes ask",
    Basis.SPECIFIED_PART: "as the part specified here has",
    Basis.COUNTER: "as found on the engine",
}


def sentence(rule: Rule, slot: Slot, weighed: Weighed, demand: Demand | None, offer: Offer | None) -> str:
    name = rule.name + (f" ({slot.replace('_', ' ')})" if slot else "")
    subject = f"{name[:1].upper()}{name[1:]}"
    if weighed.answer is Answer.UNKNOWN:
        return f"{subject}: cannot tell; {weighed.reason or rule.unrecorded or 'it is not recorded'}."
    if weighed.answer is Answer.NOT_MET:
        removed = rule.aspect is Aspect.EMISSION and offer is not None and _none(offer.value)
        return f"{f'Emission control removed: {name}' if removed else f'{subject}:'} {weighed.reason}{_basis(demand)}."
    if weighed.answer is Answer.MET_IF:
        return f"{subject}: {weighed.reason}; only if {weighed.condition}."
    if offer is None:
        return f"{subject}: {weighed.reason or 'nothing is asked'}."
    if demand is None:
        return f"{subject}: {offer.value.shown()}; {weighed.reason or 'nothing is asked'}."
    stands = f" stands {demand.value.shown()}, which it touches here"
    by_media = rule.comparison.kind is ComparisonKind.RATED_FOR
    return f"{subject}: {offer.value.shown()}{stands if by_media else _basis(demand)}."


def with_article(noun: str, article: str = "a") -> str:
    """`a sensor`, `an alternator`; with the article `A` at the start of a sentence."""
    return f"{article}{'n' if noun[:1].casefold() in 'aeio' else ''} {noun}"


def _none(value: Value) -> bool:
    return value.state is State.KNOWN_NONE or value.codes == ("none",)


def _basis(demand: Demand | None) -> str:
    words = _BASES.get(demand.basis) if demand else None
    if demand and demand.basis is Basis.CODE_FLOOR and demand.source.kind is SourceKind.COMMON_PRACTICE:
        words = "as is common practice where nothing is stated"
    return f", {words}" if words else ""
