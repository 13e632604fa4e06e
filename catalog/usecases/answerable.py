"""What an answer misses, as questions that a person can be asked on the spot, and their answers brought into it.

A fact about a machine of the dealer's is not told here: it belongs on the machine's record, where the next question
finds it. Some facts nobody at a counter can tell (what a maker's statement includes); those stay questions.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from typing import Any
from uuid import UUID

from catalog.domain.applicability import PLACE_OF_USE
from catalog.domain.comparing import may_be_set
from catalog.domain.parts import SERVICE
from catalog.domain.quantities import UNITS, family_of, reference_of
from catalog.domain.rules import AttributeDefinition, Category, Rulebook, WhenFact
from catalog.domain.values import Kind
from catalog.domain.when_facts import QUESTIONS
from catalog.models import Check
from catalog.usecases.slip_words import plain

Pair = tuple[str, str]  # a code, and what it is called


class Ask(StrEnum):
    """How an answer is taken down."""

    ENGINE = "engine"
    SERIAL = "serial"
    FUEL = "fuel"
    CHOICE = "choice"
    YES_NO = "yes_no"
    MEASURE = "measure"
    RANGE = "range"
    TEXT = "text"
    DAY = "day"
    ELSEWHERE = "elsewhere"  # no field can take it


@dataclass(frozen=True, slots=True)
class Question:
    """One missing fact. `about` with `attribute` and `slot` is where the answer goes.

    `about` is candidate, position, application (of which `attribute` is the member) or question (a member of it).
    `choices` is what the answer may be, `finer` what it may be where more is known.
    """

    fact: str
    text: str
    ask: Ask = Ask.ELSEWHERE
    about: str = ""
    attribute: str = ""
    slot: str | None = None
    choices: tuple[Pair, ...] = ()
    finer: tuple[Pair, ...] = ()
    several: bool = False
    units: tuple[str, ...] = ()
    reference: str | None = None

    @property
    def of_the_engine(self) -> bool:
        return self.about == "application"


_MEMBERS = {WhenFact.DUSTY: "dusty", WhenFact.CERTIFIED: "certified", WhenFact.ECU: "ecu"}
_FLAGS = {QUESTIONS[fact].name: member for fact, member in _MEMBERS.items()}


def questions_of(check: Check, answer: Mapping[str, Any], rulebook: Rulebook) -> tuple[Question, ...]:
    """The missing facts of a recorded answer, in its order; what is weighed together is asked piece by piece."""
    if not answer["missing"]:
        return ()
    facts = json.loads(check.facts)
    categories, heard = tuple(dict.fromkeys(_categories(facts))), _heard(facts, answer)
    return tuple(
        asked
        for missing in answer["missing"]
        for asked in _questions(missing, rulebook, categories if _is_heard(missing, heard) else ())
    )


def as_asked(question: Mapping[str, Any]) -> dict[str, Any]:
    """A question as it is kept, with its dates and ids as `POST /checks/` reads them."""
    machine, application = question.get("machine"), question.get("application")
    if machine is not None:
        return {**question, "machine": UUID(machine)}
    if application is None:
        return dict(question)
    dated = {**application}
    if dated.get("date"):
        dated["date"] = date.fromisoformat(dated["date"])
    if dated.get("fuel_records"):
        dated["fuel_records"] = [
            {**record, "found_on": date.fromisoformat(record["found_on"])} for record in dated["fuel_records"]
        ]
    return {**question, "application": dated}


def told_in(question: Mapping[str, Any], answers: Iterable[tuple[Question, Any, str]]) -> dict[str, Any]:
    """The question as it was sent, with what was answered since: each with its value and how it came to be known.

    What was told of the same thing before is replaced. Values have the shapes of `POST /checks/`.
    """
    body = {**question, "facts": list(question.get("facts") or ())}
    for asked, value, how in answers:
        if asked.about == "question":
            body[asked.attribute] = value
        elif asked.about == "application":
            body["application"] = _with_member(body.get("application") or {}, asked.attribute, value)
        else:
            place = asked.about, asked.attribute, asked.slot
            kept = [one for one in body["facts"] if (one["about"], one["attribute"], one.get("slot")) != place]
            fact = {"about": asked.about, "attribute": asked.attribute, "value": value, "how": how}
            body["facts"] = [*kept, fact if asked.slot is None else {**fact, "slot": asked.slot}]
    return body


def _with_member(application: Mapping[str, Any], member: str, value: Any) -> dict[str, Any]:
    """A fuel record is added to those there are; anything else takes the place of what was said."""
    if member == "fuel_records":
        return {**application, member: [*application.get(member, ()), value]}
    return {**application, member: value}


def _questions(missing: Mapping[str, Any], rulebook: Rulebook, categories: Sequence[str]) -> tuple[Question, ...]:
    """One question, or of a need that several attributes state together one for each of them."""
    fact, text = missing["fact"], missing["question"]
    about, _, name = fact.partition(": ")
    together = _weighed_together(name, rulebook, categories) if about == "position" else ()
    return tuple(
        of_attribute(fact, f"{text} {definition.name[:1].upper()}{definition.name[1:]}.", about, definition, slot)
        for definition, slot in together
    ) or (_question(fact, text, rulebook, categories),)


def _question(fact: str, text: str, rulebook: Rulebook, categories: Sequence[str]) -> Question:
    found = _of_the_engine(fact, text, rulebook)
    if found is not None:
        return found
    if fact == "position":
        # Which positions could be meant stands in the question itself, behind its colon.
        codes = text.rpartition(": ")[2].rstrip("?").split(", ")
        return Question(fact, text, Ask.CHOICE, "question", "position", choices=tuple((c, plain(c)) for c in codes))
    about, _, name = fact.partition(": ")
    named = _named(name, about, rulebook, categories) if about in ("candidate", "position") else iter(())
    definition, slot = next(named, (None, None))
    return Question(fact, text) if definition is None else of_attribute(fact, text, about, definition, slot)


def _of_the_engine(fact: str, text: str, rulebook: Rulebook) -> Question | None:
    if fact in ("engine", "engine specification"):
        return Question(fact, text, Ask.ENGINE, "application", "spec")
    if fact == "serial" or fact.startswith("serial ("):
        return Question(fact, text, Ask.SERIAL, "application", "serial")
    if fact in ("fuel as-found", "fuel grade"):
        return Question(
            fact, text, Ask.FUEL, "application", "fuel_records", None, _fuels(rulebook), _grades(rulebook), several=True
        )
    if fact == PLACE_OF_USE.name:
        places = rulebook.attributes.get("place_of_use")
        choices = tuple((code, plain(code)) for code in (places.vocabulary if places else ()))
        return Question(fact, text, Ask.CHOICE, "application", "place_of_use", choices=choices)
    if fact in _FLAGS:
        return Question(fact, text, Ask.YES_NO, "application", _FLAGS[fact])
    return None


def of_attribute(
    fact: str, text: str, about: str, definition: AttributeDefinition, slot: str | None = None
) -> Question:
    """How a value of this attribute is taken down."""
    found = Question(fact, text, Ask.TEXT, about, definition.code, slot)
    if definition.kind in (Kind.QUANTITY, Kind.RANGE) and definition.dimension is not None:
        ask = Ask.RANGE if definition.kind is Kind.RANGE else Ask.MEASURE
        return replace(found, ask=ask, units=_units(definition), reference=reference_of(definition.dimension))
    if definition.kind is Kind.FLAG:
        return replace(found, ask=Ask.YES_NO)
    if definition.kind is Kind.DATE:
        return replace(found, ask=Ask.DAY)
    choices = tuple((code, plain(code)) for code in definition.vocabulary)
    several = definition.kind in (Kind.CHOICES, Kind.CODE_LIST)
    return replace(found, ask=Ask.CHOICE if choices else Ask.TEXT, choices=choices, several=several)


def _units(definition: AttributeDefinition) -> tuple[str, ...]:
    """The unit that the attribute is published in first, then all others of its kind."""
    if definition.dimension is None:
        return ()
    family = family_of(definition.dimension)
    others = tuple(unit.symbol for unit in UNITS.values() if unit.family == family and unit.symbol != definition.unit)
    return (definition.unit, *others) if definition.unit else others


def _fuels(rulebook: Rulebook) -> tuple[Pair, ...]:
    return tuple((code, fuel.name) for code, fuel in rulebook.fuels.items())


def _grades(rulebook: Rulebook) -> tuple[Pair, ...]:
    return tuple(
        (f"{code}:{grade}", f"{fuel.name}, {plain(grade)}")
        for code, fuel in rulebook.fuels.items()
        for grade in fuel.grades
    )


def _named(
    name: str, about: str, rulebook: Rulebook, categories: Sequence[str]
) -> Iterator[tuple[AttributeDefinition, str | None]]:
    """The attributes of these categories that a fact is named after, by the names that findings give them."""
    for code in categories:
        category = rulebook.categories.get(code)
        if category is None:
            continue
        if about == "position":
            yield from _weighed_as(name, category, rulebook)
        for definition in (rulebook.attributes[one] for one in category.attributes if one in rulebook.attributes):
            for slot in definition.slots:
                words = definition.name + (f" ({plain(slot)})" if slot else "")
                if words == name:
                    yield definition, slot
            for port in category.ports if _told_at_ports(definition, about) else ():
                if name == f"{definition.name} at the {port}":
                    yield definition, port if port in definition.slots else None


def _told_at_ports(definition: AttributeDefinition, about: str) -> bool:
    """What reaches a position is told by no field: it belongs on the record of the engine as it stands."""
    return about != "position" or definition.code != SERVICE


def _weighed_together(
    name: str, rulebook: Rulebook, categories: Sequence[str]
) -> tuple[tuple[AttributeDefinition, str | None], ...]:
    """The attributes that a rule of this name reads together at a position: figure and basis, or all of a connector."""
    for code in categories:
        category = rulebook.categories.get(code)
        for rule in category.rules if category else ():
            members = rule.attributes[:1] if may_be_set(rule) else rule.attributes
            if len(rule.attributes) > 1 and all(member in rulebook.attributes for member in members):
                for slot in rule.slots:
                    if rule.shown(slot) == name:
                        return tuple((rulebook.attributes[member], slot) for member in members)
    return ()


def _weighed_as(name: str, category: Category, rulebook: Rulebook) -> Iterator[tuple[AttributeDefinition, str | None]]:
    """A position is asked by the name of the rule, which may be another than its attribute's."""
    for rule in category.rules:
        if len(rule.attributes) == 1 and rule.attributes[0] in rulebook.attributes:
            for slot in rule.slots:
                if rule.shown(slot) == name:
                    yield rulebook.attributes[rule.attributes[0]], slot


