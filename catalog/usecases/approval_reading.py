"""Approvals as they stand at a moment: whether they apply, and how they are shown."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from catalog.domain.approvals import Approved, Lapse, Moment, any_reported, deciding_record, lapse_of
from catalog.domain.fuels import Fuel, RecordMode
from catalog.domain.fuels import FuelRecord as Found
from catalog.domain.parts import PartKey
from catalog.models import Approval, Check, FuelRecord, Hold, Machine, Position, WorkState
from catalog.models.held import kits_with
from catalog.usecases.answers import instant
from service.errors import NotFound
from service.operations.models import Dealer

LAST_DAY = date(9998, 12, 31)  # after it there are instants that have no date in UTC
RELATED = ("work_order", "machine")


@dataclass(frozen=True, slots=True)
class Standing:
    """What of a machine an approval depends on, at one moment."""

    confirmed: Mapping[UUID, int | None]  # by machine, its deciding fuel record where that is confirmed
    held: Mapping[int, Sequence[tuple[str, PartKey]]]  # by specification, position and part


def approvals_applying(checks: Iterable[Check], dealer: Dealer, now: datetime) -> dict[UUID, dict[str, Any]]:
    """By check the approval that applies to it, as it is shown; of several the one that lasts longest.

    One statement where any of the checks could be approved, none where none could.
    """
    bound = {check.pk: check.binding for check in checks if check.binding}
    if not bound:
        return {}
    rows = Approval.objects.visible_to(dealer).filter(binding__in=sorted(set(bound.values())), withdrawn_at=None)
    found = list(rows.select_related(*RELATED).order_by("last", "approved_at"))
    lapses = lapses_of(found, dealer.today(now))
    applying = {row.binding: row for row in found if lapses[row.pk] is None}
    return {
        check: approval_document(applying[binding], None) for check, binding in bound.items() if binding in applying
    }


def lapses_of(rows: Sequence[Approval], today: date) -> dict[UUID, Lapse | None]:
    """Why each of these does not apply today to what it is for; None where it does."""
    standing = _standing(rows)
    return {row.pk: lapse_of(_approved(row), _moment(row, standing, today)) for row in rows}


def _approved(row: Approval) -> Approved:
    return Approved(
        binding=row.binding,
        first=row.first,
        last=row.last,
        withdrawn=row.withdrawn_at is not None,
        work_order_ended=row.work_order is not None and row.work_order.state != WorkState.OPEN,
        rests_on=row.fuel_record_id,
    )


def _moment(row: Approval, standing: Standing, today: date) -> Moment:
    parts = [(part["maker"], part["number"]) for part in row.bound_to["parts"]]
    adapters = [[(one["maker"], one["number"])] for part in row.bound_to["parts"] for one in part["with"]]
    of = row.machine.specification_id
    reported = () if of is None else standing.held.get(of, ())
    on_hold = any(any_reported(row.bound_to["position"], fitted, reported) for fitted in (parts, *adapters))
    return Moment(row.binding, today, standing.confirmed.get(row.machine_id), on_hold=on_hold)


def _standing(rows: Sequence[Approval]) -> Standing:
    resting = {row.machine_id: row.machine for row in rows if row.fuel_record_id is not None}
    specifications = {row.machine.specification_id for row in rows} - {None}
    holds = Hold.objects.none()
    if specifications:
        everybodys = Q(confirmed_at__isnull=False) | Q(dealer__in={row.dealer_id for row in rows})
        holds = Hold.objects.open().filter(everybodys, specification__in=specifications)
    return Standing(confirmed_records(resting.values()), _held(holds.select_related("part__maker")))


def _held(holds: Iterable[Hold]) -> dict[int, list[tuple[str, PartKey]]]:
    """By specification what is on hold where, and with a part all kits that hold it, at every place around its own."""
    open_ones = list(holds)
    kits = kits_with({hold.part_id for hold in open_ones})
    around = _around({hold.specification_id for hold in open_ones if kits.get(hold.part_id)})
    held: dict[int, list[tuple[str, PartKey]]] = {}
    for hold in open_ones:
        rows = held.setdefault(hold.specification_id, [])
        rows.append((hold.position, (hold.part.maker.code, hold.part.number)))
        places = [hold.position, *around.get((hold.specification_id, hold.position), ())]
        rows += [(place, kit) for kit in kits.get(hold.part_id, ()) for place in places]
    return held


def _around(specifications: Collection[int]) -> dict[tuple[int, str], list[str]]:
    """The positions of these specifications that a position lies in, the innermost first."""
    if not specifications:
        return {}
    inner = Position.objects.filter(specification__in=specifications, inside_of__isnull=False)
    outer = {(of, code): around for of, code, around in inner.values_list("specification", "code", "inside_of__code")}
    found: dict[tuple[int, str], list[str]] = {}
    for of, code in outer:
        places, at = list[str](), outer.get((of, code))
        while at is not None and at not in places:
            places.append(at)
            at = outer.get((of, at))
        found[of, code] = places
    return found


def confirmed_records(machines: Iterable[Machine]) -> dict[UUID, int | None]:
    """Of each machine the fuel record that decides on its conversion, where a licensed person has confirmed it."""
    plates = {machine.pk: machine.plate_fuels for machine in machines}
    records: dict[UUID, list[FuelRecord]] = {number: [] for number in plates}
    for row in FuelRecord.objects.filter(machine__in=list(plates)) if plates else ():
        records[row.machine_id].append(row)
    return {number: _confirmed(plate, records[number]) for number, plate in plates.items()}


def _confirmed(plate: Sequence[str], rows: Sequence[FuelRecord]) -> int | None:
    deciding = deciding_record(tuple(map(Fuel.parse, plate)), tuple(_found(row) for row in rows))
    return None if deciding is None or not rows[deciding].confirmed_name else rows[deciding].pk


def _found(row: FuelRecord) -> Found:
    return Found(tuple(map(Fuel.parse, row.fuels)), RecordMode(row.mode), row.found_on, row.conversion_paper)


def approval_document(row: Approval, lapse: Lapse | None) -> dict[str, Any]:
    """An approval as it is shown; `lapse` is why it does not apply now."""
    licence = {
        "number": row.licence_number,
        "area": row.licence_area,
        "expires": row.licence_expires and row.licence_expires.isoformat(),
    }
    return {
        "id": str(row.pk),
        "check": str(row.approved_check_id),
        "machine": str(row.machine_id),
        **row.bound_to,
        "person": {"id": row.person_id, "name": row.name},
        "role": row.role,
        "licence": licence if row.licence_number else None,
        "from": row.first.isoformat(),
        "until": row.last.isoformat(),
        "work_order": row.work_order and {"id": str(row.work_order.pk), "number": row.work_order.number},
        "reason": row.reason,
        "approved_at": instant(row.approved_at),
        "entered_by": row.entered_by,
        "withdrawn": row.withdrawn_at and {
            "at": instant(row.withdrawn_at), "by": row.withdrawn_by, "reason": row.withdrawn_reason,
        },
        "applies": lapse is None,
        "why_not": None if lapse is None else lapse.value,
    }  # fmt: skip


def shown_now(rows: Sequence[Approval], dealer: Dealer, now: datetime) -> list[dict[str, Any]]:
    lapses = lapses_of(rows, dealer.today(now))
    return [approval_document(row, lapses[row.pk]) for row in rows]


def approval_of(dealer: Dealer, number: UUID) -> Approval:
    """This dealer's approval. Raises NotFound, for another dealer's too."""
    found: Approval | None = Approval.objects.visible_to(dealer).select_related(*RELATED).filter(pk=number).first()
    if found is None:
        raise NotFound("There is no such approval of yours.")
    return found


def relied_on(approval: Approval, dealer: Dealer) -> QuerySet[Check]:
    """Checks that the approval was for, asked while it applied, and the one it was given on."""
    zone = ZoneInfo(dealer.zone)
    began = max(approval.approved_at, datetime.combine(approval.first, time.min, zone))
    asked = Q(binding=approval.binding, checked_at__gte=began)
    order = approval.work_order
    for end in (approval.withdrawn_at, order.ended_at if order else None):
        if end is not None:
            asked &= Q(checked_at__lt=end)
    asked &= Q(checked_at__lte=datetime.combine(min(approval.last, LAST_DAY), time.max, zone))
    found: QuerySet[Check] = Check.objects.visible_to(dealer).filter(asked | Q(pk=approval.approved_check_id))
    return found
