"""The counter: a number, an engine, Enter; then the verdict with its reason, and what is missing as questions."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, cast
from uuid import UUID, uuid4

from django.http import HttpRequest, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalog.domain.lookup.match_words import SURE
from catalog.domain.rules import Approver
from catalog.domain.value_documents import Units
from catalog.models import Check, Machine
from catalog.usecases.answerable import Ask, questions_of
from catalog.usecases.approval_requests import may_answer, request_of
from catalog.usecases.approving import check_of
from catalog.usecases.facts_used import adapters_asked, application_asked
from catalog.usecases.looking_up import Looked, look_up
from catalog.usecases.machine_finding import machines_meant, names_of_machines
from catalog.usecases.machine_on_file import engine_told
from catalog.usecases.machine_writing import Owner
from catalog.usecases.reading import published
from catalog.usecases.showing import rulebook_of
from catalog.usecases.slip_words import Names, engine_words, plain, sentence
from kits.usecases.branches import branch_meant, branches_of
from kits.usecases.counter_answers import answer_again, answer_as_told, answer_at_counter, check_as_told
from kits.usecases.counter_asking import CounterAsking
from kits.web.counter_fields import Asked, Faults, asked_of, place_faults
from kits.web.counter_page import ages, approver_words, engine_line, field_of, moment, row_of, weighed
from kits.web.counter_telling import retold
from service.errors import DomainError, Invalid
from service.http.pages import dealer_at, dealer_page, done_once, person_at
from service.http.problems import problem_of
from service.operations.idempotency import Answer, Claim
from service.operations.models import Branch, Person

HITS = 12
FIELDS = ("number", "machine", "position", "replaces", "adapter", "quantity", "model", "spec", "serial")
DIGITS_OF_AN_ID, DIGITS_OF_A_COUNT = 18, 5
MOST_PIECES = 10_000  # as the interface takes
SURE_HITS = {kind.value for kind in SURE}
UNIT_CHOICES = (("as_given", "as given"), ("si", "metric"), ("us", "US"))
Body = Mapping[str, Any]


@dataclass(slots=True)
class CounterForm:
    """What stands in the fields of the counter's form, and what is wrong with it. `others` belong to no field."""

    number: str = ""
    machine: str = ""
    position: str = ""
    replaces: str = ""
    adapter: str = ""
    quantity: str = ""
    model: str = ""
    spec: str = ""
    serial: str = ""
    faults: Faults = field(default_factory=dict)
    others: list[str] = field(default_factory=list)
    machines: list[Machine] = field(default_factory=list)
    found: Looked | None = None

    @property
    def first(self) -> str:
        """The field that the page puts the focus in: the first in which something is wrong, else the number."""
        return next((name for name in FIELDS if name in self.faults), "number")

    @property
    def more(self) -> bool:
        """Whether something stands in the fields that are usually left alone."""
        return any((self.position, self.replaces, self.adapter, self.quantity))

    @property
    def engine(self) -> bool:
        """Whether an engine is named by its plate, as one that is not on file has to be."""
        return any((self.model, self.spec, self.serial))


@dealer_page
@require_http_methods(["GET", "HEAD", "POST"])
def asking(request: HttpRequest) -> HttpResponseBase:
    """The form; and what was typed into it, asked."""
    if request.method != "POST":
        return _form(request, _remembered(request))
    typed = _read(request.POST)
    request.session["branch"] = request.POST.get("branch") or request.session.get("branch")
    machine = _machine_meant(request, typed)
    part = _part_meant(request, typed)
    if not _is_a_count(typed.quantity):
        typed.faults["quantity"] = f"Type a whole number from 1 to {MOST_PIECES}, or leave it empty."
    if typed.faults or typed.machines or part is None:
        return _form(request, typed)
    if machine is not None:
        request.session["machine"] = machine.name
    body = _question(part, machine, typed)
    places = {"/candidate": "number", "/position": "position", "/replaces": "replaces", "/machine": "machine",
              "/candidate/with": "adapter", "/candidate/quantity": "quantity", "/application/spec": "model",
              "/application/serial": "serial"}  # fmt: skip
    try:
        return ask(request, body)
    except DomainError as error:
        typed.faults, typed.others = place_faults(error, places)
        return _form(request, typed)


def _read(form: QueryDict) -> CounterForm:
    said = {name: form.get(name, "").strip() for name in FIELDS[1:]}
    # Of a scan not all that counts as white space is: separators stand between its elements.
    number = form.get("number", "").strip(" \t\r\n")
    return CounterForm(
        number=number, machine=said["machine"], position=said["position"], replaces=said["replaces"],
        adapter=said["adapter"], quantity=said["quantity"], model=said["model"], spec=said["spec"],
        serial=said["serial"],
    )  # fmt: skip


