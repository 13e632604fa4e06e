"""Comparisons of codes, flags, designations and classes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from catalog.domain.answers import Answer
from catalog.domain.parts import MATERIAL, SEAL_TEMPERATURE
from catalog.domain.quantities import Interval, Quantity, quantity
from catalog.domain.rules import OrderTable, RatingTable
from catalog.domain.values import Offer, State, Value
from catalog.domain.weighing import MET, Weighed, lacking, not_met, worst

MEDIA = "media"  # what is asked of a position that does not say what touches its seals, or how cold that gets
# The floor of a seal outdoors unless one is stated. (common practice, no source)
_FLOOR = quantity("-30", "degC")
COLDEST_OUTDOORS = Interval(_FLOOR, _FLOOR)
_SEPARATORS = re.compile(r"[\s\-_/.]+")


def equals(demand: Value, offer: Value) -> Weighed:
    """The same codes, flag or number; order of codes does not count."""
    if _comparable(demand) == _comparable(offer):
        return MET
    return not_met(f"{offer.shown()} where {demand.shown()} is asked")


def one_of(demand: Value, offer: Value) -> Weighed:
    """Every offered code is among those the position allows."""
    outside = [code for code in offer.codes if code not in demand.codes]
    if not outside:
        return MET
    return not_met(f"{offer.shown()} where only {demand.shown()} may be")


def one_of_or_serving(table: OrderTable, demand: Value, offer: Value) -> Weighed:
    """Every offered code is among those allowed, or a table says that it serves for one of them."""
    outside = [code for code in offer.codes if code not in demand.codes]
    return worst(tuple(_serving(table, code, demand) for code in outside)) if outside else MET


def _serving(table: OrderTable, code: str, demand: Value) -> Weighed:
    pairs = {(code, allowed): table.pairs.get((code, allowed)) for allowed in demand.codes}
    if Answer.MET in pairs.values():
        return MET
    reason = f"{code.replace('_', ' ')} where {demand.shown()} may be"
    for pair, answer in pairs.items():
        if answer is Answer.MET_IF:
            return Weighed(Answer.MET_IF, reason, condition=table.conditions.get(pair, ""))
    return not_met(f"{code.replace('_', ' ')} where only {demand.shown()} may be")


def includes(demand: Value, offer: Value) -> Weighed:
    """The offer holds every code that is asked."""
    absent = [code for code in demand.codes if code not in offer.codes]
    if not absent:
        return MET
    return not_met(f"{offer.shown()}, without {', '.join(code.replace('_', ' ') for code in absent)}")


def flag_at_least(demand: Value, offer: Value) -> Weighed:
    """A yes serves where no was; a no does not serve where yes is needed."""
    if not demand.payload or offer.payload:
        return MET
    return not_met("no where yes is needed")


def designation_matches(demand: Value, offer: Value) -> Weighed:
    """One of the offered designations is the demanded one, spacing and case apart."""
    asked = {designation(code) for code in demand.codes}
    if asked & {designation(code) for code in offer.codes}:
        return MET
    return not_met(f"{offer.shown()} where {demand.shown()} is asked")


def designation(text: str) -> str:
    """A designation without spacing, separators and case: `SAE J30 R9` and `sae-j30-r9` are one."""
    return _SEPARATORS.sub("", text).casefold()


def class_at_least(table: OrderTable, member: str, demand: Value, offer: Value) -> Weighed:
    """Each demanded class is served by some offered one; no within a family, cannot tell across families."""
    return worst(tuple(_serves(table, member, asked, offer) for asked in demand.codes)) if demand.codes else MET


def _serves(table: OrderTable, member: str, asked: str, offer: Value) -> Weighed:
    # A marking of several classes (gas group, temperature class) answers with those that can be ranked, if any can.
    family = table.families.get(asked)
    ranked = tuple(
        code
        for code in offer.codes
        if (code, asked) in table.pairs or (family is not None and table.families.get(code) == family)
    )
    answers = {_pair(table, offered, asked) for offered in ranked or offer.codes}
    reason = f"{offer.shown()} where {asked.replace('_', ' ')} is asked"
    if Answer.MET in answers:
        return MET
    if Answer.MET_IF in answers:
        words = [table.conditions.get((code, asked), "") for code in ranked]
        return Weighed(Answer.MET_IF, reason, condition=next(filter(None, words), ""))
    because = next((why for code in ranked if (why := table.reasons.get((code, asked)))), "")
    if Answer.UNKNOWN in answers or not answers:
        return lacking(member, reason=f"{reason}: {because or 'the two cannot be ranked'}")
    return not_met(f"{reason}: {because}" if because else reason)


def _pair(table: OrderTable, offered: str, asked: str) -> Answer:
    if offered == asked:
        return Answer.MET
    listed = table.pairs.get((offered, asked))
    if listed is not None:
        return listed
    known = table.families.get(offered)
    return Answer.NOT_MET if known is not None and known == table.families.get(asked) else Answer.UNKNOWN


@dataclass(frozen=True, slots=True)
class Wetting:
    """One medium a seal touches, its temperatures, and whether the seal moves (None: not known).

    `fuel` where it is one: of a fuel whose temperature nobody recorded the coldest outdoors is asked, and no more than
    asked, since it may be milder. Of other media nothing is asked then.
    """

    medium: str
    temperature: Interval | None = None
    dynamic: bool | None = None
    fuel: bool = False


def stated_ranges(offers: Sequence[Offer]) -> tuple[Interval | None, ...]:
    """The ranges of temperature that sources state for a part; a single None where none does."""
    found = tuple(offer.value.payload for offer in offers if isinstance(offer.value.payload, Interval))
    return found or (None,)


def rated_for(
    table: RatingTable, member: str, wetting: Wetting, offer: Value, stated: Interval | None = None
) -> Weighed:
    """Whether each offered material stands one medium at its temperatures, in a seal that moves or not.

    Grade 1 is met, 2 is met on a condition, 3 and 4 are not met, X is unknown. Temperatures beyond the common window
    but within a special grade's are unknown, unless the part's own range is `stated` and covers them.
    """
    results = []
    for material in offer.codes:
        results.append(_grade(table, member, material, wetting))
        if wetting.temperature is not None:
            results.append(_window(table, member, material, (wetting.temperature, stated)))
        elif wetting.fuel:
            results.append(_outdoors(table, member, material, stated))
    return worst(tuple(results)) if results else lacking(member)


def _grade(table: RatingTable, member: str, material: str, wetting: Wetting) -> Weighed:
    grade, medium = table.grades.get((material, wetting.medium), "X"), table.medium_name(wetting.medium)
    named = material.replace("_", " ")
    reason = f"{named} is graded {grade} of 4 in {medium}"
    if grade == "1":
        return Weighed(Answer.MET, reason)
    if grade == "2":
        words = f"this {named} compound is confirmed for {medium}"
        static = wetting.dynamic is False
        return Weighed(Answer.MET_IF, reason, condition=f"{words}, as a static seal" if static else words)
    if grade in ("3", "4"):
        return not_met(reason)
    return lacking(member, reason=f"nothing is published for {named} in {medium}")


def _window(
    table: RatingTable, member: str, material: str, asked_and_stated: tuple[Interval, Interval | None]
) -> Weighed:
    """The material's window, and the part's own range where it is stated.

    A stated range opens no more than a special grade reaches, so stating one never lifts a refusal; one that is
    narrower than the common window leaves the two at odds.
    """
    temperature, stated = asked_and_stated
    named = material.replace("_", " ")
    window = table.windows.get(material)
    own = None if stated is None else _holds(_filled(stated, window), temperature)
    # The material is known here: what may still settle it is the range that a maker states, heard of seals alone.
    range_of_its_own = SEAL_TEMPERATURE if member == MATERIAL else member
    if window is None:
        words = f"no temperature window is published for {named}"
        return MET if own else lacking(member if own is False else range_of_its_own, reason=words)
    asked = f"{temperature.shown()} is asked"
    narrower = f"{stated.shown()} is stated for this part, {asked}" if stated else ""
    if _holds(window, temperature):
        return lacking(member, reason=narrower) if own is False else MET
    special = table.special.get(material, window)
    best = "" if special == window else f" (a special grade {special.shown()} at best)"
    reason = f"{named} stands {window.shown()}{best}, {asked}"
    if not _holds(special, temperature):
        return not_met(reason)
    if own is False:
        return not_met(f"{named} may stand {special.shown()}, but {narrower}")
    return MET if own else lacking(range_of_its_own, reason=reason)


def _outdoors(table: RatingTable, member: str, material: str, stated: Interval | None) -> Weighed:
    """Where nobody recorded how cold it gets: what stands the coldest outdoors is met, of the rest it is asked."""
    weighed = _window(table, member, material, (COLDEST_OUTDOORS, stated))
    if weighed.answer is Answer.MET:
        return weighed
    reason = f"{weighed.reason} outdoors, and how cold it gets here is not recorded"
    return Weighed(Answer.UNKNOWN, reason, lacks=weighed.lacks, asks=(MEDIA,))


def _filled(stated: Interval, window: Interval | None) -> Interval:
    """A stated range with its open ends taken from the material's window."""
    if window is None:
        return stated
    return Interval(stated.low or window.low, stated.high or window.high)


def _holds(window: Interval, asked: Interval) -> bool:
    low = asked.low is None or (window.low is not None and window.low.amount <= asked.low.amount)
    high = asked.high is None or (window.high is not None and window.high.amount >= asked.high.amount)
    return low and high


def _comparable(value: Value) -> object:
    payload = value.payload
    if isinstance(payload, tuple):
        return frozenset(payload)
    if isinstance(payload, Quantity):
        return Interval(payload, payload)
    return payload


def known_none_as_code(value: Value, vocabulary: tuple[str, ...]) -> Value:
    """Where a vocabulary has the word `none`, a recorded absence is that word."""
    return Value(("none",)) if value.state is State.KNOWN_NONE and "none" in vocabulary else value