def _heard(facts: Mapping[str, Any], answer: Mapping[str, Any]) -> Mapping[str, str]:
    """Of which part and which position facts told with the question are: by `about`, each as questions name it.

    Of several parts it would not be known which is meant.
    """
    asked = [facts["parts"][entry["part"]] for entry in facts["rest"]["candidate"]]
    places = [place["name"] or plain(place["code"]) for place in facts["positions"]
              if place["code"] == answer["position"]]  # fmt: skip
    parts = [f"{part['maker']} {part['number']}".strip() or "the described part" for part in asked]
    return {about: named[0] for about, named in (("candidate", parts), ("position", places)) if len(named) == 1}


def _is_heard(missing: Mapping[str, Any], heard: Mapping[str, str]) -> bool:
    """Whether a fact told would be of what is asked about.

    A number that replaces the one asked about, and the pieces and places of a kit, are asked for by their own names.
    """
    about, named, _ = missing["fact"].partition(": ")
    if not named or about not in ("candidate", "position"):
        return True
    return about in heard and re.search(rf"{re.escape(heard[about])}(?![\w-])", missing["question"]) is not None


def _categories(facts: Mapping[str, Any]) -> Iterator[str]:
    """The kinds of parts that a check was about, of the facts kept with it."""
    for row in (*facts["parts"], *facts["positions"]):
        yield row["category"]