def _is_a_count(text: str) -> bool:
    digits = text.isascii() and text.isdecimal() and len(text) <= DIGITS_OF_A_COUNT
    return not text or (digits and 1 <= int(text) <= MOST_PIECES)


def _remembered(request: HttpRequest) -> CounterForm:
    named = request.GET.get("machine")
    if named is not None:
        found = machines_meant(dealer_at(request), named)
        named = found[0].name if len(found) == 1 else named
    return CounterForm(machine=request.session.get("machine", "") if named is None else named)


def _machine_meant(request: HttpRequest, typed: CounterForm) -> Machine | None:
    """The one machine meant; several are put on the form to choose from. Without one the answer asks for it."""
    chosen = request.POST.get("chosen_machine", "")
    if typed.engine and (chosen or typed.machine):
        typed.faults["machine"] = "Name a machine on file or an engine by its plate, not both; empty the other."
        return None
    if bool(typed.model) != bool(typed.spec):
        typed.faults["spec" if typed.model else "model"] = "Both stand on the plate, model and specification number."
    if typed.serial and not typed.model:
        typed.faults["model"] = "A serial alone names no engine; give model and specification number as well."
    found = list(machines_meant(dealer_at(request), chosen or typed.machine))
    if len(found) == 1:
        typed.machine = found[0].name
        return found[0]
    if found:
        typed.machines = found
    elif typed.machine:
        typed.faults["machine"] = f"No machine of yours has {typed.machine[:60]!r} in its name or serial."
    return None


def _part_meant(request: HttpRequest, typed: CounterForm) -> int | None:
    """The one part meant; what else could be is put on the form to choose from, and nothing is picked silently."""
    chosen = request.POST.get("chosen_part", "")
    if chosen.isascii() and chosen.isdecimal() and len(chosen) <= DIGITS_OF_AN_ID:
        return int(chosen)
    if not typed.number:
        typed.faults["number"] = "Type or scan the number of the part, or a word of its name."
        return None
    try:
        found = look_up(typed.number, published(), dealer_at(request), timezone.now(), most=HITS)
    except DomainError as error:
        typed.faults["number"] = error.message
        return None
    sure = [hit for hit in found.results if hit["matched_by"] in SURE_HITS]
    if len(sure) == 1:
        return cast("int", sure[0]["part"]["id"])
    typed.found = found
    return None


def _question(part: int, machine: Machine | None, typed: CounterForm) -> dict[str, Any]:
    candidate: dict[str, Any] = {"id": part}
    if typed.adapter:
        candidate["with"] = [typed.adapter]
    if typed.quantity:
        candidate["quantity"] = int(typed.quantity)
    body: dict[str, Any] = {"candidate": candidate}
    if machine is not None:
        body["machine"] = machine.pk
    elif typed.model:
        named = {"spec": {"model": typed.model, "spec": typed.spec}}
        body["application"] = {**named, "serial": typed.serial} if typed.serial else named
    if typed.position:
        body["position"] = typed.position.lower().replace(" ", "_")
    if typed.replaces:
        body["replaces"] = typed.replaces
    return body


def _form(request: HttpRequest, typed: CounterForm) -> HttpResponse:
    return render(request, "kits/counter.html", form_of(request, typed))


def form_of(request: HttpRequest, typed: CounterForm) -> dict[str, Any]:
    """What the counter's form needs, on whichever page it stands."""
    known = branches_of(dealer_at(request))
    return {
        "typed": typed, "once": uuid4(), "machine_names": machine_names(request),
        "branches": known if len(known) > 1 else (), "branch": _branch_among(known, request),
    }  # fmt: skip


def machine_names(request: HttpRequest) -> list[str]:
    """What is offered while a machine's name is typed; the browser shows those that fit."""
    return names_of_machines(dealer_at(request))


def ask(request: HttpRequest, body: Body) -> HttpResponse:
    """The question asked, recorded once however often its form is sent, and its page."""
    now = timezone.now()
    counter = asking_at(request, now)

    def act(held: Claim) -> None:
        answer_at_counter(body, counter, idempotency=held, keep=True)

    return _to_its_page(done_once(request, act, now=now))


def _to_its_page(answer: Answer) -> HttpResponse:
    return redirect("counter-check", check_id=answer.body["check"]["id"])


def asking_at(request: HttpRequest, now: datetime) -> CounterAsking:
    return CounterAsking(branch_at(request), person_at(request).name, now, _problem)


