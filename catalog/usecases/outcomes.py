"""Reporting what became of checked parts, and settling the holds that follow."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.db.models import Value
from django.db.models.functions import Concat
from django.urls import reverse

from catalog.domain.outcomes import HOLDING, OutcomeKind
from catalog.models import Check, EngineSpecification, Hold, Outcome, Part
from catalog.models.held import derive_held
from catalog.usecases.answers import instant
from catalog.usecases.catalogue_writes import CatalogueWrite, catalogue_write
from catalog.usecases.facts_used import FactsUsed
from catalog.usecases.reading import part_name
from catalog.usecases.refusals import HoldClosed, HoldConfirmed
from service.errors import Invalid, NotFound
from service.operations.changes import NewChange
from service.operations.idempotency import Claim

Body = Mapping[str, Any]
RELATED = ("outcome", "part__maker", "specification", "dealer")


def report(check: Check, body: Body, *, by: str, now: datetime, claim: Claim) -> Outcome:
    """Record what became of the part, put it on hold where that says so, and complete the claim with it."""
    today = check.dealer.today(now)
    outcome = Outcome(
        dealer=check.dealer,
        reported_check=check,
        kind=body["kind"],
        reported_on=_reported_on(body, today),
        by=by,
        note=body.get("note") or "",
        recorded_at=now,
    )
    with catalogue_write(now) as write:
        outcome.save()
        made = NewChange("outcome.reported", "outcome", outcome.pk, check.dealer, {"check": str(check.pk)})
        write.changes.append(made)
        holds = _put_on_hold(check, outcome, write) if OutcomeKind(outcome.kind) in HOLDING else []
        address = reverse("check-outcomes", args=[check.pk])
        claim.complete(201, outcome_document(outcome, holds), {"Location": address})
    return outcome


def _reported_on(body: Body, today: date) -> date:
    given: date = body.get("reported_on") or today
    if given > today:
        words = f"Reported on {given.isoformat()}, and today is {today.isoformat()}; give the day it was reported."
        raise Invalid(words, pointer="/reported_on", code="in_the_future")
    return given


def _put_on_hold(check: Check, outcome: Outcome, write: CatalogueWrite) -> list[Hold]:
    """A hold for every catalogued part that was used; none where no position of an engine was decided about."""
    answer, engine = json.loads(check.answer), FactsUsed.read(check.facts).rest["engine"]
    position = answer["position"]
    if position is None or engine is None:
        return []
    used = [use["part"]["id"] for use in answer["use"]]
    parts = list(Part.objects.select_related("maker").filter(pk__in=[number for number in used if number]))
    holds = [
        Hold(dealer=check.dealer, outcome=outcome, part=part, specification=specification, position=position)
        for specification in _specifications(engine["key"])
        for part in parts
    ]
    if holds:
        write.begin()  # what checks are decided from has changed
        for hold in holds:
            hold.save(force_insert=True)
            write.changes.append(_told("opened", hold))
        derive_held(part.pk for part in parts)
    return holds


def _specifications(key: str) -> Sequence[EngineSpecification]:
    """The engine specification as it is named in facts, by model and number."""
    named = EngineSpecification.objects.annotate(named=Concat("model", Value(" "), "spec"))
    return list(named.filter(named=key).order_by("pk"))


def confirm(hold: Hold, *, by: str, now: datetime) -> Hold:
    """Let a dealer's hold stand for everybody. Raises HoldClosed or HoldConfirmed."""
    with catalogue_write(now) as write:
        _settle(hold, write, confirmed_at=now, confirmed_by=by)
        write.changes.append(_told("confirmed", hold))
    return hold


def close(hold: Hold, reason: str, *, by: str, now: datetime) -> Hold:
    """Settle a hold: the part is judged as before. Raises HoldClosed."""
    with catalogue_write(now) as write:
        _settle(hold, write, closed_at=now, closed_by=by, closed_reason=reason)
        write.changes.append(_told("closed", hold))
    return hold


def _settle(hold: Hold, write: CatalogueWrite, **columns: Any) -> None:
    rows = Hold.objects.open().filter(pk=hold.pk)
    if not rows.exists():
        raise HoldClosed("It is closed already; a new report opens another.")
    if "confirmed_at" in columns:
        rows = rows.filter(confirmed_at=None)
    if not rows.update(**columns):
        raise HoldConfirmed("It holds for everybody already.")
    write.begin()
    derive_held([hold.part_id])
    hold.refresh_from_db(fields=list(columns))


def _told(kind: str, hold: Hold) -> NewChange:
    """To its own dealer while it is that dealer's alone, else to everybody."""
    payload = {"part": hold.part_id, "specification": hold.specification_id, "position": hold.position}
    return NewChange(f"hold.{kind}", "hold", hold.pk, None if hold.confirmed_at else hold.dealer, payload)


def hold_of(number: int) -> Hold:
    """Any dealer's hold: for a catalogue editor."""
    found: Hold | None = Hold.objects.select_related(*RELATED).filter(pk=number).first()
    if found is None:
        raise NotFound(f"There is no hold with the id {number}.")
    return found


def hold_document(row: Hold) -> dict[str, Any]:
    """A hold as an editor and its dealer see it; whose it is, and on which machine, stays the dealer's."""
    closed = row.closed_at and {"at": instant(row.closed_at), "by": row.closed_by, "reason": row.closed_reason}
    return {
        "id": row.pk,
        "part": part_name(row.part),
        "spec": {"model": row.specification.model, "spec": row.specification.spec},
        "position": row.position,
        "kind": row.outcome.kind,
        "reported_on": row.outcome.reported_on.isoformat(),
        "note": row.outcome.note or None,
        "state": row.state,
        "confirmed": row.confirmed_at and {"at": instant(row.confirmed_at), "by": row.confirmed_by},
        "closed": closed,
    }


def outcome_document(row: Outcome, holds: Iterable[Hold]) -> dict[str, Any]:
    return {
        "id": str(row.pk),
        "check": str(row.reported_check_id),
        "kind": row.kind,
        "reported_on": row.reported_on.isoformat(),
        "by": row.by,
        "note": row.note or None,
        "recorded_at": instant(row.recorded_at),
        "holds": [hold_document(hold) for hold in holds],
    }
