"""Giving and withdrawing approvals of conditional checks."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.urls import reverse

from catalog.domain.answers import Verdict
from catalog.domain.approvals import (
    ConversionNotConfirmed,
    HeldRole,
    Licence,
    NotApprovable,
    approver_asked,
    approving_role,
)
from catalog.domain.circumstances import CONVERTED
from catalog.domain.rules import Approver
from catalog.models import Approval, Check, Machine, Status, WorkOrder, WorkState
from catalog.usecases.approval_reading import approval_document, confirmed_records, lapses_of, shown_now
from catalog.usecases.bindings import binding_of, bound_document
from catalog.usecases.checking import ask_again
from catalog.usecases.refusals import (
    AlreadyWithdrawn,
    AnotherPerson,
    Gathered,
    MachineWithdrawn,
    UnknownPerson,
    UnknownWorkOrder,
    WorkOrderElsewhere,
    WorkOrderEnded,
)
from catalog.usecases.work_orders import order_named
from service.errors import DomainError, Invalid, NotFound
from service.operations.changes import NewChange, append, lock_feed
from service.operations.idempotency import Claim
from service.operations.models import Dealer, Person

Body = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Signing:
    """On whose behalf, who sends it, and when. `person` is who signed in or whom the key is bound to."""

    dealer: Dealer
    entered_by: str
    now: datetime
    person: Person | None = None

    @property
    def today(self) -> date:
        return self.dealer.today(self.now)


@dataclass(frozen=True, slots=True)
class _Dates:
    first: date
    last: date


def check_of(dealer: Dealer, number: UUID) -> Check:
    """This dealer's check. Raises NotFound, for another dealer's too."""
    found: Check | None = Check.objects.visible_to(dealer).select_related("machine", "dealer").filter(pk=number).first()
    if found is None:
        raise NotFound("There is no such check of yours.")
    return found


def approve(check: Check, body: Body, signing: Signing, claim: Claim) -> Approval:
    """Record a person's yes to a conditional check, and complete the claim in the same transaction.

    The question is asked once more first, unrecorded: an answer that it would not get any more is not approved.
    Raises NotApprovable, NotAnApprover, LicenceNotInForce, ConversionNotConfirmed, and what the body is refused for.
    """
    answer = json.loads(check.answer)
    asked = _asked(check, answer)
    problems, found = Gathered(), dict[str, Any]()
    with problems.each():
        found["dates"] = _dates(body, signing.today)
    with problems.each():
        found["person"] = _person(body, signing)
    with problems.each():
        found["order"] = _order(body.get("work_order"), check, signing.dealer)
    problems.tell()
    role = approving_role(asked, found["person"].name, _held(found["person"]), signing.today, body.get("licence"))
    _refuse_outdated(check, answer, signing.now)
    with transaction.atomic():
        lock_feed()  # every write of a machine takes it first: what is confirmed stays so until this is saved
        approval = _approval(check, answer, body, signing, role=role, **found)
        _refuse_idle(approval, signing.today)
        approval.save()
        append(_told("given", approval, {"check": str(check.pk)}), signing.now)
        address = reverse("approval", args=[approval.pk])
        claim.complete(201, approval_document(approval, lapses_of([approval], signing.today)[approval.pk]),
                       {"Location": address})  # fmt: skip
    return approval


def withdraw(approval: Approval, reason: str, signing: Signing) -> dict[str, Any]:
    """Take an approval back, for good; answers it as it is then shown. Raises AlreadyWithdrawn."""
    with transaction.atomic():
        lock_feed()
        done = Approval.objects.withdraw(approval.pk, at=signing.now, by=signing.entered_by, reason=reason)
        if not done:
            raise AlreadyWithdrawn("It has been withdrawn already, which is for good; give another where one is due.")
        append(_told("withdrawn", approval, {"binding": approval.binding}), signing.now)
    approval.refresh_from_db()
    return shown_now([approval], signing.dealer, signing.now)[0]


def _told(kind: str, approval: Approval, also: Mapping[str, Any]) -> NewChange:
    payload = {"machine": str(approval.machine_id), **also}
    return NewChange(f"approval.{kind}", "approval", approval.pk, approval.dealer, payload)


def _asked(check: Check, answer: Mapping[str, Any]) -> Approver:
    named = answer["approvable_by"]
    asked = approver_asked(
        Verdict(check.verdict),
        None if named is None else Approver(named),
        names_a_machine=check.machine is not None,
        headline=answer["headline"],
    )
    if check.machine is not None and check.machine.status == Status.WITHDRAWN:
        raise MachineWithdrawn(f"{check.machine.name} is withdrawn; nothing is approved for it any more.")
    return asked


def _refuse_outdated(check: Check, answer: Mapping[str, Any], now: datetime) -> None:
    """Nobody approves an answer that the same question would not get any more."""
    known = binding_of(answer, check.facts)
    try:
        fresh = ask_again(check, now)
    except DomainError as error:
        raise NotApprovable(f"Asked again now there is no answer: {error.message}") from error
    if known is None or fresh.binding != known.digest:
        words = json.loads(fresh.answer)["headline"]
        raise NotApprovable(f"Asked again now the answer is another, so ask again and approve that one: {words}")


def _dates(body: Body, today: date) -> _Dates:
    first, last = body.get("from") or today, body["until"]
    if first < today:
        words = f"An approval is for days to come: from {first.isoformat()}, and today is {today.isoformat()}."
        raise Invalid(words, pointer="/from", code="in_the_past")
    if last < first:
        words = f"It would end on {last.isoformat()}, before it begins on {first.isoformat()}; both days are in."
        raise Invalid(words, pointer="/until", code="ends_before_it_begins")
    return _Dates(first, last)


def _person(body: Body, signing: Signing) -> Person:
    """Whoever signs: the asker, or for a key bound to nobody the person of this dealer it names."""
    named, asker = body.get("person"), signing.person
    if named is None and asker is None:
        raise Invalid("Say who approves: the key is bound to nobody.", pointer="/person", code="required")
    found = asker if named is None else person_named(named, signing.dealer)
    if found is None or (asker is not None and found.pk != asker.pk):
        raise AnotherPerson("Nobody approves in another's name; leave person out, or sign in as that person.",
                            pointer="/person")  # fmt: skip
    return found


def person_named(named: str | int, dealer: Dealer) -> Person:
    """A person of the dealer's by user name, address or id. Raises UnknownPerson."""
    people = Person.objects.visible_to(dealer).filter(is_active=True)
    found: Person | None = (people.filter(pk=named) if isinstance(named, int) else people.answering_to(named)).first()
    if found is None:
        raise UnknownPerson("There is no such person of yours; give the user name or the id.", pointer="/person")
    return found


