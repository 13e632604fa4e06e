"""Laying a conditional check before whoever may approve it, and saying no to that."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import datetime

from django.db import IntegrityError, transaction
from django.db.models import Exists, OuterRef

from catalog.domain.approvals import NotAnApprover, NotApprovable
from catalog.domain.rules import Approver
from catalog.models import Approval, ApprovalRequest, Check
from catalog.usecases.refusals import Taken
from catalog.usecases.slip_words import APPROVERS
from service.errors import Conflict, Invalid, NotFound
from service.operations.models import Dealer, Person

MOST_OPEN = 200
LONGEST_NOTE = 500


class AlreadyDeclined(Conflict):
    code = "already_declined"


def approver_of(check: Check) -> Approver | None:
    """The role that may approve this check; None where nobody can."""
    answer = json.loads(check.answer)
    return Approver(answer["approvable_by"]) if answer["approvable"] else None


def may_answer(person: Person, approver: Approver | None) -> bool:
    """Whether this person holds the very role; that the licence is in force is looked at when an approval is given."""
    return approver is not None and person.roles.filter(name=approver.value).exists()


def ask_for_approval(check: Check, note: str, person: Person, now: datetime) -> ApprovalRequest:
    """Raises NotApprovable, Invalid for a note that says nothing or too much, and Taken where it was asked before."""
    if approver_of(check) is None:
        raise NotApprovable("This answer can be approved by nobody as it was asked; nothing was sent.")
    words = _said(note, "/note", "Say what it is wanted for, so that it can be judged.")
    row = ApprovalRequest(check_asked=check, dealer=check.dealer, note=words, asked_by=person, asked_at=now)
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        raise Taken("An approval of this answer has been asked for already.") from None
    return row


def decline(request: ApprovalRequest, why: str, person: Person, now: datetime) -> None:
    """Raises NotAnApprover, Invalid for a reason that says nothing or too much, AlreadyDeclined."""
    approver = approver_of(request.check_asked)
    if not may_answer(person, approver):
        role = APPROVERS.get(approver, "somebody else") if approver else "nobody"
        raise NotAnApprover(f"This is for {role} to answer; {person.name} has not that role.")
    words = _said(why, "/why", "Say why not; whoever asked has to tell the customer.")
    rows = ApprovalRequest.objects.filter(pk=request.pk, declined_at=None)
    if not rows.update(declined_by=person, declined_at=now, declined_why=words):
        raise AlreadyDeclined("It has been declined already.")


def _said(text: str, pointer: str, otherwise: str) -> str:
    words = " ".join(text.split())
    if not words:
        raise Invalid(otherwise, pointer=pointer, code="required")
    if len(words) > LONGEST_NOTE:
        raise Invalid(f"{len(words)} characters; at most {LONGEST_NOTE} are kept.", pointer=pointer, code="max_length")
    return words


def request_of(check: Check) -> ApprovalRequest | None:
    return ApprovalRequest.objects.filter(pk=check.pk).select_related("asked_by", "declined_by").first()


def known_request(check: Check) -> ApprovalRequest:
    """Raises NotFound."""
    found = request_of(check)
    if found is None:
        raise NotFound("Nobody has asked for an approval of this answer.")
    return found


def open_requests(dealer: Dealer) -> Sequence[ApprovalRequest]:
    """What nobody has answered yet, the longest waiting first, at most `MOST_OPEN`. One statement."""
    given = Approval.objects.filter(approved_check=OuterRef("pk"), withdrawn_at=None)
    rows = ApprovalRequest.objects.visible_to(dealer).filter(declined_at=None).exclude(Exists(given))
    related = ("check_asked", "check_asked__machine", "asked_by")
    return list(rows.select_related(*related).order_by("asked_at")[:MOST_OPEN])
