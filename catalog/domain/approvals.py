"""Approvals: who may give one for what, and whether one that was given applies on a day.

Roles and licences as in the trade (common practice, no source): the service manager approves conditional use, a
licensed gas technician what carries gas, and what no rule names a role for nobody may approve.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from catalog.domain.answers import Verdict
from catalog.domain.fuels import Fuel, FuelRecord, differs_from_plate
from catalog.domain.parts import PartKey
from catalog.domain.rules import Approver
from service.errors import Conflict, Forbidden

ROLE_WORDS = {Approver.SERVICE_MANAGER: "a service manager", Approver.GAS_TECHNICIAN: "a licensed gas technician"}


class NotApprovable(Conflict):
    """The check is none that anybody could approve."""

    code = "not_approvable"


class NotAnApprover(Forbidden):
    """The person lacks the role the rule names."""

    code = "not_an_approver"


class LicenceNotInForce(Conflict):
    """The licence is not on file, not whole, has run out, or is another than the one given."""

    code = "licence_not_in_force"


class ConversionNotConfirmed(Conflict):
    """No licensed person has confirmed the equipment as it was last found."""

    code = "conversion_not_confirmed"


@dataclass(frozen=True, slots=True)
class Licence:
    number: str = ""
    area: str = ""
    expires: date | None = None


@dataclass(frozen=True, slots=True)
class HeldRole:
    """A role by its name, with what is on file of the licence it rests on."""

    name: str
    licence: Licence = Licence()


@dataclass(frozen=True, slots=True)
class BoundPart:
    """A part of the candidate. `described` is all that was written of goods that are in no catalogue."""

    maker: str
    number: str
    quantity: int | None = None
    adapters: tuple[tuple[str, str], ...] = ()
    described: str = ""


@dataclass(frozen=True, slots=True)
class Binding:
    """What an approval is for and nothing else: one machine, one position, these parts, these conditions.

    `engine` names the specification of the engine in the machine: with another one in it, it is something else.
    """

    machine: str
    position: str
    parts: tuple[BoundPart, ...]
    conditions: tuple[str, ...]
    engine: str = ""

    @property
    def digest(self) -> str:
        """SHA-256, the same whatever the order of parts and conditions."""
        parts = sorted(
            [part.maker, part.number, part.quantity or 0, sorted(map(list, part.adapters)), part.described]
            for part in self.parts
        )
        document = [self.machine, self.engine, self.position, parts, sorted(set(self.conditions))]
        return hashlib.sha256(json.dumps(document, ensure_ascii=False).encode()).hexdigest()


class Lapse(StrEnum):
    """Why an approval does not apply."""

    WITHDRAWN = "withdrawn"
    SOMETHING_ELSE = "something_else"  # another machine, position, part, number of them or condition
    NOT_YET = "not_yet"
    OVER = "over"
    WORK_ORDER_ENDED = "work_order_ended"
    FOUND_OTHERWISE = "found_otherwise"  # the fuel record it rests on no longer decides
    ON_HOLD = "on_hold"


@dataclass(frozen=True, slots=True)
class Approved:
    """An approval as it was given: `binding` is a digest, both dates are in. `rests_on` is a fuel record's number."""

    binding: str
    first: date
    last: date
    withdrawn: bool = False
    work_order_ended: bool = False
    rests_on: int | None = None


@dataclass(frozen=True, slots=True)
class Moment:
    """What is asked and how things stand; `confirmed` is the machine's deciding fuel record where it is confirmed."""

    binding: str
    day: date
    confirmed: int | None = None
    on_hold: bool = False


def lapse_of(given: Approved, moment: Moment) -> Lapse | None:
    """Why the approval does not apply at that moment, the most final reason first; None where it applies."""
    reasons = (
        (given.withdrawn, Lapse.WITHDRAWN),
        (given.binding != moment.binding, Lapse.SOMETHING_ELSE),
        (given.work_order_ended, Lapse.WORK_ORDER_ENDED),
        (moment.day > given.last, Lapse.OVER),
        (moment.day < given.first, Lapse.NOT_YET),
        (given.rests_on is not None and given.rests_on != moment.confirmed, Lapse.FOUND_OTHERWISE),
        (moment.on_hold, Lapse.ON_HOLD),
    )
    return next((lapse for stands_against_it, lapse in reasons if stands_against_it), None)


def any_reported(position: str, parts: Collection[PartKey], reported: Iterable[tuple[str, PartKey]]) -> bool:
    """Whether a report on this specification, by position and part, is about what was approved there.

    A piece of a set may stand at a place of its own, so of several parts a report at any place counts.
    """
    return any(part in parts and (at == position or len(parts) > 1) for at, part in reported)


def may_be_approved(verdict: Verdict, approvable_by: Approver | None, *, names_a_machine: bool) -> bool:
    return verdict is Verdict.CONDITIONAL and approvable_by is not None and names_a_machine


def approver_asked(
    verdict: Verdict, approvable_by: Approver | None, *, names_a_machine: bool, headline: str
) -> Approver:
    """The role an approval of this check takes. Raises NotApprovable, saying what stands in the way."""
    if verdict is Verdict.REJECTED:
        raise NotApprovable(f"This is a hard no that nobody can approve: {headline}", verdict=verdict.value)
    if verdict is Verdict.UNDETERMINED:
        words = f"Nothing is decided yet; answer what is missing and ask again: {headline}"
        raise NotApprovable(words, verdict=verdict.value)
    if verdict is Verdict.ACCEPTED:
        raise NotApprovable("This is accepted without a condition; it needs no approval.", verdict=verdict.value)
    if not names_a_machine:
        words = "An approval is for one machine, and this check names none; ask again with the machine's id."
        raise NotApprovable(words, verdict=verdict.value)
    if approvable_by is None:
        words = "One of its conditions is nobody's in the shop to approve; it can only be met."
        raise NotApprovable(words, verdict=verdict.value)
    return approvable_by


def approving_role(
    asked: Approver, person: str, held: Iterable[HeldRole], day: date, licence: str | None = None
) -> HeldRole:
    """The role in which this person may approve on that day. `licence` is its number as given with the approval.

    No role stands in for another. Raises NotAnApprover or LicenceNotInForce, naming what was expected.
    """
    role = next((role for role in held if role.name == asked.value), None)
    if role is None:
        raise NotAnApprover(
            f"This is for {ROLE_WORDS[asked]} to approve, and {person} is not recorded as one.", role=asked.value
        )
    on_file = role.licence
    missing = _missing(on_file) if asked is Approver.GAS_TECHNICIAN else ()
    if missing:
        raise LicenceNotInForce(
            f"The licence of {person} is not whole on file; missing: {', '.join(missing)}.", missing=missing
        )
    if on_file.expires is not None and day > on_file.expires:
        words = f"The licence of {person} ran out on {on_file.expires.isoformat()}; record the new one first."
        raise LicenceNotInForce(words, expires=on_file.expires.isoformat())
    if licence is not None and licence != on_file.number:
        words = f"The licence given is not the one on file for {person} as {ROLE_WORDS[asked]}."
        raise LicenceNotInForce(words, pointer="/licence")
    return role


def _missing(licence: Licence) -> tuple[str, ...]:
    columns = (("number", licence.number), ("area", licence.area), ("expiry", licence.expires))
    return tuple(name for name, known in columns if not known)


def deciding_record(plate: tuple[Fuel, ...], records: tuple[FuelRecord, ...]) -> int | None:
    """The place in `records` (in order of the day) of the one that says otherwise than the plate, and so decides."""
    found = differs_from_plate(plate, records)
    return next((index for index, record in enumerate(records) if record is found), None)