def _held(person: Person) -> tuple[HeldRole, ...]:
    return tuple(
        HeldRole(role.name, Licence(role.licence_number, role.licence_area, role.licence_expires))
        for role in person.roles.all()
    )


def _order(named: str | None, check: Check, dealer: Dealer) -> WorkOrder | None:
    """The work order the approval ends with: this dealer's, open, and on the check's machine."""
    if named is None:
        return None
    order = order_named(dealer, named)
    if order is None:
        raise UnknownWorkOrder(f"There is no work order {named[:60]!r} of yours.", pointer="/work_order")
    if order.machine_id != check.machine_id:
        words = f"Work order {order.number} is not on the machine of this check; an approval is for one machine."
        raise WorkOrderElsewhere(words, pointer="/work_order")
    if order.state != WorkState.OPEN:
        raise WorkOrderEnded(f"Work order {order.number} is {order.state}; nothing is approved for it any more.",
                             pointer="/work_order")  # fmt: skip
    return order


def _approval(
    check: Check, answer: Mapping[str, Any], body: Body, signing: Signing,
    *, role: HeldRole, dates: _Dates, person: Person, order: WorkOrder | None,
) -> Approval:  # fmt: skip
    machine, binding = check.machine, binding_of(answer, check.facts)
    if machine is None or binding is None:
        raise NotApprovable("It is not known at which position and with which parts; ask again.")
    if order is not None:
        order = WorkOrder.objects.get(pk=order.pk)
    return Approval(
        dealer=signing.dealer,
        approved_check=check,
        machine=Machine.objects.get(pk=machine.pk),
        binding=binding.digest,
        bound_to=bound_document(binding),
        person=person,
        name=person.name,
        role=role.name,
        licence_number=role.licence.number,
        licence_area=role.licence.area,
        licence_expires=role.licence.expires,
        approved_at=signing.now,
        approved_on=signing.today,
        first=dates.first,
        last=dates.last,
        work_order=order,
        fuel_record_id=_confirmation(answer, machine),
        reason=body["reason"],
        entered_by=signing.entered_by,
    )


def _confirmation(answer: Mapping[str, Any], machine: Machine) -> int | None:
    """The confirmed fuel record that the approval of a conversion rests on; None where none is concerned."""
    converted = any(f["attribute"] == CONVERTED and f["effect"] == "condition" for f in answer["findings"])
    if not converted:
        return None
    confirmed = confirmed_records([machine])[machine.pk]
    if confirmed is None:
        raise ConversionNotConfirmed(
            f"No licensed person has confirmed the equipment of {machine.name} as it was last found. Put that on "
            "record first, with the fuel it was found on: who, which licence, its area and last day, and the day.",
            missing=["confirmed_by"], machine=str(machine.pk),
        )  # fmt: skip
    return confirmed


def _refuse_idle(approval: Approval, today: date) -> None:
    """An approval that would not apply on its own first day is not given."""
    lapse = lapses_of([approval], max(today, approval.first))[approval.pk]
    if lapse is not None:
        words = {"on_hold": "The part is on hold at this position; ask again, and the answer says what was reported."}
        raise NotApprovable(words.get(lapse.value, f"It would not apply: {lapse.value.replace('_', ' ')}."))
