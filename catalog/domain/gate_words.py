"""The gate's sentences: what the part is made for, what the engine burns, and why the two do not meet."""

from __future__ import annotations

from catalog.domain.answers import Answer, distinct
from catalog.domain.case import Case
from catalog.domain.fuels import Fuel, families, fuel_words, listed, listed_words
from catalog.domain.parts import MATERIAL
from catalog.domain.reaching import touched
from catalog.domain.rules import Category
from catalog.domain.values import Offer, State
from catalog.domain.weighing import Weighed

BY_STATEMENT = "specified here by the engine's maker for this fuel"


def classes(case: Case, codes: tuple[str, ...]) -> str:
    """Service classes in words with their codes."""
    known = case.rulebook.classes
    return ", ".join(f"{known[code].name} ({code})" if code in known else code for code in codes) or "nothing"


def branch_absent(case: Case, branch: str) -> str:
    name = fuel_words(Fuel(branch), case.where.names)
    burned = listed(case.where.burned.fuels, case.where.names)
    return f"The {name} branch is not on this engine; it burns {burned}{_found(case)}."


def by_class(
    case: Case, category: Category, asked: tuple[str, tuple[str, ...]], offers: tuple[Offer, ...], weighed: Weighed
) -> str:
    """One port's sentence; `asked` is the port and the service classes needed there."""
    port, required = asked
    needed = classes(case, required)
    if weighed.answer is Answer.NOT_MET:
        made_for = classes(case, offers[0].value.codes if offers else ())
        reason = f"his {category.noun} is made for {made_for} at the {port}; here it needs {needed}."
        absent = _families_absent(case, required, offers)
        reason = f"Not made for {absent}: t{reason}" if absent else f"T{reason}"
        return " ".join([reason, *_physical_reasons(case, category, required, offers)])
    if weighed.answer is Answer.MET:
        by_record = offers and weighed.reason != BY_STATEMENT
        return f"{_suits(case, asked, offers)}." if by_record else _sentence(weighed.reason)
    if weighed.answer is Answer.MET_IF:
        return f"{_suits(case, asked, offers)}; only if {weighed.condition}."
    return _cannot_tell(f"whether this {category.noun} suits what reaches the {port}", weighed)


def _suits(case: Case, asked: tuple[str, tuple[str, ...]], offers: tuple[Offer, ...]) -> str:
    port, required = asked
    needed, made_for = classes(case, required), offers[0].value.codes
    if set(required) <= set(made_for):
        return f"Made for what reaches the {port} here: {needed}"
    return f"Made for {classes(case, made_for)}, which also serves what reaches the {port} here: {needed}"


def by_material(case: Case, category: Category, weighed: Weighed) -> str:
    """A loose seal's sentence: its material in the media it touches here."""
    table = case.rulebook.tables.ratings[MATERIAL]
    media = listed_words([table.medium_name(medium.name) for medium in touched(case, None, table)])
    if weighed.answer is Answer.MET and weighed.reason != BY_STATEMENT:
        return f"The material of this {category.noun} stands {media}, which it touches here."
    lead = f"{weighed.reason}, and this {category.noun} touches {media} here"
    return _sentence(f"{lead}; only if {weighed.condition}" if weighed.condition else lead)


def _families_absent(case: Case, required: tuple[str, ...], offers: tuple[Offer, ...]) -> str:
    """The families of fuel that are needed and that nothing recorded of the part belongs to."""
    known = case.rulebook.classes
    made_for = {known[code].fuel_family for offer in offers for code in offer.value.codes if code in known}
    absent = distinct(known[code].fuel_family for code in required if code in known)
    return " and ".join(family for family in absent if family not in made_for)


def _physical_reasons(
    case: Case, category: Category, required: tuple[str, ...], offers: tuple[Offer, ...]
) -> tuple[str, ...]:
    made_for = {code for offer in offers for code in offer.value.codes}
    return tuple(
        row.reason
        for row in case.rulebook.never_serves
        if category.fuel_role in row.roles and made_for & set(row.made_for) and set(required) & set(row.must_not_serve)
    )


def by_fuel(case: Case, category: Category, offers: tuple[Offer, ...], weighed: Weighed) -> str:
    if weighed.answer is Answer.NOT_MET:
        return _wrong_fuel(case, category, offers)
    burned = listed(case.where.burned.fuels, case.where.names) or "the fuel burned"
    if weighed.answer is Answer.MET_IF:
        return f"Made for {burned}, if {weighed.condition}."
    if weighed.answer is Answer.MET:
        by_record = offers and weighed.reason != BY_STATEMENT
        return f"Made for {burned}, which this engine burns{_found(case)}." if by_record else _sentence(weighed.reason)
    return _cannot_tell(f"whether this {category.noun} suits {burned}", weighed)


def _wrong_fuel(case: Case, category: Category, offers: tuple[Offer, ...]) -> str:
    burned, names = case.where.burned.fuels, case.where.names
    made_for = tuple(Fuel.parse(code) for offer in offers for code in offer.value.codes)
    if not made_for or any(offer.value.state is not State.VALUE for offer in offers):
        return f"This {category.noun} is made for no fuel; this engine burns {listed(burned, names)}{_found(case)}."
    apart = not set(families(made_for, names)) & set(families(burned, names))
    # Before the noun a name of two words is written with a hyphen.
    ours = (_joined(families(made_for, names)) if apart else listed(made_for, names)).replace(" gas", "-gas")
    theirs = _joined(families(burned, names)) if apart else listed(burned, names)
    return _sentence(f"{ours} {category.noun}; this engine burns {theirs}{_found(case)}")


def _joined(words: tuple[str, ...]) -> str:
    return " and ".join(words)


def _found(case: Case) -> str:
    on = case.where.burned.found_on
    return f" (found {on.isoformat()})" if on else ""


def _cannot_tell(what: str, weighed: Weighed) -> str:
    reason = f": {weighed.reason}" if weighed.reason else ""
    return f"Cannot tell {what}{reason}."


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}." if text else ""
