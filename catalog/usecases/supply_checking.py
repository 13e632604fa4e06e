"""Answering questions about supply lines: load, decide, and record what was decided from."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from django.urls import reverse

from catalog import loading
from catalog.domain.answers import distinct
from catalog.domain.fuels import Fuel
from catalog.domain.rules import Rulebook
from catalog.domain.supply.line_questions import SupplyAnswered, decide_supply
from catalog.domain.value_documents import Units
from catalog.fluid_properties import ReferenceFluids
from catalog.loading import LoadedPart, LoadedSpecification, LoadedStatement, Standing, Wanted
from catalog.models import SupplyCheck
from catalog.models.facts import as_text
from catalog.usecases.answers import Provenance
from catalog.usecases.applications import read_application
from catalog.usecases.asked import NamedPart, sent_text
from catalog.usecases.facts_used import FactsUsed, application_of, digest_of, hold_document
from catalog.usecases.one_version import Asking, Machines, at_one_version, machine_in_use
from catalog.usecases.part_finding import PartFinder
from catalog.usecases.reading import published
from catalog.usecases.refusals import Gathered, UnknownPosition
from catalog.usecases.specification_finding import SpecificationFinder
from catalog.usecases.supply_answers import WORDS, decided_document, shown_supply, supply_document
from catalog.usecases.supply_asked import (
    SupplyAsked,
    fuel_asked,
    read_circumstances,
    read_supply_asked,
    told_of_stages,
)
from catalog.usecases.supply_facts import supply_question_of
from catalog.usecases.told_facts import read_one
from service.errors import Invalid
from service.operations.idempotency import Claim
from service.operations.models import Dealer

FLUIDS = ReferenceFluids()
Stages = Sequence[Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Decided:
    asked: SupplyAsked
    text: str
    digest: str
    answered: SupplyAnswered


def check_supply(
    body: Mapping[str, Any],
    *,
    dealer: Dealer,
    asked_by: str,
    now: datetime,
    idempotency: Claim | None = None,
    units: Units = "as_given",
) -> SupplyCheck:
    """Answer one question, record it, and complete the claim in the same transaction.

    `body` has the shape of `POST /supply-checks/`. Raises a DomainError for what the question cannot be understood by.
    """
    asking, asked = Asking(dealer, asked_by, now), read_supply_asked(body)

    def decided(standing: Standing, rulebook: Rulebook, machines: Machines) -> Decided:
        return _decided(_placed(asked, machines), rulebook, standing.stamp, asking)

    def save(standing: Standing, rulebook: Rulebook, found: Decided) -> SupplyCheck:
        check = _record(found, standing, rulebook, asking)
        check.save()
        if idempotency is not None:
            answer = shown_supply(check, FLUIDS, units)
            idempotency.complete(201, answer, {"Location": reverse("supply-check", args=[check.pk])})
        return check

    return at_one_version(dealer, [asked.machine_id] if asked.machine_id else (), decided, save)


@dataclass(frozen=True, slots=True)
class Weighed:
    """An answer that is kept nowhere, and the air pressure, Pa absolute, that gauge pressures in it count from."""

    document: Mapping[str, Any]
    atmosphere: float


def weigh_supply(body: Mapping[str, Any], *, dealer: Dealer, now: datetime, units: Units = "as_given") -> Weighed:
    """What `check_supply` would answer; nothing is recorded. Raises what it raises."""
    asked, known = read_supply_asked(body), published()
    machines = loading.machines(dealer, [asked.machine_id] if asked.machine_id else [])
    found = _decided(_placed(asked, machines), known.rulebook, known.standing.stamp, Asking(dealer, "", now))
    question = supply_question_of(FactsUsed.read(found.text), known.rulebook)
    answered = found.answered if units == "as_given" else decide_supply(question, FLUIDS, WORDS[units])
    return Weighed(decided_document(answered, units), question.circumstances.atmosphere)


def lines_of(specification: LoadedSpecification | None) -> tuple[str, ...]:
    """The fuels of which a supply line is recorded, as their lines name them."""
    return () if specification is None else distinct(json.loads(text)["fuel"] for text in specification.stages)


def _placed(asked: SupplyAsked, machines: Machines) -> SupplyAsked:
    if asked.machine_id is None:
        return asked
    machine = machine_in_use(machines, asked.machine_id)
    return replace(asked, machine=machine, application=machine.application)


def _decided(asked: SupplyAsked, rulebook: Rulebook, stamp: str, asking: Asking) -> Decided:
    if asked.specification is None:
        raise Invalid(
            "The line is that of an engine specification; name it by model and spec.",
            pointer="/machine" if asked.machine else "/application/spec", code="specification_needed",
        )  # fmt: skip
    at = "/machine" if asked.machine else "/application"
    found = SpecificationFinder([asked.specification], stamp).find(
        asked.specification, at if asked.machine else f"{at}/spec"
    )
    specification = found if asked.machine is None else loading.as_it_stands(found, asked.machine)
    problems, application, circumstances = Gathered(), dict[str, Any](), dict[str, Any]()
    with problems.each():
        today = asking.dealer.today(asking.now)
        application = read_application(asked.application, specification, rulebook, today=today, at=at)
    with problems.each():
        circumstances = read_circumstances(asked.body)
    with problems.each():
        fuel_asked(asked.body, rulebook)
    problems.tell()
    fuel, stages = _line(asked, specification, application, rulebook)
    _refuse_elsewhere(asked, stages, fuel)
    supply = {
        "fuel": fuel,
        "stages": list(stages),
        "told": _told(asked, stages, rulebook),
        "circumstances": circumstances,
    }
    text = facts_of_line(asked, specification, application, supply, stamp, dealer=asking.dealer.pk).text
    answered = decide_supply(supply_question_of(FactsUsed.read(text), rulebook), FLUIDS)
    return Decided(asked, text, digest_of(text, rulebook), answered)


def _refuse_elsewhere(asked: SupplyAsked, stages: Stages, fuel: str) -> None:
    """Raises UnknownPosition for a candidate at no stage of the line: nothing would be said of it."""
    problems, codes = Gathered(), [stage["position"] for stage in stages if stage["position"]]
    for index, (position, _) in enumerate(asked.candidates):
        if position not in codes:
            words = f"The line for {fuel} has no position {position[:60]!r}; its positions: {', '.join(codes)}."
            problems.errors.append(UnknownPosition(words, pointer=f"/candidates/{index}/position", positions=codes))
    problems.tell()


def _line(
    asked: SupplyAsked, specification: LoadedSpecification, application: Mapping[str, Any], rulebook: Rulebook
) -> tuple[str, Stages]:
    """The fuel whose line is meant, and its stages. Raises Invalid where none or several could be meant."""
    rows: list[Mapping[str, Any]] = [json.loads(text) for text in specification.stages]
    lines = distinct(row["fuel"] for row in rows)
    named = ", ".join(lines)
    if not lines:
        words = f"No supply line is recorded of {specification.key}; add its supply_stages, or import the table."
        raise Invalid(words, pointer="/machine" if asked.machine else "/application/spec", code="no_supply_line")
    wanted = fuel_asked(asked.body, rulebook)
    burned = application_of({**application, "told_as_plate": False}).burned(rulebook.fuels).fuels
    codes = {Fuel.parse(wanted).code} if wanted else {fuel.code for fuel in burned}
    meant = [line for line in lines if Fuel.parse(line).code in codes] if codes else list(lines)
    if wanted is not None and not meant:
        words = f"No supply line for {wanted} is recorded of {specification.key}; there is one for {named}."
        raise Invalid(words, pointer="/fuel", code="no_supply_line")
    if len(meant) != 1:
        words = f"{specification.key} has supply lines for {named}; say in fuel which is meant."
        raise Invalid(words, pointer="/fuel", code="which_fuel")
    (line,) = meant
    return _as_burned(line, wanted, burned), [row for row in rows if row["fuel"] == line]


def _as_burned(line: str, wanted: str | None, burned: Sequence[Fuel]) -> str:
    """The fuel as asked, else as found on the engine: a grade is never added that neither of them names."""
    asked = Fuel.parse(wanted or line)
    if wanted is not None and asked.grade:
        return wanted
    return next((fuel.text for fuel in burned if fuel.code == asked.code), wanted or line)


def _told(asked: SupplyAsked, stages: Stages, rulebook: Rulebook) -> list[list[Any]]:
    """Facts by the index of their stage, named by its position or by its name."""
    problems, told = Gathered(), []
    for name, fact in told_of_stages(asked.body):
        with problems.each():
            places = [index for index, stage in enumerate(stages) if name in (stage["position"], stage["name"])]
            if len(places) != 1:
                named = ", ".join(str(stage["position"] or stage["name"] or stage["kind"]) for stage in stages)
                words = f"There is no stage {name[:60]!r} on this line; its stages: {named}."
                raise Invalid(words, pointer=f"{fact.pointer}/stage", code="unknown_stage")
            told.append([places[0], *read_one(fact, rulebook, category=None)])
    problems.tell()
    return told


def facts_of_line(
    asked: SupplyAsked,
    specification: LoadedSpecification,
    application: Mapping[str, Any],
    supply: Mapping[str, Any],
    stamp: str,
    *,
    dealer: UUID | None = None,
) -> FactsUsed:
    """The texts of the line's positions and of every part named or specified there.

    What is on hold of the candidates is among the facts, as `dealer` sees it, where there is anything.
    """
    codes = {stage["position"] for stage in supply["stages"]}
    positions = tuple(position for position in specification.positions if position.code in codes)
    finder, standing = PartFinder(asked.names(), stamp), list[tuple[str, LoadedPart]]()
    problems = Gathered()
    for position, name in asked.standing():
        if position in codes:
            with problems.each():
                standing.append((position, _found(finder, name)))
    problems.tell()
    said = _statements(asked, specification, [position.code for position in positions], stamp)
    shelf: dict[str, int] = {}
    replaced = [[position, shelf.setdefault(row.text, len(shelf))] for position, row in standing]
    tried = [(position, row) for position, row in standing if position in dict(asked.candidates)]
    held = [] if dealer is None else list(_held(tried, specification, dealer))
    statements = [
        {"part": shelf.setdefault(row.part.text, len(shelf)), "says": list(row.document)} for row in said
    ]  # fmt: skip
    rest: dict[str, Any] = {
        "candidate": [],
        "replaces": None,
        "position": None,
        "application": {**application, "told_as_plate": False},
        "engine": {"key": specification.key, "fuels": list(specification.fuels), "statements": statements},
        "told_position": [],
        "supply": {**supply, "replaced": replaced, **({"held": held} if held else {})},
    }
    return FactsUsed(tuple(shelf), tuple(position.text for position in positions), rest)


def _held(tried: Iterable[tuple[str, LoadedPart]], specification: LoadedSpecification, dealer: UUID) -> Iterator[Any]:
    """The open reports about each candidate at the position where it is tried."""
    for position, row in tried:
        holds = [hold for hold in loading.holds_on(row, specification.id, dealer) if hold.position == position]
        if holds:
            yield [position, [hold_document(hold) for hold in holds]]


def _found(finder: PartFinder, name: NamedPart) -> LoadedPart:
    """What stands on the machine may be out of the catalogue since; what is tried is to be fitted."""
    return finder.find(name) if name.pointer == "/machine" else finder.find_live(name)


def _statements(
    asked: SupplyAsked, specification: LoadedSpecification, codes: Sequence[str], stamp: str
) -> Sequence[LoadedStatement]:
    wanted = [Wanted(specification.id, code) for code in codes]
    said = [row for rows in loading.statements(stamp, wanted).values() for row in rows]
    return said if asked.machine is None else loading.still_said(said, asked.machine)


def _record(decided: Decided, standing: Standing, rulebook: Rulebook, asking: Asking) -> SupplyCheck:
    machine = None if decided.asked.machine is None else decided.asked.machine.id
    provenance = Provenance(
        id=uuid4(),
        digest=decided.digest,
        catalogue_version=standing.version,
        rulebook=standing.rulebook,
        checked_at=asking.now,
        checked_by=asking.asked_by,
        machine=machine,
    )
    return SupplyCheck(
        id=provenance.id,
        dealer=asking.dealer,
        asked_by=asking.asked_by,
        machine_id=machine,
        question=sent_text(decided.asked.body),
        facts=decided.text,
        answer=as_text(supply_document(decided.answered, provenance)),
        verdict=decided.answered.decision.verdict.value,
        digest=decided.digest,
        catalogue_version=standing.version,
        rulebook_id=standing.rulebook,
        checked_at=asking.now,
    )
