"""Answers to what was missing: those about a machine go on its record, all others into the question."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from catalog.models import Check, Machine
from catalog.usecases.answerable import Ask, as_asked, told_in
from catalog.usecases.machine_finding import machines_meant
from catalog.usecases.machine_writing import Owner, add_fuel_record, change_machine, machine_of
from catalog.usecases.told_facts import POSITION
from kits.web.counter_fields import Asked, Told, place_faults, told_by
from service.errors import DomainError

EVIDENCE = "seen at the counter"


@dataclass(frozen=True, slots=True)
class Retold:
    """The question with what was answered; `places` gives the pointers of its facts the fields they were typed in."""

    body: dict[str, Any]
    places: Mapping[str, str]


def retold(check: Check, asked: Sequence[Asked], owner: Owner, *, by: str) -> Retold | None:
    """The question of a check once more, in the shape of `POST /checks/`, with what was answered.

    None where nothing was answered, or something cannot be read, which then stands beside its question. What was told
    of a machine is on its record afterwards, for good: it is true whatever becomes of the question.
    """
    answers = list(told_by(asked, owner.dealer.today(owner.now)))
    engines = [_engine(one, owner) for one in asked if one.question.ask is Ask.ENGINE]
    named = next((machine for machine in engines if machine is not None), None)
    if any(one.fault for one in asked) or not (answers or named):
        return None
    machine = named or (machine_of(owner.dealer, check.machine_id) if check.machine_id else None)
    body = as_asked(json.loads(check.question))
    if machine is not None:
        body.pop("application", None)
        body["machine"] = machine.pk
        for one in answers:
            if one.asked.question.of_the_engine:
                _put_on_record(machine, one, owner, by)
        answers = [one for one in answers if not one.asked.question.of_the_engine]
    if any(one.fault for one in asked):
        return None
    if any(one.asked.question.about == POSITION for one in answers):
        # What was found by the part is named now: a fact is of this position, and of no other it might go to.
        body["position"] = body.get("position") or json.loads(check.answer)["position"]
    body = told_in(body, ((one.asked.question, one.value, one.how) for one in answers))
    return Retold(body, {pointer: one.asked.name for one in answers for pointer in _pointers(body, one)})


def _engine(one: Asked, owner: Owner) -> Machine | None:
    typed = one.typed["value"]
    found = machines_meant(owner.dealer, typed) if typed else ()
    if len(found) == 1:
        return found[0]
    if typed:
        several = ", ".join(machine.name for machine in found)
        one.fault = f"Which of these: {several}?" if found else f"No machine of yours is called {typed[:60]!r}."
    return None


def _put_on_record(machine: Machine, one: Told, owner: Owner, by: str) -> None:
    question = one.asked.question
    try:
        if question.ask is Ask.FUEL:
            add_fuel_record(machine, {**one.value, "by": by, "evidence": EVIDENCE}, owner)
        else:
            change_machine(machine, {question.attribute: one.value}, owner)
    except DomainError as error:
        _, faults = place_faults(error, {})
        one.asked.fault = " ".join(faults)


def _pointers(body: Mapping[str, Any], one: Told) -> list[str]:
    question = one.asked.question
    if question.about == "question":
        return [f"/{question.attribute}"]
    if question.of_the_engine:
        return [f"/application/{question.attribute}"]
    place = question.about, question.attribute, question.slot
    facts = enumerate(body["facts"])
    return [f"/facts/{at}" for at, fact in facts if (fact["about"], fact["attribute"], fact.get("slot")) == place]