def branch_at(request: HttpRequest) -> Branch:
    """The branch that was chosen last; before any was, the first by its code, and the page says whose shelf it shows.

    Raises NoBranch.
    """
    found = _branch_among(branches_of(dealer_at(request)), request)
    return branch_meant(dealer_at(request), None) if found is None else found


def _branch_among(known: Sequence[Branch], request: HttpRequest) -> Branch | None:
    chosen = request.session.get("branch")
    return next((branch for branch in known if branch.code == chosen), known[0] if known else None)


def _problem(error: DomainError, _index: int) -> Mapping[str, Any]:
    told = problem_of(error)
    return told.document() if told else {}


@dealer_page
@require_safe
def shown(request: HttpRequest, check_id: UUID) -> HttpResponseBase:
    return answer_page(request, check_id)


@dealer_page
@require_POST
def told(request: HttpRequest, check_id: UUID) -> HttpResponseBase:
    """What was missing, answered on the spot: the question is asked again with it."""
    check = check_of(dealer_at(request), check_id)
    asked = asked_of(questions_of(check, json.loads(check.answer), rulebook_of(check)), request.POST)
    now, places = timezone.now(), dict[str, str]()

    def act(held: Claim) -> None:
        """All of it is claimed, since what is told of a machine is added to its record as well."""
        again = retold(check, asked, Owner(dealer_at(request), now), by=person_at(request).name)
        if again is None:
            raise Invalid("Answer at least one of the questions.")
        places.update(again.places)
        answer_at_counter(again.body, asking_at(request, now), idempotency=held, keep=True)

    try:
        return _to_its_page(done_once(request, act, now=now))
    except DomainError as error:
        if any(one.fault for one in asked):
            return answer_page(request, check_id, asked=asked)
        faults, others = place_faults(error, places)
        for one in asked:
            one.fault = faults.get(one.name, "")
        return answer_page(request, check_id, asked=asked, others=others)


def answer_page(
    request: HttpRequest,
    check_id: UUID,
    *,
    asked: Sequence[Asked] | None = None,
    others: Sequence[str] = (),
    approval: Mapping[str, Any] | None = None,
) -> HttpResponse:
    """The page of an answer. `asked` and `approval` are what was typed into its forms, with what is wrong with it."""
    units = _units(request)
    told = check_as_told(dealer_at(request), check_id)
    counter = asking_at(request, timezone.now())
    check, anew = told.check, "today" in request.GET
    found = answer_again(check, counter, units=units) if anew else answer_as_told(told, counter, units=units)
    said, rulebook = found["check"], rulebook_of(check)
    findings, idle = weighed(said["findings"], Names(rulebook))
    questions = asked if asked is not None else asked_of(questions_of(check, said, rulebook))
    zone, today = counter.branch.zone, counter.branch.today(counter.now)
    on_record = check.machine.name if check.machine else ""
    engine = list(engine_words(application_asked(check.facts), Names(rulebook)))
    typed = CounterForm(machine=on_record or request.session.get("machine", ""))
    page = {
        **form_of(request, typed), "check": said, "machine": check.machine, "counter": found,
        "engine": engine, "asked_of": engine_line(engine) if check.machine else "",
        "keepable": engine_told(check) is not None,
        "findings": [row_of(one) for one in findings],
        "idle": idle, "questions": [field_of(one, on_record, today) for one in questions],
        "answerable": any(one.question.ask is not Ask.ELSEWHERE for one in questions),
        "position": plain(said["position"] or ""), "through": adapters_asked(check.facts),
        "today": today, "ages": list(ages(found["age"], zone)),
        "asked_at": moment(said["checked_at"], zone),
        "reason": sentence(said["headline"].removeprefix("Use it only if ")),
        "approver": approver_words(said["approvable_by"]),
        "units": units, "unit_choices": UNIT_CHOICES, "others": others, "approval": approval,
        **_approvable(check, said, person_at(request)),
    }  # fmt: skip
    return render(request, "kits/counter_answer.html", page)


def _approvable(check: Check, said: Mapping[str, Any], person: Person) -> dict[str, Any]:
    if said["approval"] is not None or not said["approvable"]:
        return {}
    return {"asked_for": request_of(check), "may_approve": may_answer(person, Approver(said["approvable_by"]))}


def _units(request: HttpRequest) -> Units:
    """The units asked for, which are remembered; those remembered otherwise."""
    wanted = request.GET.get("units")
    if wanted in dict(UNIT_CHOICES):
        request.session["units"] = wanted
    return cast("Units", request.session.get("units", "as_given"))
